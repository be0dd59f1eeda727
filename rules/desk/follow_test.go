package desk

import (
	"math"
	"testing"
	"time"
)

// TestFollows: a copy of a level has its ups and downs, whatever else it hears a little
// of; another voice has its own; two steady sounds cannot be told apart; and too little
// that is above the floor tells nothing.
func TestFollows(t *testing.T) {
	talk := func(n int) float64 { return -20 + 6*math.Sin(float64(n)*1.7) + 3*math.Sin(float64(n)*0.6) }
	other := func(n int) float64 { return -20 + 6*math.Cos(float64(n)*1.1) + 3*math.Sin(float64(n)*0.9) }
	for _, c := range []struct {
		name    string
		heard   func(n int) float64
		below   DB
		follows bool
	}{
		{"a copy", func(n int) float64 { return talk(n) - 14 }, 14, true},
		{"a copy that is louder", func(n int) float64 { return talk(n) + 9 }, -9, true},
		{"a copy and the room", func(n int) float64 { return talk(n) - 14 + math.Sin(float64(n)*5) }, 14, true},
		{"another voice", func(n int) float64 { return other(n) - 14 }, 14, false},
		{"a steady sound", func(n int) float64 { return -34 }, 14, false},
		{"hardly anything", func(n int) float64 { return -60 }, 0, false},
	} {
		m := NewMix(band(2, nil, nil), DefaultMixLimits(), DefaultMoveLimits())
		for n := range 20 {
			m.hear(set(InputLevel, 0, c.heard(n)))
			m.hear(set(InputLevel, 1, talk(n)))
			m.Fold()
		}
		v := m.View()
		below, follows := v.Follows(0, 1, -50, 2*LongestBeats/10)
		if follows != c.follows || follows && below.Above(c.below).Abs() > 0.5 {
			t.Errorf("%s: %v below, follows %v; want %v and %v", c.name, below, follows, c.below, c.follows)
		}
	}
	steady := mixOf(band(2, nil, nil), set(InputLevel, 0, -30), set(InputLevel, 1, -20))
	v := steady.View()
	if below, follows := v.Follows(0, 1, -50, LongestBeats); !follows || below.Above(10).Abs() > 1e-6 {
		t.Errorf("two steady sounds: %v below, follows %v; want 10 dB and true", below, follows)
	}
	silent := mixOf(band(2, nil, nil), set(InputLevel, 0, -30), set(InputLevel, 1, math.Inf(-1)))
	v = silent.View()
	if below, _ := v.Follows(0, 1, -50, LongestBeats); below.Above(-90).Abs() > 1e-6 {
		t.Errorf("beside no sound at all it is %v below; want -90 dB and no infinity", below)
	}
}

// TestBleeds: a sum of others, each of them far enough below, is told from a level that
// has ups and downs of its own or is louder than such a sum can be.
func TestBleeds(t *testing.T) {
	drum := func(n int) DBFS { return -12 - DBFS(n%6) }
	voice := func(n int) DBFS { return -16 - DBFS(7*n%11) }
	horn := func(n int) DBFS { return -14 - DBFS(n/5%3) }
	own := func(n int) DBFS { return -30 - DBFS(5*n%13) }
	sum := func(by DB) func(int) DBFS {
		return func(n int) DBFS { return (drum(n).Power() + voice(n).Power() + horn(n).Power()).Level() - DBFS(by) }
	}
	for _, c := range []struct {
		name   string
		closed func(n int) DBFS
		want   bool
	}{
		{"three together, 14 dB down", sum(14), true},
		{"the same, 10 dB down", sum(10), false},
		{"one alone", func(n int) DBFS { return drum(n) - 15 }, true},
		{"a voice of its own", own, false},
		{"a voice of its own over the three", func(n int) DBFS { return (sum(20)(n).Power() + (own(n) + 8).Power()).Level() }, false},
		{"too little to be told", func(n int) DBFS { return -60 }, false},
	} {
		m := NewMix(band(5, nil, nil), DefaultMixLimits(), DefaultMoveLimits())
		m.roster.Inputs[4].Cue = true
		for n := range 20 {
			for i, l := range []func(int) DBFS{c.closed, drum, voice, horn, func(n int) DBFS { return own(n) + 20 }} {
				m.hear(set(InputLevel, i, float64(l(n))))
			}
			m.Fold()
		}
		v := m.View()
		if got := v.Bleeds(0, 12, -50, 2*time.Second); got != c.want {
			t.Errorf("%s: bleeds %v, want %v", c.name, got, c.want)
		}
	}
}

// BenchmarkBleeds is a closed microphone on a stage of sixty-four.
func BenchmarkBleeds(b *testing.B) {
	m := NewMix(band(64, nil, nil), DefaultMixLimits(), DefaultMoveLimits())
	for n := range 20 {
		for i := range 64 {
			m.hear(set(InputLevel, i, -20-float64((n*(i+3))%17)))
		}
		m.Fold()
	}
	v := m.View()
	b.ReportAllocs()
	for b.Loop() {
		v.Bleeds(0, 12, -50, 2*time.Second)
	}
}
