package rules

import (
	"encoding/csv"
	"os"
	"strconv"
	"testing"

	"pawl/rules/desk"
)

// TestOpenMicrophones holds the sum of open microphones against testdata/checks/nom.csv,
// whose rows name their sources: the gain before feedback that is lost is the sum that
// is gained.
func TestOpenMicrophones(t *testing.T) {
	f, err := os.Open("../testdata/checks/nom.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil || len(rows) < 2 {
		t.Fatal(err, len(rows))
	}
	for _, row := range rows[1:] {
		var n [4]float64
		for i := range n {
			if n[i], err = strconv.ParseFloat(row[i], 64); err != nil {
				t.Fatal(err)
			}
		}
		change, tolerance := desk.DB(n[2]), desk.DB(n[3])
		if got := openSum(t, int(n[0]), int(n[1])); (got + change).Abs() > tolerance {
			t.Errorf("from %v open microphones to %v the sum gains %v, want %v (%s)", n[0], n[1], got, -change, row[4])
		}
	}
}

// openSum is how much the sum of open microphones gains from so many at the mark to so
// many, all of them at 0 dB.
func openSum(t *testing.T, from, to int) desk.DB {
	t.Helper()
	r := band(max(from, to), nil, nil)
	open := func(n int) *desk.Mix {
		m := desk.NewMix(r, desk.DefaultMixLimits(), desk.DefaultMoveLimits())
		for i := range n {
			m.Hear(0, &desk.Reading{Signal: desk.InputFader, Index: i})
		}
		return m
	}
	for i := range r.Inputs {
		r.Inputs[i].Voice = true
	}
	var mark desk.Balance
	then := open(from).View()
	then.Balance(&mark, desk.Beat)
	v := open(to).View()
	v.Mark = desk.Mark{Set: true, Base: &mark}
	sums, ok := (&openMics{limits: defaultOpenMicsLimits()}).sum(&v)
	if !ok {
		t.Fatal("no sum")
	}
	return sums.now.Above(sums.mark)
}
