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
	fewest     = 3           // beside the lead's: fewer may be all that sing
)

// hallIn reports whether what a lead's microphone hears is the hall.
func hallIn(v *desk.View, lead int) bool {
	level, since, heard := v.Level(lead, desk.Syllable), v.PlayingFor(lead), 0
	for i := range v.Inputs() {
		in := v.Input(i)
		if i == lead || !in.HasMic() || in.Cue || !v.Metered(i) {
			continue
		}
		alike := v.Level(i, desk.Syllable).Above(level).Abs() < heardAlike
		if playing := v.PlayingFor(i); in.Voice && playing > 0 {
			alike = alike && (playing-since).Abs() <= atOnce
		}
		switch {
		case alike:
			heard++
		case in.Voice:
			return false // and who plays on keeps nobody from hearing the hall
		}
	}
	return heard >= fewest
}
