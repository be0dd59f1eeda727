package survey

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"testing"
)

// smooth are made-up scales without a simple law, from 0 to 1, of the kinds that faders have:
// ever steeper downwards, or with one slope above and another below and a bend between them
// that takes a good part of the travel. 10 dB is at the top.
func smooth() map[string]func(x float64) float64 {
	all := map[string]func(x float64) float64{}
	for _, k := range [][2]float64{{20, 1.5}, {10, 2.5}, {30, 1.2}, {15, 2}} {
		all[fmt.Sprint("exponential ", k)] = func(x float64) float64 { return 10 - k[0]*(math.Exp(k[1]*(1-x))-1) }
	}
	for _, k := range [][2]float64{{40, 30}, {30, 60}, {60, 10}} {
		all[fmt.Sprint("parabola ", k)] = func(x float64) float64 { return 10 - k[0]*(1-x) - k[1]*(1-x)*(1-x) }
		all[fmt.Sprint("cubic ", k)] = func(x float64) float64 { return 10 - k[0]*(1-x) - k[1]*(1-x)*(1-x)*(1-x) }
	}
	for _, k := range [][4]float64{{40, 120, 0.15, 0.4}, {50, 100, 0.2, 0.5}, {35, 90, 0.2, 0.5}} { // slopes above and below, width, where
		bend := func(x float64) float64 { return k[2] * math.Log1p(math.Exp((k[3]-x)/k[2])) }
		all[fmt.Sprint("bend ", k)] = func(x float64) float64 { return 10 - k[0]*(1-x) - (k[1]-k[0])*(bend(x)-bend(1)) }
	}
	for _, k := range []float64{1.5, 2, 3, 4} {
		all[fmt.Sprint("power ", k)] = func(x float64) float64 { return 10 + 20*k*math.Log10(x) }
	}
	return all
}

// where a scale has a mark.
func where(law func(float64) float64, db float64) float64 {
	lo, hi := 1e-9, 1.0
	for range 80 {
		if middle := (lo + hi) / 2; law(middle) < db {
			lo = middle
		} else {
			hi = middle
		}
	}
	return (lo + hi) / 2
}

// TestFourMarksAreEnough: with four marks of a smooth scale the drawn one is within 0.5 dB
// of it between them, wherever they are; and where it is not sure it says so.
func TestFourMarksAreEnough(t *testing.T) {
	for name, law := range smooth() {
		for _, printed := range [][]float64{{10, 0, -10, -30}, {10, 0, -10, -40}, {10, 5, -5, -20}, {10, 0, -20, -40}, {10, 0, -12, -36}, {10, 0, -10, -20}, {10, 5, 0, -10}} {
			var marks []point
			for _, db := range printed {
				marks = append(marks, point{where(law, db), db})
			}
			sc, ok := fit(marks, 0)
			if !ok {
				t.Fatalf("%s: no scale of %v", name, marks)
			}
			from, worst := marks[len(marks)-1].x, 0.0
			for k := range 201 {
				x := from + (1-from)*float64(k)/200
				worst = max(worst, math.Abs(sc.db(x)-law(x)))
			}
			if worst > 0.5 {
				t.Errorf("%s with %v: %.2f dB off between the marks; %s", name, printed, worst, inEnglish(sc.said...))
			}
		}
	}
}

// TestCurveOwnsItsDoubt: of scales with a sharp bend between far marks it says that it is not
// sure, by no less than a quarter of what it is off; and with the mark that it asks for it is
// never further off.
func TestCurveOwnsItsDoubt(t *testing.T) {
	helped := 0
	for _, k := range [][4]float64{{25, 250, 0.03, 0.3}, {30, 150, 0.05, 0.5}, {20, 400, 0.02, 0.2}, {40, 200, 0.08, 0.4}} {
		bend := func(x float64) float64 { return k[2] * math.Log1p(math.Exp((k[3]-x)/k[2])) }
		law := func(x float64) float64 { return 10 - k[0]*(1-x) - (k[1]-k[0])*(bend(x)-bend(1)) }
		off := func(printed []float64) (worst float64, sc scale, c curve) {
			var marks []point
			for _, db := range printed {
				marks = append(marks, point{where(law, db), db})
			}
			sc, _ = fit(marks, 0)
			slices.Reverse(marks)
			for i := range 401 {
				x := marks[0].x + (1-marks[0].x)*float64(i)/400
				worst = max(worst, math.Abs(sc.db(x)-law(x)))
			}
			return worst, sc, newCurve(marks)
		}
		marks := []float64{10, 0, -10, -40}
		four, sc, c := off(marks)
		doubt := c.worst()
		if four > 1 && (sc.helpful.ID == "" || doubt.by < four/4) {
			t.Errorf("%v: %.1f dB off, and it says %q, and of marks %q", k, four, inEnglish(sc.said...), inEnglish(sc.helpful))
		}
		marks = append(marks, (doubt.below.db+doubt.above.db)/2)
		slices.SortFunc(marks, func(a, b float64) int { return cmp.Compare(b, a) })
		five, _, _ := off(marks)
		t.Logf("%v: %.2f dB off, said %.2f; with the mark %.2f", k, four, doubt.by, five)
		if five > four+0.3 {
			t.Errorf("%v: %.2f dB off with four marks, %.2f with the one asked for", k, four, five)
		}
		if five < four-0.3 {
			helped++
		}
	}
	if helped == 0 {
		t.Error("no mark that was asked for made a scale truer")
	}
}
