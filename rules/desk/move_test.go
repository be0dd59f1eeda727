package desk

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"
)

const ms = time.Millisecond

// step is one value heard of one input's fader.
type step struct {
	at    time.Duration
	input int
	db    DB
}

// movesOf plays steps to a fresh finder and gives every move up to a minute after.
// Input faders stand at -10 for a minute before the first.
func movesOf(steps ...step) []Move {
	f := newFaders(Roster{Inputs: make([]Input, 8)})
	m := newMoves(DefaultMoveLimits(), &f)
	for i := range 8 {
		m.fader(-time.Minute, Mover{Strip: StripInput, Index: i}, -10)
	}
	m.done = nil
	return playMoves(m, &f, steps)
}

func playMoves(m *moves, f *Faders, steps []step) (all []Move) {
	until := func(at time.Duration) {
		for due, ok := m.due(); ok && due <= at; due, ok = m.due() {
			all = append(all, slices.Clone(m.settle(due, nil))...)
		}
	}
	for _, s := range steps {
		until(s.at)
		who := Mover{Strip: StripInput, Index: s.input}
		f.Set(who, s.db)
		m.fader(s.at, who, s.db)
	}
	last := time.Duration(0)
	if len(steps) > 0 {
		last = steps[len(steps)-1].at
	}
	until(last + time.Minute)
	return all
}

// ride is a stream of steps from one value to another.
func ride(at time.Duration, input int, from, to DB, over, every time.Duration) (steps []step) {
	n := int(over / every)
	for i := 1; i <= n; i++ {
		steps = append(steps, step{at + time.Duration(i)*every, input, from + (to-from)*DB(i)/DB(n)})
	}
	return steps
}

func inWords(moves []Move) string {
	var w []string
	for _, m := range moves {
		w = append(w, fmt.Sprintf("%s %.1f>%.1f", m.Kind, float64(m.From), float64(m.To)))
	}
	return strings.Join(w, ", ")
}

