package desk

import (
	"math"
	"testing"
)

// TestInputCompressorUntold: of a desk that tells no setting the reduction meter alone tells that
// an input's compressor was set anew, one press after another, and what was heard before is
// read again.
func TestInputCompressorUntold(t *testing.T) {
	s := newSqueezed()
	s.curve = Curve{Threshold: -14, Ratio: 3}
	s.play(150)
	s.near(t, "before", 0.01)
	for _, set := range []Curve{{-26, 3, 0}, {-26, 8, 0}, {-14, 8, 0}, {-14, 2, 0}, {-34, 6, 0}} {
		s.curve = set
		s.play(movedWithin)
		s.near(t, "a second after it was set", 0.5)
	}
}

// TestInputCompressorStands: a player who grows louder, through a compressor that stays as it
// is and lets go slowly, has not set it anew.
func TestInputCompressorStands(t *testing.T) {
	s := newSqueezed()
	s.curve = Curve{Threshold: -20, Ratio: 4}
	held := DB(0)
	for beat := range 400 {
		in := DBFS(-24 + 5*math.Sin(float64(beat)*0.7))
		if beat >= 200 {
			in += 8
		}
		held = max(s.curve.Reduction(in), held-0.5)
		s.hear(set(InputLevel, 0, float64(in-DBFS(held))))
		s.hear(set(InputReduction, 0, float64(held)))
		s.Fold()
		if got, want := s.inputs[0].newest().Level(), in-DBFS(held); got.Above(want).Abs() > 1e-6 {
			t.Fatalf("beat %d is at %v, was %v", beat, got, want)
		}
		if beat != 230 {
			continue
		}
		// Ten seconds: seven before he grew louder, in which nothing was taken that is now.
		for n := 31; n < meterSlots; n++ {
			if got := s.inputs[0].taken[s.inputs[0].ago(n)]; got > s.curve.Reduction(-19)+0.01 {
				t.Fatalf("%d beats before, %v was taken as it is read again, want what was", n, got)
			}
		}
	}
}

// TestInputCompressorInSteps: meters go by steps, and those that lie a whole limit apart are as near as
// they are wherever a meter begins to count. What is read again does not turn on how a sum was rounded.
func TestInputCompressorInSteps(t *testing.T) {
	type stretch struct {
		beats        int
		level, taken float64
	}
	for name, stretches := range map[string][]stretch{
		"half a decibel louder ahead of it": {{100, -20, 3}, {20, -20, 9.4}, {80, -14.1, 9.4}, {10, -14.1, 3}},
		"a decibel further":                 {{100, -20, 3}, {10, -21, 4}},
	} {
		t.Run(name, func(t *testing.T) {
			heard := func(level, taken float64) (all [meterSlots]float64) {
				s := newSqueezed()
				for _, x := range stretches {
					for range x.beats {
						s.hear(set(InputLevel, 0, float64(float32(x.level+level)))) // as it is sent
						s.hear(set(InputReduction, 0, float64(float32(x.taken+taken))))
						s.Fold()
					}
				}
				for n := range all {
					all[n] = float64(s.inputs[0].level(n)) - level
				}
				return all
			}
			want := heard(0, 0)
			for tenths := range 160 {
				by := float64(tenths) / 10
				for what, got := range map[string][meterSlots]float64{"level": heard(by, 0), "reduction": heard(0, by)} {
					for n := range got {
						if math.Abs(got[n]-want[n]) > 1e-4 {
							t.Fatalf("%s %.1f dB more, %d beats before the last: %.3f dBFS less that, was %.3f", what, by, n, got[n], want[n])
						}
					}
				}
			}
		})
	}
}
