package desk

import (
	"math"
	"testing"
)

// heardOf lets a mix hear two seconds and a half of each of these, as inputs from 0 on.
func heardOf(m *Mix, from int, heard ...func(n int) float64) {
	for n := range 25 {
		for i, level := range heard {
			m.hear(set(InputFader, i, -10))
			m.hear(set(InputLevel, i, level(from+n)))
		}
		m.Fold()
	}
}

func powers(levels ...float64) float64 {
	sum := Power(0)
	for _, l := range levels {
		sum += DBFS(l).Power()
	}
	return float64(sum.Level())
}

// TestOverhears: what a microphone hears of a neighbour is nobody's own sound; a voice of
// its own is, though the neighbour goes on, and so is a player who keeps time with a
// louder one, or does not move at all.
func TestOverhears(t *testing.T) {
	horn := func(n int) float64 { return -18 + 3*math.Sin(float64(n)*0.9) + math.Sin(float64(n)*2.3) }
	drum := func(n int) float64 { return -18 + 4*math.Cos(float64(n)*1.3) }
	from := func(of func(int) float64, by float64) func(int) float64 {
		return func(n int) float64 { return of(n) - by }
	}
	steady := func(l float64) func(int) float64 { return func(int) float64 { return l } }
	for _, c := range []struct {
		name string
		own  func(n int) float64
		want bool
	}{
		{"the horn", from(horn, 15), true},
		{"the horn, and the room a little", func(n int) float64 { return powers(horn(n)-15, -48) }, true},
		{"the horn from near by", from(horn, 9), true},
		{"the horn as near as may be", from(horn, 4), true},
		{"the horn, too near to tell whose it is", from(horn, 2), false},
		{"a player near by who nearly plays the same", func(n int) float64 { return horn(n) - 9 + math.Sin(float64(n)*1.9) }, false},
		{"a player who keeps time with it", func(n int) float64 { return horn(n) - 15 + 2.5*math.Sin(float64(n)*1.9) }, false},
		{"somebody else", func(n int) float64 { return -33 + 3*math.Cos(float64(n)*1.7) }, false},
		{"a steady sound", steady(-33), false},
		{"nothing", steady(-70), false},
	} {
		m := NewMix(band(2, nil, nil), DefaultMixLimits(), DefaultMoveLimits())
		heardOf(m, 0, c.own, horn)
		v := m.View()
		if got := v.Overhears(0); got != c.want {
			t.Errorf("%s: overhears is %v, want %v", c.name, got, c.want)
		}
		if c.want && v.Sounds(0) {
			t.Errorf("%s: sounds, want not", c.name)
		}
		if v.Overhears(1) || !v.Sounds(1) {
			t.Errorf("%s: the horn itself is taken for what others play", c.name)
		}
	}

	m := NewMix(band(3, nil, nil), DefaultMixLimits(), DefaultMoveLimits())
	both := func(n int) float64 { return powers(horn(n)-15, drum(n)-15) }
	v := m.View()
	heardOf(m, 0, from(horn, 15), horn, steady(-70))
	heardOf(m, 25, from(drum, 15), steady(-70), drum)
	heardOf(m, 50, both, horn, drum)
	if !v.Overhears(0) {
		t.Error("horn and drum at once, each of which is known: want nobody's own")
	}
	heardOf(m, 75, func(n int) float64 { return powers(both(n), -28) }, horn, drum)
	if v.Overhears(0) {
		t.Error("a player has begun, and is taken for the horn and the drum still")
	}
	heardOf(m, 100, from(horn, 15), horn, steady(-70))
	heardOf(m, 125, from(horn, 25), horn, steady(-70))
	heardOf(m, 150, func(n int) float64 { return powers(horn(n)-25, -36) }, horn, steady(-70))
	if v.Overhears(0) {
		t.Error("turned away by 10 dB, and what is louder than that is the horn's still")
	}
}

// TestSilentBeside: who was silent while another played does not hear that one, however alike
// both were once, as in a hall that claps; who was silent while nobody played may.
func TestSilentBeside(t *testing.T) {
	hall := func(n int) float64 { return -20 + 4*math.Sin(float64(n)*0.9) }
	near := func(n int) float64 { return hall(n) - 4 }
	steady := func(l float64) func(int) float64 { return func(int) float64 { return l } }
	for _, c := range []struct {
		name  string
		other float64
		want  bool
	}{
		{"the other plays", -18, false},
		{"nobody plays", -70, true},
	} {
		m := NewMix(band(2, nil, nil), DefaultMixLimits(), DefaultMoveLimits())
		heardOf(m, 0, near, hall)
		silence := func() {
			for range 2 { // until neither counts as playing
				heardOf(m, 0, steady(-70), steady(-70))
			}
		}
		silence()
		heardOf(m, 0, steady(-70), steady(c.other))
		silence()
		heardOf(m, 0, steady(-22), steady(-18))
		v := m.View()
		if got := v.Overhears(0); got != c.want {
			t.Errorf("%s: overhears is %v, want %v", c.name, got, c.want)
		}
		if v.Overhears(1) {
			t.Errorf("%s: the other is taken for what it hears", c.name)
		}
	}
}

// TestWhoKeepsTimeWithTheClick: a cue leaks from headphones far below its own level, and who strikes with
// it, nearly as loud, is a player.
func TestWhoKeepsTimeWithTheClick(t *testing.T) {
	strokes := func(n int) float64 { return -16 - 3*float64(n%5) }
	for _, c := range []struct {
		name  string
		cue   bool
		below float64
		want  bool
	}{
		{"a drum that strikes with the click", true, 6, false},
		{"what leaks from a player's headphones", true, 24, true},
		{"what a microphone hears of a drum near by", false, 6, true},
	} {
		m := NewMix(band(2, nil, nil), DefaultMixLimits(), DefaultMoveLimits())
		m.roster.Inputs[1].Cue = c.cue
		heardOf(m, 0, func(n int) float64 { return strokes(n) - c.below }, strokes)
		v := m.View()
		if got := v.Overhears(0); got != c.want {
			t.Errorf("%s: overhears is %v, want %v", c.name, got, c.want)
		}
	}
}
