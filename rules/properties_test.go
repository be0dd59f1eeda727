package rules

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"
)

// TestRaisedAndReturnedLeavesNoTrace, whoever was raised: an input, a DCA, a group or the
// main.
func TestRaisedAndReturnedLeavesNoTrace(t *testing.T) {
	movers := []string{"piano", "accordion", "fiddle", "lead", "harp", "band", "low", "main"}
	rapid.Check(t, func(t *rapid.T) {
		who := rapid.SampledFrom(movers).Draw(t, "who")
		by := float64(rapid.IntRange(1, 8).Draw(t, "half dB")) / 2
		up, hold, down := draw(t, "up"), draw(t, "hold"), draw(t, "down")
		from := map[string]float64{"band": 0, "low": 0, "main": 0}
		at, known := from[who]
		if !known {
			at = -10
		}
		back := 30 + up + hold
		s := ScriptOf(&testing.T{}, "service", fmt.Sprintf("%s0s low fader 0\n30s %s fader %g over %gs\n%gs %s fader %g over %gs\n%gs end",
			fourEqual, who, at+by, up, back, who, at, down, back+down+60))
		j := newJudge(s.Roster)
		s.Play(j)
		if all := said(j); len(all) > 0 {
			t.Errorf("said %s", lives(all))
		}
		p := j.Picture()
		if rise := float64(p.Split.Faders) + float64(p.Split.Main) + float64(p.Split.Groups); !p.Mark.Set || rise > 0.01 || rise < -0.01 {
			t.Errorf("mark set %v, %v dB of it are left", p.Mark.Set, rise)
		}
	})
}

// draw is a time that a hand may take, in seconds.
func draw(t *rapid.T, label string) float64 {
	return float64(rapid.IntRange(1, 40).Draw(t, label+", tenths of a second")) / 10
}
