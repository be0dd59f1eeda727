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
		if in := v.Input(i); i == lead || !in.Voice || in.Cue || !v.Metered(i) {
			continue
		}
		if v.Level(i, desk.Syllable).Above(level).Abs() >= heardAlike {
			return false
		}
		if playing := v.PlayingFor(i); playing > 0 && (playing-since).Abs() > atOnce {
			return false
		}
		heard++
	}
	return heard >= fewest
}
