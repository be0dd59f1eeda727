package desk

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"
)

// check reads a table of testdata/checks without its head, each cell as a number; one
// that is none is NaN.
func check(t *testing.T, name string) (rows [][]float64) {
	t.Helper()
	f, err := os.Open("../../testdata/checks/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	all, err := r.ReadAll()
	if err != nil || len(all) < 2 {
		t.Fatalf("%s: %d rows: %v", name, len(all), err)
	}
	for _, cells := range all[1:] {
		row := make([]float64, len(cells))
		for i, cell := range cells {
			if row[i], err = strconv.ParseFloat(cell, 64); err != nil {
				row[i] = math.NaN()
			}
		}
		rows = append(rows, row)
	}
	return rows
}

// TestCurve holds the curve against points of the published one, and its inverse
// against itself wherever something is turned down.
func TestCurve(t *testing.T) {
	worst := 0.0
	for _, row := range check(t, "compressor_static.csv") {
		c := Curve{DBFS(row[0]), row[1], DB(row[2])}
		got := float64(c.Reduction(DBFS(row[3])))
		worst = max(worst, math.Abs(got-row[5]))
		if in, ok := c.In(DB(row[5])); row[5] > 0.001 && (!ok || math.Abs(float64(in)-row[3]) > 1e-5) {
			t.Errorf("%+v: turned down by %v is %v, want %v", c, row[5], in, row[3])
		}
	}
	// The file has nine digits.
	if worst > 1e-7 {
		t.Errorf("the curve is off by %g dB", worst)
	}
	t.Logf("largest deviation %.2g dB", worst)
}

func TestCurveOfNothing(t *testing.T) {
	for _, c := range []Curve{{}, {-20, 1, 0}, {-20, 0.5, 6}, {-20, math.NaN(), 6}} {
		if r := c.Reduction(0); r != 0 {
			t.Errorf("%+v turns down by %v", c, r)
		}
		if _, ok := c.In(3); ok {
			t.Errorf("%+v never turns down by 3 dB", c)
		}
	}
	if r := (Curve{-20, 4, 6}).Reduction(Silence); r != 0 {
		t.Errorf("silence is turned down by %v", r)
	}
}