func TestMoves(t *testing.T) {
	repeated := func(steps []step) (out []step) {
		for _, s := range steps {
			out = append(out, s, step{s.at + 10*ms, s.input, s.db})
		}
		for i := range 50 {
			last := steps[len(steps)-1]
			out = append(out, step{last.at + time.Duration(i+1)*100*ms, last.input, last.db})
		}
		return out
	}
	lowered := ride(0, 0, -10, -14, time.Second, 30*ms)
	for _, c := range []struct {
		name  string
		steps []step
		want  string
	}{
		{"a stream of steps", ride(0, 0, -10, -8, time.Second, 30*ms), "raise -10.0>-8.0"},
		{"only where it ends", []step{{0, 0, -8}}, "raise -10.0>-8.0"},
		{"with repeats", repeated(ride(0, 0, -10, -8, time.Second, 30*ms)), "raise -10.0>-8.0"},
		{"sent coarsely", ride(0, 0, -10, -8, time.Second, 250*ms), "raise -10.0>-8.0"},
		{"fine steps and a slow end", slices.Concat(ride(0, 0, -10, -8, time.Second, 30*ms), ride(time.Second, 0, -8, -7.6, time.Second, 50*ms)), "raise -10.0>-7.6"},
		{"repeats without motion", []step{{0, 0, -10}, {time.Second, 0, -10}}, ""},
		{"drift", ride(0, 0, -10, -7, 30*time.Second, time.Second), ""},
		{"drift before a raise is not the raise's", slices.Concat(ride(0, 0, -10, -9.8, 6*time.Second, 3*time.Second), []step{{20 * time.Second, 0, -8}}), "raise -9.8>-8.0"},
		{"smaller than counts", []step{{0, 0, -9.6}}, ""},
		{"just counts", []step{{0, 0, -9.5}}, "raise -10.0>-9.5"},
		{"just counts in 32 bits", []step{{0, 0, DB(float32(-10.5))}, {time.Second, 0, DB(float32(-10.1)) + 0.1 - 1e-6}}, "lower -10.0>-10.5, return -10.5>-10.0"},
		{"there and back in one go", slices.Concat(ride(0, 0, -10, -8, 500*ms, 30*ms), ride(500*ms, 0, -8, -10, 500*ms, 30*ms)), ""},
		{"up and on down in one go", slices.Concat(ride(0, 0, -10, -8, 500*ms, 30*ms), ride(500*ms, 0, -8, -12, 500*ms, 30*ms)), "lower -10.0>-12.0"},
		{"two raises with a rest between", []step{{0, 0, -8}, {700 * ms, 0, -6}}, "raise -10.0>-8.0, raise -8.0>-6.0"},
		{"one raise in two pushes", []step{{0, 0, -8}, {500 * ms, 0, -6}}, "raise -10.0>-6.0"},
		{"a return", append(slices.Clone(lowered), ride(10*time.Second, 0, -14, -10, time.Second, 30*ms)...), "lower -10.0>-14.0, return -14.0>-10.0"},
		{"a return to nearly there", append(slices.Clone(lowered), step{10 * time.Second, 0, -9.5}), "lower -10.0>-14.0, return -14.0>-9.5"},
		{"no return: further", append(slices.Clone(lowered), step{10 * time.Second, 0, -9.4}), "lower -10.0>-14.0, raise -14.0>-9.4"},
		{"no return: too late", append(slices.Clone(lowered), step{32 * time.Second, 0, -10}), "lower -10.0>-14.0, raise -14.0>-10.0"},
		{"from closed", []step{{0, 0, Off}, {10 * time.Second, 0, -12}}, "take-out -10.0>-Inf, bring-in -Inf>-12.0"},
		{"from nearly closed", []step{{0, 0, -41}, {10 * time.Second, 0, -12}}, "take-out -10.0>-41.0, bring-in -41.0>-12.0"},
		{"from just open", []step{{0, 0, -40}, {40 * time.Second, 0, -12}}, "lower -10.0>-40.0, raise -40.0>-12.0"},
		{"closing and opening without rest", []step{{0, 0, Off}, {200 * ms, 0, -8}}, "raise -10.0>-8.0"},
		{"five jump at once", []step{{0, 0, -5}, {40 * ms, 1, -5}, {80 * ms, 2, -5}, {120 * ms, 3, -5}, {150 * ms, 4, -15}},
			"scene -10.0>-5.0, scene -10.0>-5.0, scene -10.0>-5.0, scene -10.0>-5.0, scene -10.0>-15.0"},
		{"a sixth belongs to the five", []step{{0, 0, -5}, {0, 1, -5}, {0, 2, -5}, {0, 3, -5}, {0, 4, -5}, {140 * ms, 5, -5}},
			strings.TrimSuffix(strings.Repeat("scene -10.0>-5.0, ", 6), ", ")},
		{"four jump at once", []step{{0, 0, -5}, {40 * ms, 1, -5}, {80 * ms, 2, -5}, {150 * ms, 3, -5}},
			strings.TrimSuffix(strings.Repeat("raise -10.0>-5.0, ", 4), ", ")},
		{"five jump too far apart", []step{{0, 0, -5}, {40 * ms, 1, -5}, {80 * ms, 2, -5}, {120 * ms, 3, -5}, {151 * ms, 4, -5}},
			strings.TrimSuffix(strings.Repeat("raise -10.0>-5.0, ", 5), ", ")},
		{"one fader jumping five times", []step{{0, 0, -5}, {30 * ms, 0, -10}, {60 * ms, 0, -5}, {90 * ms, 0, -10}, {120 * ms, 0, -5}}, "raise -10.0>-5.0"},
		{"five hands streaming", func() (all []step) {
			for i := range 5 {
				all = append(all, ride(time.Duration(i)*ms, i, -10, -5, time.Second, 25*ms)...)
			}
			slices.SortStableFunc(all, func(a, b step) int { return int(a.at - b.at) })
			return all
		}(), strings.TrimSuffix(strings.Repeat("raise -10.0>-5.0, ", 5), ", ")},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := inWords(movesOf(c.steps...)); got != c.want {
				t.Errorf("got %s\nwant %s", got, c.want)
			}
		})
	}
}

// TestSameGestureSameMove: however a desk sends it, the move is the same and ends
// within the hold of the hand's coming to rest.
func TestSameGestureSameMove(t *testing.T) {
	stream := ride(0, 0, -10, -7, 900*ms, 30*ms)
	for name, steps := range map[string][]step{
		"stream": stream, "coarse": ride(0, 0, -10, -7, 900*ms, 300*ms), "end only": {{900 * ms, 0, -7}},
	} {
		got := movesOf(steps...)
		if len(got) != 1 || got[0].Kind != Raise || got[0].From != -10 || got[0].To != -7 {
			t.Fatalf("%s: %s, want one raise from -10 to -7", name, inWords(got))
		}
		if late := got[0].End - 900*ms; late > DefaultMoveLimits().Still || late < -100*ms {
			t.Errorf("%s: ends at %v, want about 900ms", name, got[0].End)
		}
	}
}

// TestChatterComesToRest: a worn fader flickers about where it was left, on
// either side of the last value that moved.
func TestChatterComesToRest(t *testing.T) {
	for _, around := range []DB{-8, -4, -2.3} {
		steps := []step{{0, 0, around + 0.1}}
		for i := range 200 {
			steps = append(steps, step{time.Duration(i+1) * 40 * ms, 0, around + []DB{-0.1, 0.1, 0, 0.1}[i%4]})
		}
		got := movesOf(steps...)
		if len(got) != 1 || got[0].End > 200*ms {
			t.Errorf("around %v: %s ending %v, want one raise ending at once", around, inWords(got), got)
		}
	}
}

func newTestMoves() (*moves, *Faders) {
	f := newFaders(Roster{Inputs: make([]Input, 8), DCAs: []string{"band"}})
	return newMoves(DefaultMoveLimits(), &f), &f
}

