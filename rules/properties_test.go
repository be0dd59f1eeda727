package rules

import (
	"fmt"
	"testing"
	"time"

	"pgregory.net/rapid"

	"pawl/rules/desk"
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

// TestTheWayBackIsAWay: made as it is said, the faders' part is within half a decibel of
// nothing, unless the card says that it is not all of it; and nobody stands lower than
// the episode found them.
func TestTheWayBackIsAWay(t *testing.T) {
	names := []string{"piano", "accordion", "fiddle", "lead"}
	found := 0
	rapid.Check(t, func(t *rapid.T) {
		text, at := fourEqual, 20.
		stands := map[string]float64{}
		for range rapid.IntRange(3, 9).Draw(t, "raises") {
			who := rapid.SampledFrom(names).Draw(t, "who")
			stands[who] += float64(rapid.IntRange(1, 4).Draw(t, "half dB")) / 2
			text += fmt.Sprintf("%gs %s fader %g\n", at, who, stands[who]-10)
			at += float64(rapid.IntRange(2, 12).Draw(t, "later"))
		}
		s := ScriptOf(&testing.T{}, "service", text+fmt.Sprintf("%gs end", at+12))
		j := newJudge(s.Roster)
		s.Play(j)
		open := of(said(j), "ratchet")
		if len(open) == 0 || open[len(open)-1].State == Eased {
			return
		}
		found++
		l := ledgerOf(j)
		w := l.wayBack()
		if len(w.trims) > mostTrims {
			t.Errorf("%d trims", len(w.trims))
		}
		base := l.base
		for _, m := range w.trims {
			if m.by > l.limits.Trim || m.who == desk.Main {
				t.Errorf("%s down %v", nameOf(j, m.who), m.by)
			}
			signal := desk.InputFader
			if m.who.Strip == desk.StripDCA {
				signal = desk.DCAFader
			} else if l.now.Fader(m.who)-m.by < base.Fader(m.who)-0.05 {
				t.Errorf("%s is led to %v, below the %v where it was", nameOf(j, m.who), l.now.Fader(m.who)-m.by, base.Fader(m.who))
			}
			j.Hear(desk.Reading{At: j.at, Signal: signal, Index: m.who.Index, Value: float64(l.now.Fader(m.who) - m.by)})
		}
		j.Advance(j.at + 15*time.Second)
		v := j.view()
		var now desk.Balance
		v.Balance(&now, 10*time.Second)
		part := desk.Attribute(&base, &now).Faders
		if d := (part - w.part).Abs(); d > 0.05 {
			t.Errorf("the faders' part is %v, was to be %v", part, w.part)
		}
		if w.part <= near && part.Abs() > 0.55 {
			t.Errorf("the faders' part is %v once it is made", part)
		}
	})
	if found == 0 {
		t.Error("no service had a ratchet")
	}
}
