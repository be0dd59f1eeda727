package rules

import (
	"time"

	"pawl/rules/desk"
)

// A hall that claps is heard by every voice's microphone alike, open or muted, and in all
// that are open it begins at once. Singers differ: they come in one after another, and at some
// microphone there is nobody.
const (
	heardAlike = desk.DB(6)  // microphones of one hall differ by less, by their places and gains
	atOnce     = time.Second // no two of them hear it later
	fewest     = 3           // beside the one that is asked of: fewer may be all that sing
	roomUnder  = desk.DB(20) // what is so far below who plays, and no more than others hear, is nobody's own
)

// hallIn reports whether what a microphone hears is the hall: whoever claps in it, or a room
// full of people far below somebody else who sings or plays. Players may be as loud as one another,
// so what a player's microphone hears is the hall only if some voice's hears it too.
func hallIn(v *desk.View, input int) bool {
	level, since, heard := v.Level(input, desk.Syllable), v.PlayingFor(input), 0
	voice := v.Input(input).Voice
	for i := range v.Inputs() {
		in := v.Input(i)
		if i == input || !in.HasMic() || in.Cue || !v.Metered(i) {
			continue
		}
		alike := v.Level(i, desk.Syllable).Above(level).Abs() < heardAlike
		if playing := v.PlayingFor(i); in.Voice && playing > 0 {
			alike = alike && (playing-since).Abs() <= atOnce
		}
		switch {
		case alike:
			heard++
			voice = voice || in.Voice
		case in.Voice && !(v.Level(i, desk.Syllable) > level && loudestSource(v).Above(level).Reaches(roomUnder)):
			return false // and who plays on keeps nobody from hearing the hall
		}
	}
	return heard >= fewest && voice
}

// loudestSource is the level of who is loudest at its meter, ahead of all faders.
func loudestSource(v *desk.View) (most desk.DBFS) {
	most = desk.Silence
	for i := range v.Inputs() {
		if in := v.Input(i); !in.Cue && v.Metered(i) {
			most = max(most, v.Level(i, desk.Syllable))
		}
	}
	return most
}

// hearers are the microphones of a desk and what they hear over a sentence. Before those that were
// put away, muted or closed one by one, nobody stands: what they hear is everybody's.
type hearers struct {
	low, high desk.DBFS // of all of them
	away      desk.DBFS // of those that were put away, the least
	line      desk.DBFS // of who plays on a line, which hears no hall, the loudest
	near      desk.DB   // how far one is above its gate, at the most
	n, nAway  int
	all       bool // and each of them is metered
}

func hearersOf(v *desk.View) hearers {
	h := hearers{low: 0, high: desk.Silence, away: 0, line: desk.Silence, near: desk.Off, all: true}
	for i := range v.Inputs() {
		in, m := v.Input(i), inputMover(i)
		away := v.Muted(m) || v.Fader(m) <= shut
		switch {
		case in.Cue:
		case !in.HasMic():
			if v.Playing(i) {
				h.line = max(h.line, v.Level(i, sentence))
			}
		case !v.Metered(i):
			h.all = h.all && !v.Unmetered(i)
		case away && !v.Hears(i): // its meter shows what was there before
		default:
			level := v.Level(i, sentence)
			h.n++
			h.low, h.high, h.near = min(h.low, level), max(h.high, level), max(h.near, level.Above(v.Gate(i)))
			if away {
				h.nAway++
				h.away = min(h.away, level)
			}
		}
	}
	return h
}

// alike reports whether all microphones hear the same.
func (h *hearers) alike() bool { return h.high.Above(h.low) < heardAlike }

// hallAlone reports whether all that sounds is the hall: every microphone hears it alike, with one
// that was put away among them, or some of which nobody knows what they hear, and nobody on a line
// plays louder. Who plays before a microphone is heard louder there.
func hallAlone(v *desk.View) bool {
	h := hearersOf(v)
	return h.n > fewest && h.alike() && (h.nAway > 0 || !h.all) && h.line.Above(h.high) < heardAlike
}
