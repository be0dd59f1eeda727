package desk

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"
)

// gesture is one motion of one input's fader or source gain, which ends at a time.
type gesture struct {
	gain bool
	end  time.Duration
	over time.Duration // 0 for one step
	from DB
	to   DB
	who  int
}

// sending is a way in which desks tell of a gesture.
type sending func(g gesture) []gesture

var sendings = map[string]sending{
	"a stream of steps": func(g gesture) (all []gesture) {
		n := max(int(g.over/(30*ms)), 1)
		for i := 1; i <= n; i++ {
			s := g
			s.end = g.end - g.over + g.over*time.Duration(i)/time.Duration(n)
			if s.to = g.from + (g.to-g.from)*DB(i)/DB(n); i == n || g.from == Off || g.to == Off {
				s.to = g.to
			}
			all = append(all, s)
		}
		return all
	},
	"where it ends": func(g gesture) []gesture { return []gesture{g} },
}

func init() {
	stream := sendings["a stream of steps"]
	sendings["with every value repeated"] = func(g gesture) (all []gesture) {
		for _, s := range stream(g) {
			again := s
			again.end += 10 * ms
			all = append(all, s, again)
		}
		for range 8 {
			last := all[len(all)-1]
			last.end += 200 * ms
			all = append(all, last)
		}
		return all
	}
}

// movesSent is the moves of gestures sent in some way, in words; the faders of eight
// inputs stand at -10 dB and their gains at 30 dB before.
func movesSent(send sending, gestures []gesture) string {
	f := newFaders(Roster{Inputs: make([]Input, 8)})
	m := newMoves(DefaultMoveLimits(), &f)
	for i := range 8 {
		f.Set(Mover{Strip: StripInput, Index: i}, -10)
		m.fader(-time.Minute, Mover{Strip: StripInput, Index: i}, -10)
		m.gain(-time.Minute, i, 30)
	}
	m.done = nil
	var all []gesture
	for _, g := range gestures {
		all = append(all, send(g)...)
	}
	slices.SortStableFunc(all, func(a, b gesture) int { return cmp.Compare(a.end, b.end) })
	var words []string
	until := func(at time.Duration) {
		for due, ok := m.due(); ok && due <= at; due, ok = m.due() {
			for _, mv := range m.settle(due, nil) {
				w := fmt.Sprintf("%s %.1f>%.1f", mv.Kind, float64(mv.From), float64(mv.To))
				if mv.Kind == GainSet {
					w = fmt.Sprintf("%s %+.1f", mv.Kind, float64(mv.Gain))
				}
				words = append(words, w)
			}
		}
	}
	for _, s := range all {
		until(s.end)
		if s.gain {
			m.gain(s.end, s.who, s.to)
			continue
		}
		f.Set(Mover{Strip: StripInput, Index: s.who}, s.to)
		m.fader(s.end, Mover{Strip: StripInput, Index: s.who}, s.to)
	}
	until(time.Hour)
	return strings.Join(words, ", ")
}

