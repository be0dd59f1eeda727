package otherwise

import (
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"pawl/rules"
)

// said makes the entries of findings, each of which is written as it is in these tests.
func said(list ...finding) (all []Entry) {
	for i, f := range list {
		one := func(state rules.State, at int) Entry {
			return Entry{At: time.Duration(at) * time.Second, Judge: f.judge, Entry: &rules.Finding{
				Number: i + 1, Rule: f.rule, State: state, Weight: rules.Whisper, Inputs: f.inputs,
			}}
		}
		all = append(all, one(rules.Open, f.from))
		if f.until > 0 {
			all = append(all, one(rules.Eased, f.until))
		}
	}
	slices.SortStableFunc(all, func(a, b Entry) int { return int(a.At - b.At) })
	return all
}

type finding struct {
	rule        string
	inputs      []string
	from, until int // seconds; until 0 for one that does not ease
	judge       int
}

func ratchet(from, until int, inputs ...string) finding {
	return finding{"ratchet", inputs, from, until, 0}
}

func TestCompare(t *testing.T) {
	for _, c := range []struct {
		name                 string
		then, other          []finding
		both, first, withNew int
	}{
		{name: "nothing"},
		{"the same", []finding{ratchet(10, 60, "piano")}, []finding{ratchet(10, 60, "piano")}, 1, 0, 0},
		{"only then", []finding{ratchet(10, 60, "piano")}, nil, 0, 1, 0},
		{"only with the others", nil, []finding{ratchet(10, 60, "piano")}, 0, 0, 1},
		{"later, and one more", []finding{ratchet(10, 60, "piano", "harp")}, []finding{ratchet(40, 90, "piano", "harp", "horn")}, 1, 0, 0},
		{"just after it eased", []finding{ratchet(10, 60, "piano")}, []finding{ratchet(170, 190, "piano")}, 1, 0, 0},
		{"long after", []finding{ratchet(10, 60, "piano")}, []finding{ratchet(190, 210, "piano")}, 0, 1, 1},
		{"another rule", []finding{{"creep", []string{"piano"}, 10, 60, 0}}, []finding{ratchet(10, 60, "piano")}, 0, 1, 1},
		{"about somebody else", []finding{ratchet(10, 60, "piano")}, []finding{ratchet(10, 60, "harp")}, 0, 1, 1},
		{"about nobody", []finding{{"main-down", nil, 10, 60, 0}}, []finding{{"main-down", nil, 12, 60, 0}}, 1, 0, 0},
		{"one of two, the closest", []finding{ratchet(10, 60, "piano")}, []finding{ratchet(50, 60, "piano"), ratchet(100, 110, "piano")}, 1, 0, 1},
		{"each its own", []finding{ratchet(10, 60, "piano"), ratchet(100, 160, "piano")}, []finding{ratchet(12, 60, "piano"), ratchet(101, 160, "piano")}, 2, 0, 0},
		{"never eased", []finding{ratchet(10, 0, "piano")}, []finding{ratchet(400, 0, "piano"), {"creep", nil, 600, 0, 0}}, 0, 1, 2},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := Compare(said(c.then...), said(c.other...))
			if got.Both != c.both || got.OnlyThen != c.first || got.OnlyOther != c.withNew || len(got.Rows) != c.both+c.first+c.withNew {
				t.Errorf("%d in both, %d then, %d otherwise, %d rows; want %d, %d, %d", got.Both, got.OnlyThen, got.OnlyOther, len(got.Rows), c.both, c.first, c.withNew)
			}
		})
	}
}

// TestLives: a finding is what was said of it, by its own judge, and one that had opened
// before the service is none of it.
func TestLives(t *testing.T) {
	entry := func(at int, judge, number int, state rules.State, weight rules.Weight, shown bool) Entry {
		return Entry{time.Duration(at), judge, &rules.Finding{Number: number, Rule: "creep", State: state, Weight: weight, Shown: shown}}
	}
	got := findings([]Entry{
		entry(1, 0, 7, rules.Grew, rules.Nudge, true),
		entry(2, 0, 8, rules.Open, rules.Whisper, false),
		entry(3, 1, 8, rules.Open, rules.Now, false),
		entry(4, 0, 8, rules.Grew, rules.Nudge, true),
		entry(5, 0, 8, rules.Eased, rules.Nudge, true),
		entry(9, 1, 1, rules.Eased, rules.Nudge, true),
	})
	if len(got) != 2 {
		t.Fatalf("%d findings, want 2: %+v", len(got), got)
	}
	if a := got[0]; a.From != 2 || a.Until != 5 || !a.Eased || a.Grew != 1 || a.Weight != rules.Nudge || !a.Shown || a.Finding.State != rules.Grew {
		t.Errorf("the first is %+v", a)
	}
	if b := got[1]; b.From != 3 || b.Until != 9 || b.Eased || b.Weight != rules.Now || b.Shown {
		t.Errorf("the second is %+v", b)
	}
}

// TestCompareAddsUp: whatever is said, every finding is in exactly one row, what is
// compared with itself is the same throughout, and the other way round it is the mirror.
func TestCompareAddsUp(t *testing.T) {
	draw := rapid.Custom(func(t *rapid.T) finding {
		from := rapid.IntRange(0, 2000).Draw(t, "from")
		return finding{
			rapid.SampledFrom([]string{"ratchet", "creep"}).Draw(t, "rule"), rapid.SliceOfNDistinct(rapid.SampledFrom([]string{"piano", "harp", "horn"}), 0, 3, rapid.ID).Draw(t, "inputs"),
			from, rapid.SampledFrom([]int{0, from + 1, from + 100}).Draw(t, "until"), 0,
		}
	})
	rapid.Check(t, func(t *rapid.T) {
		a, b := said(rapid.SliceOfN(draw, 0, 8).Draw(t, "then")...), said(rapid.SliceOfN(draw, 0, 8).Draw(t, "other")...)
		n, m := len(findings(a)), len(findings(b))
		c := Compare(a, b)
		if c.Both+c.OnlyThen != n || c.Both+c.OnlyOther != m || len(c.Rows) != n+m-c.Both {
			t.Fatalf("%+v of %d and %d", c, n, m)
		}
		if !slices.IsSortedFunc(c.Rows, func(x, y Row) int { return int(x.at() - y.at()) }) {
			t.Fatal("the rows are not in order of time")
		}
		if self := Compare(a, a); self.Both != n {
			t.Fatalf("compared with itself %d of %d are the same", self.Both, n)
		}
		if back := Compare(b, a); back.Both != c.Both || back.OnlyThen != c.OnlyOther {
			t.Fatalf("the other way round %+v, not %+v", back, c)
		}
	})
}
