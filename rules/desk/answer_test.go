package desk

import (
	"math"
	"testing"
)

// TestAnswerToNothing: those who feed a group now may be none of those whom it was heard with, as where they
// have no meter. What is let through is then as was last seen, and always a number.
func TestAnswerToNothing(t *testing.T) {
	known := curve{known: true, static: true, settings: Curve{-30, 3, 0}}
	f := feed{learned: &learnedCurve{}}
	for range 3 {
		f.add(DBFS(-20).Power(), -20, 5, &known)
	}
	a := f.refed(make([]Power, 3), known)
	for _, fed := range []Power{0, DBFS(-25).Power()} {
		if got := float64(a.to(fed)); !(math.Abs(got-float64(DB(-5).Ratio())) <= 1e-9) {
			t.Errorf("%v of what is fed at %v pass, want what 5 dB less is", got, fed.Level())
		}
	}
}
