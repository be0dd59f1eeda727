package rules

import (
	"slices"
	"testing"
	"time"

	"pawl/rules/desk"
)

// TestNeverLetsGo: of settings that a hand has just made it takes two passages to know that a
// compressor never lets go by them, and then it is said once, whatever was said before of how much it
// takes; of those that nobody touched it is said with that.
func TestNeverLetsGo(t *testing.T) {
	const makes, second = minute, time.Second
	for _, c := range []struct {
		name        string
		threshold   float64 // made at one minute
		takes       float64 // from then on
		back        time.Duration
		speaks      bool
		from, until time.Duration // when it is known never to let go
	}{
		{"set just now", -36, 5, 0, true, makes + 40*second, makes + 42*second},
		{"set just now, and taken back", -36, 8, makes + 36*second, true, 0, 0},
		{"set just now, by very much", -36, 8, 0, true, makes + 40*second, makes + 42*second},
		{"set long ago", -20, 5, 0, true, makes + 10*second, makes + 30*second},
		{"set just now, in reason", -24, 2, 0, false, 0, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := band(2, nil, []string{"band"})
			for i := range r.Inputs {
				r.Inputs[i].Main, r.Inputs[i].Groups = false, []int{0}
			}
			j := newJudge(r)
			for at := time.Duration(0); at < 2*minute+30*second; at += desk.Beat {
				made := at >= makes && (c.back == 0 || at < c.back)
				threshold, takes := -20.0, 1.0
				if made {
					threshold, takes = c.threshold, c.takes
				}
				for _, h := range []desk.Reading{
					set(desk.GroupThreshold, 0, threshold), set(desk.GroupRatio, 0, 2), set(desk.GroupReduction, 0, takes),
					set(desk.InputFader, 0, -5), set(desk.InputFader, 1, -5), set(desk.InputLevel, 0, -20), set(desk.InputLevel, 1, -22),
				} {
					h.At = at
					j.Hear(h)
				}
			}
			all := of(said(j), "squeezed-group")
			if speaks := len(all) > 0; speaks != c.speaks {
				t.Fatalf("%s, want any: %v", tellings(all), c.speaks)
			}
			never, times := time.Duration(0), 0
			for _, f := range all {
				if slices.ContainsFunc(f.What, func(p Phrase) bool { return p.ID == "squeezed-group.never" }) {
					never = time.Duration(f.T)
					times++
				}
			}
			if never < c.from || never > c.until || times > 1 {
				t.Errorf("known never to let go at %v, want from %v to %v: %s", never, c.from, c.until, tellings(all))
			}
		})
	}
}
