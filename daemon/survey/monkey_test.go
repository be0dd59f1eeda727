package survey

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"pawl/daemon/house"
)

// TestAnyAnswers: whatever is typed, and whatever moves meanwhile, the guide goes on, and
// what is drafted in the end are files that pass.
func TestAnyAnswers(t *testing.T) {
	typed := rapid.OneOf(rapid.SampledFrom([]string{"", "", "", "10", "-10", "0", "∞", "off", "none", "back", "not that one", "that was input 2", "it was dca 1", "that was ",
		"help", "stop", "-10 dB", "10dB", "1e9", "nan", "−40", "5", "3", "-60", "yes", "BACK ", "NaN", "+inf"}), rapid.StringN(0, 6, 20))
	rapid.Check(t, func(rt *rapid.T) {
		d := invent(t, rapid.Uint64Range(0, 500).Draw(rt, "desk"))
		d.pass(2)
		d.dump()
		d.pass(5)
		g := d.survey.Guide()
		for range rapid.IntRange(0, 70).Draw(rt, "answers") {
			s := strip(rapid.IntRange(0, 3).Draw(rt, "strip"))
			n := rapid.IntRange(0, min(2, d.n[s]-1)).Draw(rt, "n")
			switch rapid.IntRange(0, 3).Draw(rt, "move") {
			case 0:
				d.gains[s][n] = rapid.SampledFrom([]float64{math.Inf(-1), -60, -30, -10, 0, 5, 10}).Draw(rt, "to")
				d.fader(s, n)
			case 1:
				d.muted[s][n] = !d.muted[s][n]
				d.mute(s, n)
			}
			d.pass(rapid.SampledFrom([]int{1, 5, 35}).Draw(rt, "tenths"))
			before := g.Question()
			said := g.Tell(typed.Draw(rt, "typed"))
			sayable(t, said)
			sayable(t, g.Ask())
			sayable(t, OnPage(append(g.Ask(), said...)))
			if before != "" && len(said) == 0 {
				// A mark that is passed over at the end has nothing to be said of.
				if !strings.HasPrefix(before, "Every further mark") {
					rt.Errorf("%q was answered with nothing", before)
				}
			}
			if a := g.Asks(); (g.Question() == "") != (a == Asks{}) || a.Done < 0 {
				rt.Errorf("asks %+v, of %q", a, g.Question())
			}
			g.Faders()
			d.survey.Moving(2e9)
		}
		draft := d.survey.Draft(g, DraftOptions{})
		m := checked(rt, draft)
		if len(d.survey.Strips(m).Inputs) == 0 {
			return
		}
		text := d.survey.Strips(m).House(HouseOptions{Map: "draft.yaml"}, nil)
		if h, faults := (house.Files{"hall.yaml": text, "draft.yaml": draft}).Load("hall.yaml"); h == nil {
			rt.Errorf("%v\n%s\n%s", faults, text, draft)
		}
	})
}
