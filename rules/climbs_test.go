package rules

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"pawl/rules/desk"
)

// anyClimb draws four minutes of the band of fourEqual at the hands of somebody who mostly
// raises, in steps great and small; now and then somebody plays louder or rests.
func anyClimb(t *rapid.T) Script {
	text, at := fourEqual, 20
	stands := map[string]float64{"piano": -10, "accordion": -10, "fiddle": -10, "lead": -10, "harp": -10, "band": 0}
	for range rapid.IntRange(4, 25).Draw(t, "events") {
		at += rapid.SampledFrom([]int{1, 2, 5, 5, 9, 9, 20, 47}).Draw(t, "later")
		who := rapid.SampledFrom([]string{"piano", "accordion", "fiddle", "lead", "piano", "accordion", "fiddle", "lead", "harp", "band"}).Draw(t, "who")
		switch rapid.IntRange(0, 9).Draw(t, "what") {
		case 0:
			if who != "band" {
				text += fmt.Sprintf("%ds %s level %d\n", at, who, rapid.SampledFrom([]int{-80, -26, -20, -14}).Draw(t, "level"))
			}
		case 1:
			stands[who] -= float64(rapid.IntRange(1, 8).Draw(t, "half dB")) / 2
			text += fmt.Sprintf("%ds %s fader %g\n", at, who, stands[who])
		default:
			stands[who] += float64(rapid.IntRange(1, 5).Draw(t, "half dB")) / 2
			text += fmt.Sprintf("%ds %s fader %g\n", at, who, stands[who])
		}
	}
	return ScriptOf(&testing.T{}, "climb", text+fmt.Sprintf("%ds end", at+60))
}

// toldOf is what the two rules of climbing say: who, when, which phrases, and the figures.
// Of equals it does not matter which is named first, nor which is to come down.
func toldOf(s *Script, later time.Duration) (lines []string, figures []float64) {
	j := newJudge(s.Roster)
	for _, r := range s.Readings {
		r.At += later
		j.Hear(r)
	}
	j.Advance(s.At + later)
	for _, f := range said(j) {
		if f.Rule != "ratchet" && f.Rule != "creep" {
			continue
		}
		names := slices.Clone(f.Inputs)
		slices.Sort(names)
		line := fmt.Sprint(time.Duration(f.T)-later, f.State, f.Rule, f.Weight, names)
		for _, p := range append(slices.Clone(f.What), f.Try, f.Then) {
			line += " " + p.ID
		}
		lines = append(lines, line)
		for _, g := range f.Figures {
			figures = append(figures, g.Value)
		}
	}
	return lines, figures
}

// holdsOfClimbs checks that a change of a service changes nothing of what is said.
func holdsOfClimbs(t *testing.T, change func(t *rapid.T, s *Script) (later time.Duration)) {
	heard := map[string]bool{}
	rapid.Check(t, func(t *rapid.T) {
		s := anyClimb(t)
		want, figures := toldOf(&s, 0)
		for _, rule := range []string{"ratchet", "creep"} {
			heard[rule] = heard[rule] || strings.Contains(strings.Join(want, " "), rule)
		}
		s.Roster, s.Readings = s.Roster.Clone(), slices.Clone(s.Readings)
		got, others := toldOf(&s, change(t, &s))
		if diff := unlike(want, got); diff != "" {
			t.Fatal(diff)
		}
		for i, f := range figures {
			if d := f - others[i]; d > 1e-6 || d < -1e-6 {
				t.Errorf("figure %d is %v, was %v", i, others[i], f)
			}
		}
	})
	for _, rule := range []string{"ratchet", "creep"} {
		if !heard[rule] {
			t.Errorf("no drawn service made %s speak: the test proves nothing of it", rule)
		}
	}
}

func TestAClimbIsTheSameWhereverItIsPluggedIn(t *testing.T) {
	holdsOfClimbs(t, func(t *rapid.T, s *Script) time.Duration {
		to := rapid.Permutation([]int{0, 1, 2, 3, 4}).Draw(t, "to")
		was := slices.Clone(s.Roster.Inputs)
		for i, in := range was {
			s.Roster.Inputs[to[i]] = in
		}
		for k := range s.Readings {
			if r := &s.Readings[k]; r.Signal.Of() == desk.StripInput {
				r.Index = to[r.Index]
			}
		}
		return 0
	})
}

// TestAClimbIsTheSameOnAnyMeter: without a compressor a constant on every meter, and on
// the gates that are read off them, is the desk's own business.
func TestAClimbIsTheSameOnAnyMeter(t *testing.T) {
	holdsOfClimbs(t, func(t *rapid.T, s *Script) time.Duration {
		by := float64(rapid.IntRange(-8, 8).Draw(t, "by"))
		for k := range s.Readings {
			if r := &s.Readings[k]; r.Signal == desk.InputLevel {
				r.Value += by
			}
		}
		for i := range s.Roster.Inputs {
			s.Roster.Inputs[i].Gate = desk.DefaultMixLimits().Gate + desk.DBFS(by)
		}
		return 0
	})
}

func TestAClimbIsTheSameLater(t *testing.T) {
	holdsOfClimbs(t, func(t *rapid.T, s *Script) time.Duration {
		return time.Duration(rapid.IntRange(1, 7200).Draw(t, "later")) * time.Second
	})
}
