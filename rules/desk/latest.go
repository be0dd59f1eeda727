package desk

import "time"

// latest is the desk's last word on every signal of every strip: what it said and
// when, whether or not anything is judged by it.
type latest struct {
	said  [len(signals)]lastWords
	texts map[spot]string
}

// lastWords are those on one signal: one for each strip, or of a membership one for
// each DCA or group of each input.
type lastWords struct {
	each  int // words a strip
	words []lastWord
}

// lastWord is the last reading of one signal of one strip.
type lastWord struct {
	heard bool
	post  bool
	at    time.Duration
	value float64
}

// spot is where a signal's last word is kept.
type spot struct {
	signal Signal
	slot   int
}

func newLatest(r Roster) latest {
	l := latest{texts: map[spot]string{}}
	strips := map[Strip]int{StripInput: len(r.Inputs), StripDCA: len(r.DCAs), StripGroup: len(r.Groups)}
	for _, s := range Signals() {
		n, each := 1, 1
		if s.Of().Indexed() {
			n = strips[s.Of()]
		}
		switch s {
		case InputDCA:
			each = len(r.DCAs)
		case InputGroup:
			each = len(r.Groups)
		}
		l.said[s] = lastWords{each, make([]lastWord, n*each)}
	}
	return l
}

// slot is where a reading's word is kept, or false for a strip that the roster lacks.
func (w *lastWords) slot(index, to int) (slot int, ok bool) {
	if w.each != 1 {
		if to < 0 || to >= w.each {
			return 0, false
		}
		index = index*w.each + to
	}
	return index, index >= 0 && index < len(w.words)
}

// take notes a reading, and reports whether the roster has its strip.
func (l *latest) take(at time.Duration, r *Reading) bool {
	w := &l.said[r.Signal]
	slot, ok := w.slot(r.Index, r.To)
	if !ok {
		return false
	}
	w.words[slot] = lastWord{true, r.Post, at, r.Value}
	if r.Text != "" {
		l.texts[spot{r.Signal, slot}] = r.Text
	}
	return true
}

// of is the last word on a signal of a strip.
func (l *latest) of(s Signal, index int) lastWord {
	if slot, ok := l.said[s].slot(index, 0); ok {
		return l.said[s].words[slot]
	}
	return lastWord{}
}

// Known is what the desk has said, as readings that would tell a fresh Mix the
// same. A desk that speaks only of changes will not say it twice, so a house file
// that was read again begins with it. What only the roster says is not among it.
func (m *Mix) Known() []Reading {
	var levels, rest []Reading
	for _, s := range Signals() {
		each := m.latest.said[s].each
		for slot, w := range m.latest.said[s].words {
			if !w.heard {
				continue
			}
			r := Reading{Signal: s, Index: slot / each, To: slot % each, Post: w.post, Value: w.value, Text: m.latest.texts[spot{s, slot}]}
			if s.Quantity() == Level {
				levels = append(levels, r) // after the faders, by which a post-fader one is read
			} else {
				rest = append(rest, r)
			}
		}
	}
	return append(rest, levels...)
}

// StripState is one input, DCA, group or the main as it was last heard, for
// whoever sets Pawl up and wants to see a wrong map at once.
type StripState struct {
	Mover   Mover
	Name    string // without what it is: "band", not "band DCA"
	Element Element

	Heard   bool          // anything at all was
	HeardAt time.Duration // when it last was
	Muted   bool

	FaderHeard bool
	Fader      DB // where the hand left it, mute apart

	Metered bool
	Level   DBFS // as the desk sent it, before or after the fader
}

// Strips is every strip as it was last heard: inputs, DCAs, groups, the main.
func (m *Mix) Strips() []StripState {
	out := make([]StripState, 0, m.faders.Len())
	for slot := range m.faders.Len() {
		who := m.faders.mover(slot)
		s := StripState{Mover: who, Name: m.roster.bare(who), Muted: m.muted[slot]}
		if who.Strip == StripInput {
			s.Element = m.roster.Inputs[who.Index].Element
		}
		for _, sig := range Signals() {
			w := m.latest.of(sig, who.Index)
			if sig.Of() != who.Strip || !w.heard {
				continue
			}
			s.Heard, s.HeardAt = true, max(s.HeardAt, w.at)
			switch sig {
			case InputFader, DCAFader, GroupFader, MainFader:
				s.FaderHeard, s.Fader = true, DB(w.value)
			case InputLevel, GroupLevel, MainLevel:
				s.Metered, s.Level = true, DBFS(w.value)
			}
		}
		out = append(out, s)
	}
	return out
}