// TestHowADeskTellsOfAMoveMakesNoOther: all that a move may be, sent in each way.
func TestHowADeskTellsOfAMoveMakesNoOther(t *testing.T) {
	fader := func(end time.Duration, from, to DB) gesture {
		return gesture{end: end, over: 900 * ms, from: from, to: to}
	}
	gain := func(end time.Duration, from, to DB) gesture {
		return gesture{gain: true, end: end, over: 900 * ms, from: from, to: to}
	}
	recall := func(end time.Duration) (all []gesture) {
		for i := range 5 {
			all = append(all, gesture{end: end + time.Duration(i)*20*ms, who: i, from: -10, to: -4})
		}
		return all
	}
	s := time.Second
	for _, c := range []struct {
		name     string
		gestures []gesture
		want     string
	}{
		{"a raise", []gesture{fader(s, -10, -7)}, "raise -10.0>-7.0"},
		{"a lowering and its return within 30 s", []gesture{fader(s, -10, -14), fader(30*s, -14, -10)}, "lower -10.0>-14.0, return -14.0>-10.0"},
		{"later it is a raise, whatever it adds", []gesture{fader(s, -10, -14), fader(33*s, -14, -10)}, "lower -10.0>-14.0, raise -14.0>-10.0"},
		{"a bring-in", []gesture{fader(s, -10, Off), fader(9*s, Off, -12)}, "take-out -10.0>-Inf, bring-in -Inf>-12.0"},
		{"a bring-in from nearly closed", []gesture{fader(s, -10, -41), fader(9*s, -41, -12)}, "take-out -10.0>-41.0, bring-in -41.0>-12.0"},
		{"a change of scene", recall(s), strings.TrimSuffix(strings.Repeat("scene -10.0>-4.0, ", 5), ", ")},
		{"gain down, fader up by as much", []gesture{gain(s, 30, 26), fader(8*s, -10, -6)}, "gain-set -4.0"},
		{"the fader first", []gesture{fader(s, -10, -6), gain(8*s, 30, 26)}, "raise -10.0>-6.0, gain-set -4.0"},
		{"gain up, fader down by as much", []gesture{gain(s, 30, 33), fader(8*s, -10, -13)}, "gain-set +3.0"},
		{"the fader further than the gain", []gesture{gain(s, 30, 26), fader(8*s, -10, -4)}, "gain-set -4.0, raise -6.0>-4.0"},
		{"the gain further than the fader", []gesture{gain(s, 30, 36), fader(8*s, -10, -14)}, "gain-set +6.0, raise -16.0>-14.0"},
		{"in two strokes of the fader", []gesture{gain(s, 30, 24), fader(4*s, -10, -7), fader(8*s, -7, -4)},
			"gain-set -6.0, lower -4.0>-7.0, gain-set +0.0"},
		{"both up are no gain set right", []gesture{gain(s, 30, 34), fader(8*s, -10, -6)}, "raise -10.0>-6.0"},
		{"11 s apart", []gesture{gain(s, 30, 26), fader(13*s, -10, -6)}, "raise -10.0>-6.0"},
		{"a gain alone", []gesture{gain(s, 30, 26)}, ""},
		{"what a scene did to a gain", append(recall(s), gesture{gain: true, end: s + 50*ms, who: 0, from: 30, to: 20}, gesture{end: 5 * s, over: 900 * ms, who: 0, from: -4, to: -1}),
			strings.Repeat("scene -10.0>-4.0, ", 5) + "raise -4.0>-1.0"},
	} {
		for way, send := range sendings {
			if got := movesSent(send, c.gestures); got != c.want {
				t.Errorf("%s, sent as %s:\ngot  %s\nwant %s", c.name, way, got, c.want)
			}
		}
	}
}

// TestOneStepOfACoarseFaderCounts: a fader that knows only whole decibels or two at a
// time has moved when it has gone one step.
func TestOneStepOfACoarseFaderCounts(t *testing.T) {
	for _, step := range []DB{0.5, 1, 2} {
		want := fmt.Sprintf("raise -10.0>%.1f, lower %.1f>-10.0", float64(-10+step), float64(-10+step))
		got := movesSent(sendings["where it ends"], []gesture{{end: time.Second, from: -10, to: -10 + step}, {end: time.Minute, from: -10 + step, to: -10}})
		if got != want {
			t.Errorf("steps of %v: got %s, want %s", step, got, want)
		}
	}
}

func TestRegainedIsTheSameMix(t *testing.T) {
	m := NewMix(Roster{Inputs: []Input{{Main: true}, {Main: true}}}, DefaultMixLimits(), DefaultMoveLimits())
	for i := range 2 {
		m.Hear(0, &Reading{Signal: InputFader, Index: i, Value: -10})
		m.Hear(0, &Reading{Signal: InputLevel, Index: i, Value: -20})
	}
	m.Fold()
	base := &Balance{}
	v := m.View()
	v.Balance(base, time.Second)
	mark := Mark{Set: true, Total: base.Total(), Base: base}
	got := mark.Regained(1, 6)
	if d := got.Base.Total().Above(base.Total()); d.Abs() > 1e-9 {
		t.Errorf("the total is %v another", d)
	}
	if f := got.Base.Fader(Mover{StripInput, 1}); (f+16).Abs() > 1e-9 || base.Fader(Mover{StripInput, 1}) != -10 {
		t.Errorf("fader %v and before %v, want -16 and -10", f, base.Fader(Mover{StripInput, 1}))
	}
	if none := (Mark{}).Regained(0, 6); none.Set || none.Base != nil {
		t.Error("a mark that is none has become one")
	}
}
