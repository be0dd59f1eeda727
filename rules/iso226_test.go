package rules

import (
	"math"
	"testing"

	"pawl/rules/desk"
)

// TestContours holds both directions of the formula against the standard: its table of
// constants, contours computed from it elsewhere, and values printed in its Annex B.
func TestContours(t *testing.T) {
	for i, row := range checked(t, "iso226_2023_params.csv") {
		if want := (contour{num(t, row[0]), num(t, row[1]), num(t, row[2]), num(t, row[3])}); contours[i] != want {
			t.Errorf("%+v, want %+v", contours[i], want)
		}
	}
	there, back := 0.0, 0.0
	for _, row := range checked(t, "iso226_2023_contours.csv") {
		c := contourAt(num(t, row[0]))
		for k, cell := range row[1:] {
			p, want := phon(20+10*k), num(t, cell)
			there = max(there, math.Abs(c.spl(p)-want))
			back = max(back, math.Abs(float64(c.phons(c.spl(p))-p)))
		}
	}
	if there > 6e-5 || back > 1e-9 {
		t.Errorf("off by %.2g dB one way and %.2g phon there and back, want four digits and none", there, back)
	}
	printed := 0.0
	for _, row := range checked(t, "iso226_2023_annexB_anchors.csv") {
		c, p, spl := contourAt(num(t, row[2])), phon(num(t, row[1])), num(t, row[3])
		off := math.Abs(c.spl(p) - spl)
		if row[4] == "phon" {
			off = math.Abs(float64(c.phons(spl) - p))
		}
		if printed = max(printed, off); off > num(t, row[5])+1e-9 {
			t.Errorf("%v Hz, %v phon, %v dB: off by %.3f", c.hz, p, spl, off)
		}
	}
	t.Logf("largest deviations: contours %.2g dB, there and back %.2g phon, Annex B %.3f", there, back, printed)
}

// TestLostLows: the lower the note, the more of it is lost; the more is turned down, the
// more; and nothing by nothing.
func TestLostLows(t *testing.T) {
	before := [len(lows)]desk.DB{}
	for down := desk.DB(0); down <= 20; down++ {
		lost, ok := lostLows(75, down)
		if !ok {
			t.Fatalf("no number for %v down", down)
		}
		for i := range lost {
			if down == 0 && lost[i].Abs() > 1e-9 || down > 0 && lost[i] <= before[i] || i > 0 && down > 0 && lost[i] >= lost[i-1] {
				t.Errorf("%v down: lost %v after %v", down, lost, before)
			}
		}
		before = lost
	}
	for _, c := range []struct {
		from desk.SPL
		down desk.DB
	}{{60, 30}, {30, 9}, {95, 3}, {75, desk.DB(math.Inf(1))}} {
		if lost, ok := lostLows(c.from, c.down); ok {
			t.Errorf("%v from %v: %v, want no number", c.down, c.from, lost)
		}
	}
}