func TestFirstWordOfAFaderIsNoRaise(t *testing.T) {
	m, f := newTestMoves()
	got := playMoves(m, f, []step{{0, 0, -10}, {time.Second, 0, -8}})
	if inWords(got) != "bring-in -Inf>-10.0, raise -10.0>-8.0" || !got[0].First || got[1].First {
		t.Errorf("got %s, %+v", inWords(got), got)
	}
}

func TestMutes(t *testing.T) {
	mute := func(m *moves, at time.Duration, inputs int, on bool) {
		for i := range inputs {
			m.mute(at, Mover{Strip: StripInput, Index: i}, on)
		}
	}
	t.Run("a lifted mute is a bring-in, a repeated one nothing", func(t *testing.T) {
		m, f := newTestMoves()
		f.Set(Mover{Strip: StripInput, Index: 0}, -10)
		mute(m, 0, 1, true)
		mute(m, 0, 1, true)
		mute(m, time.Second, 1, false)
		got := m.settle(2*time.Second, nil)
		if inWords(got) != "take-out -10.0>-Inf, bring-in -Inf>-10.0" || !got[0].First || got[1].First {
			t.Errorf("got %s, %+v", inWords(got), got)
		}
	})
	t.Run("the first dump of mutes is no scene", func(t *testing.T) {
		m, _ := newTestMoves()
		mute(m, 0, 8, true)
		for _, mv := range m.settle(time.Second, nil) {
			if mv.Kind != TakeOut {
				t.Errorf("got %v, want take-out", mv.Kind)
			}
		}
	})
	for _, c := range []struct {
		name         string
		closed, open int
		want         MoveKind
	}{
		{"five closed at once are", 5, 0, Scene},
		{"five opened at once are cues", 0, 5, BringIn},
		{"four opened as one is closed are", 1, 4, Scene},
	} {
		t.Run(c.name, func(t *testing.T) {
			m, _ := newTestMoves()
			for i := range c.closed + c.open {
				m.mute(0, Mover{Strip: StripInput, Index: i}, i >= c.closed)
			}
			m.settle(time.Second, nil)
			for i := range c.closed + c.open {
				m.mute(2*time.Second, Mover{Strip: StripInput, Index: i}, i < c.closed)
			}
			got := m.settle(3*time.Second, nil)
			if len(got) != 5 || slices.ContainsFunc(got, func(m Move) bool { return m.Kind != c.want }) {
				t.Errorf("got %s, want five times %v", inWords(got), c.want)
			}
		})
	}
	t.Run("one waits for its scene", func(t *testing.T) {
		m, _ := newTestMoves()
		mute(m, 0, 1, false)
		mute(m, 10*ms, 1, true)
		if due, _ := m.due(); due != 160*ms {
			t.Errorf("due at %v, want 160ms: it may yet turn out part of a scene", due)
		}
		m.recalled(100 * ms)
		if got := inWords(m.settle(time.Second, nil)); got != "scene -Inf>-Inf, scene 0.0>0.0" {
			t.Errorf("got %s", got)
		}
	})
}

func TestSceneByNumber(t *testing.T) {
	m, f := newTestMoves()
	playMoves(m, f, []step{{0, 0, -10}, {0, 1, -10}, {0, 2, -10}, {0, 3, -10}})
	at := 2 * time.Minute
	step := func(at time.Duration, input int, db DB) {
		f.Set(Mover{Strip: StripInput, Index: input}, db)
		m.fader(at, Mover{Strip: StripInput, Index: input}, db)
	}
	step(at-300*ms, 0, -5) // a hand, before it
	step(at-100*ms, 1, -5) // jumps just before the word
	m.recalled(at)
	step(at+100*ms, 2, -5) // and just after
	step(at+300*ms, 3, -5) // a hand again
	got := inWords(m.settle(at+time.Minute, nil))
	if want := "raise -10.0>-5.0, scene -10.0>-5.0, scene 0.0>0.0, scene -10.0>-5.0, raise -10.0>-5.0"; got != want {
		t.Errorf("got %s\nwant %s", got, want)
	}
}

// A scene's name beside its number is one recall, and alone it is one too.
func TestSceneByName(t *testing.T) {
	for _, c := range []struct {
		name  string
		heard []Reading
		want  int
	}{
		{"number, name", []Reading{{Signal: SceneNumber, Value: 3}, {Signal: SceneName, Text: "song"}}, 1},
		{"names alone", []Reading{{Signal: SceneName, Text: "song"}, {Signal: SceneName, Text: "song"}, {Signal: SceneName, Text: "talk"}}, 2},
		{"the same number again", []Reading{{Signal: SceneNumber, Value: 3}, {Signal: SceneNumber, Value: 3}}, 1},
	} {
		m := NewMix(Roster{}, DefaultMixLimits(), DefaultMoveLimits())
		for _, r := range c.heard {
			m.Hear(0, &r)
		}
		if got := len(m.Settle(time.Minute, nil)); got != c.want {
			t.Errorf("%s: %d changes of scene, want %d", c.name, got, c.want)
		}
	}
}
