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
			all := squeezedBySetting(makes, c.back, c.threshold, c.takes)
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

// squeezedBySetting is what is said of a group of which a hand sets the threshold at a time, until it is set
// back if it is, and of what it takes from then on.
func squeezedBySetting(makes, back time.Duration, threshold, takes float64) []*Finding {
	r := band(2, nil, []string{"band"})
	for i := range r.Inputs {
		r.Inputs[i].Main, r.Inputs[i].Groups = false, []int{0}
	}
	j := newJudge(r)
	for at := time.Duration(0); at < 2*minute+30*time.Second; at += desk.Beat {
		stands, reduction := -20.0, 1.0
		if at >= makes && (back == 0 || at < back) {
			stands, reduction = threshold, takes
		}
		for _, h := range []desk.Reading{
			set(desk.GroupThreshold, 0, stands), set(desk.GroupRatio, 0, 2), set(desk.GroupReduction, 0, reduction),
			set(desk.InputFader, 0, -5), set(desk.InputFader, 1, -5), set(desk.InputLevel, 0, -20), set(desk.InputLevel, 1, -22),
		} {
			h.At = at
			j.Hear(h)
		}
	}
	return of(said(j), "squeezed-group")
}

// TestMuchIsHeardSoon: what takes more than twice what is plenty needs no second half of a passage once a
// hand has set it, and is said of as long as it has been so; of less, that it stays so is waited for.
func TestMuchIsHeardSoon(t *testing.T) {
	const makes = minute
	for _, c := range []struct {
		takes       float64
		after, over time.Duration
	}{
		{8, 15 * time.Second, 15 * time.Second},
		{6.2, 15 * time.Second, 15 * time.Second},
		{6, 40 * time.Second, desk.Passage},
		{4, 40 * time.Second, desk.Passage},
	} {
		all := squeezedBySetting(makes, 0, -36, c.takes)
		if len(all) == 0 {
			t.Fatalf("nothing is said of %g dB", c.takes)
		}
		f := all[0]
		if late := (time.Duration(f.T) - makes - c.after).Abs(); late > 300*ms {
			t.Errorf("%g dB: said %v after it was set, want %v: %s", c.takes, time.Duration(f.T)-makes, c.after, tellings(all))
		}
		for _, g := range f.What[0].Figures {
			if over := time.Duration(g.Value * float64(time.Second)); g.Name == "over" && (over-c.over).Abs() > 300*ms {
				t.Errorf("%g dB: said of %v, want %v", c.takes, over, c.over)
			}
		}
	}
}
