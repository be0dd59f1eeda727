package practice

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"
)

// The rows follow the static curves of Giannoulis, Massberg and Reiss, JAES 60(6)
// 399-408 (2012), as three unrelated implementations have them.
func TestStaticCurve(t *testing.T) {
	f, err := os.Open("../../testdata/checks/compressor_static.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for i, row := range rows[1:] {
		var v [6]float64
		for k := range v {
			if v[k], err = strconv.ParseFloat(row[k], 64); err != nil {
				t.Fatalf("row %d: %v", i+2, err)
			}
		}
		s := squeeze{threshold: level(v[0]), ratio: v[1], knee: gain(v[2])}
		if got := float64(s.reduction(level(v[3]))); math.Abs(got-v[5]) > 1e-7 {
			t.Errorf("row %d: %+v at %v dBFS: reduction %v, want %v", i+2, s, v[3], got, v[5])
		}
	}
	if len(rows) < 100 {
		t.Errorf("%d rows, want all of them", len(rows))
	}
}

func TestSqueezeOfNothing(t *testing.T) {
	if got := (squeeze{threshold: -20, ratio: 4}).reduction(silent); got != 0 {
		t.Errorf("silence is reduced by %v dB, want 0", got)
	}
	if got := (squeeze{}).reduction(-3); got != 0 {
		t.Errorf("the zero squeeze reduces by %v dB, want 0", got)
	}
}
