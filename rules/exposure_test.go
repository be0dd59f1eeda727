package rules

import (
	"math"
	"strings"
	"testing"
	"time"

	"pawl/rules/desk"
)

// TestBearable holds the time that a level may stand against NIOSH 98-126, Table 1-1, as
// printed: to a minute up to 94 dBA and to a second above. A row with a note is an erratum.
func TestBearable(t *testing.T) {
	worst := 0.0
	for _, row := range checked(t, "niosh_98126_table1_1.csv") {
		l, got := num(t, row[0]), bearable(desk.SPL(num(t, row[0])), 85)
		unit := 1.0
		if l <= 94 {
			unit = 60
		}
		if off := math.Abs(got-num(t, row[4])) / unit; row[6] == "" {
			if worst = max(worst, off); off > 1 {
				t.Errorf("%v dBA: %v s, printed %v", l, got, row[4])
			}
		}
		if math.Abs(got-num(t, row[5])) > 0.0051 {
			t.Errorf("%v dBA: %v s, want %v by the formula", l, got, row[5])
		}
	}
	t.Logf("largest deviation %.2f of a printed unit", worst)
}

// TestDoseOfADay holds the dose of a level that stands for eight hours against Table 1-2,
// which tells of each dose the level.
func TestDoseOfADay(t *testing.T) {
	for _, row := range checked(t, "niosh_98126_table1_2.csv") {
		if row[2] != "" {
			continue // an erratum
		}
		var e exposure
		e.add(desk.SPL(num(t, row[1])), 8*time.Hour, 85)
		// 3 dB are taken for a factor of two, and the level is printed with one decimal.
		if want := num(t, row[0]) / 100; num(t, row[1]) >= 80 && math.Abs(10*math.Log10(e.dose/want)) > 0.05+0.0035*math.Abs(num(t, row[1])-85) {
			t.Errorf("%v dBA: dose %.3f, want %.3f", row[1], e.dose, want)
		}
	}
}

// TestExposureCases are worked days from several hands. Schemes by which Pawl does not
// count (5 dB for half the time, peaks, points) are left out.
func TestExposureCases(t *testing.T) {
	ran := 0
	for _, row := range checked(t, "exposure_cases.csv") {
		if row[1] != "niosh" && row[1] != "pa2h" && row[4] != "lex_8h_dB" {
			continue
		}
		var e exposure
		hours := strings.Split(row[3], ";")
		for i, l := range strings.Split(row[2], ";") {
			e.add(desk.SPL(num(t, l)), time.Duration(num(t, hours[i])*float64(time.Hour)), 85)
		}
		got := map[string]float64{"dose_percent": 100 * e.dose, "pa2h": e.pascals(), "lex_8h_dB": float64(e.level(8 * time.Hour))}[row[4]]
		if math.Abs(got-num(t, row[5])) > num(t, row[6]) {
			t.Errorf("%s: %v, want %v", row[0], got, row[5])
		}
		ran++
	}
	if ran < 10 {
		t.Errorf("%d cases, want more", ran)
	}
}

// TestRoomDefaults: the limits of a house that sets none are the published ones.
func TestRoomDefaults(t *testing.T) {
	l := defaultRoomLoudLimits()
	want := map[string]desk.SPL{"WHO venues & events": l.Limit, "NIOSH REL 8 h": l.Day}
	for _, row := range checked(t, "exposure_limits.csv") {
		if limit, ok := want[row[0]]; ok && float64(limit) != num(t, row[1]) {
			t.Errorf("%s: %v, want %s", row[0], limit, row[1])
		}
		delete(want, row[0])
	}
	if len(want) > 0 {
		t.Errorf("no row for %v", want)
	}
}

// TestQuarter: silence that was not heard yet never makes it louder, and what is older than
// fifteen minutes is gone.
func TestQuarter(t *testing.T) {
	var q quarter
	for i := range 900 {
		q.add(100)
		if want := 100 + 10*math.Log10(float64(i+1)/900); math.Abs(float64(q.level(900))-want) > 1e-9 {
			t.Fatalf("after %d s: %v, want %v", i+1, q.level(900), want)
		}
	}
	for range 900 {
		q.add(70)
	}
	if got := q.level(900); math.Abs(float64(got)-70) > 1e-9 {
		t.Errorf("%v, want 70", got)
	}
}
