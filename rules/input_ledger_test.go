package rules

import (
	"math"
	"testing"
	"time"

	"pawl/rules/desk"
)

// TestLedgerAddsUp holds the ledger against sums of powers, done here by hand: four equal
// inputs, two of them raised.
func TestLedgerAddsUp(t *testing.T) {
	_, j := serve(t, fourEqual+"20s piano fader -4\n30s fiddle fader -7\n40s accordion fader -12\n44s accordion fader -10\n60s end")
	l := j.Ledger()
	rows := map[string]LedgerRow{}
	for _, r := range l.Inputs {
		rows[r.Who.Name] = r
	}
	power := func(db float64) float64 { return math.Pow(10, db/10) }
	out := func(mine, rest float64) desk.DB { return desk.DB(10 * math.Log10(mine/rest)) }
	for _, c := range []struct {
		name   string
		moved  bool
		change Change
		raised desk.DB
		rest   float64 // power of all the others, each 1 at the mark
	}{
		{"piano", true, Upwards, 6, power(3) + 2},
		{"fiddle", true, Upwards, 3, power(6) + 2},
		{"accordion", true, Unchanged, 0, power(6) + power(3) + 1},
	} {
		r := rows[c.name]
		clearer := out(power(float64(c.raised)), c.rest) - out(1, 3)
		if r.Moved != c.moved || r.Change != c.change || (r.Raised-c.raised).Abs() > 0.01 || !r.Known || (r.Clearer-clearer).Abs() > 0.01 {
			t.Errorf("%s: %+v; want raised %v, clearer %v", c.name, r, c.raised, clearer)
		}
		if sum := r.Clearer.Shown() + r.Swallowed; (sum - r.Raised.Shown()).Abs() > 1e-9 {
			t.Errorf("%s: clearer and swallowed are %v, want the %v of the raise", c.name, sum, r.Raised)
		}
	}
	for i, want := range []string{"piano", "fiddle", "accordion"} {
		if got := l.Inputs[i].Who.Name; got != want {
			t.Errorf("row %d is %s, want %s", i, got, want)
		}
	}
	if last := l.Inputs[3]; last.Moved || len(last.Curve) != 0 || last.Change != Unchanged {
		t.Errorf("the one nobody touched is %+v", last)
	}
}

// TestLedgerKnowsClosed: what was brought in or taken out has no sum, and what does not play
// nobody can hear stand out.
func TestLedgerKnowsClosed(t *testing.T) {
	_, j := serve(t, fourEqual+"20s piano fader -inf\n40s end")
	for _, r := range j.Ledger().Inputs {
		if r.Who.Name == "piano" && (r.Change != Closed || r.Known || !r.Moved || r.Raised != desk.Off || r.Curve[len(r.Curve)-1] != desk.Off) {
			t.Errorf("a closed one is %+v", r)
		}
	}
	if none := newJudge(hall()).Ledger(); len(none.Inputs) != 0 {
		t.Errorf("%d rows before there is a mark, want none", len(none.Inputs))
	}
}

// TestCurvesStayShort: however long ago the mark is, a curve has few points, evenly apart.
func TestCurvesStayShort(t *testing.T) {
	s := ScriptOf(t, "long", fourEqual+"20s piano fader -6\n25s end")
	j := newJudge(s.Roster)
	s.Play(j)
	for _, after := range []time.Duration{time.Minute, 10 * time.Minute, time.Hour} {
		for j.at < after {
			j.Alive(j.at + time.Second)
		}
		l := j.Ledger()
		n := len(l.Inputs[0].Curve)
		long := float64(n-1) * l.Step
		since := (after - time.Duration(l.Since)).Seconds()
		if n > mostPoints+1 || n < mostPoints/2-2 || long < since-l.Step || long > since+l.Step {
			t.Errorf("after %v the curve has %d points, %v s apart, since %v s", after, n, l.Step, since)
		}
		if first := l.Inputs[0].Curve[0]; first != l.Inputs[0].Gain-l.Inputs[0].Raised {
			t.Errorf("after %v the curve begins at %v", after, first)
		}
	}
}
