// Package otherwise lays what was said in a service beside what other limits would have
// said in it. It is arithmetic on entries: who judged them, and from what, is for its
// caller.
package otherwise

import (
	"cmp"
	"slices"
	"time"

	"pawl/rules"
)

// Entry is an entry with its time in the service, and of which judge it is: each counts
// its findings on its own.
type Entry struct {
	At    time.Duration // since the service began
	Judge int
	Entry rules.Entry
}

// Said is one finding, from its opening to its easing.
type Said struct {
	Finding *rules.Finding `json:"finding"` // as it was said last before it eased
	From    rules.Moment   `json:"from"`    // since the service began
	Until   rules.Moment   `json:"until"`   // eased, or the end of the service
	Eased   bool           `json:"eased"`
	Grew    int            `json:"grew"`   // times
	Weight  rules.Weight   `json:"weight"` // the most that it had
	Shown   bool           `json:"shown"`  // on the operator's screen at some time
}

// Row is a finding that was said then, that would be said with the other limits, or, if
// neither is nil, in both.
type Row struct {
	Then  *Said `json:"then"`
	Other *Said `json:"other"`
}

// Comparison is two lists side by side, in order of time.
type Comparison struct {
	Rows      []Row `json:"rows"`
	Both      int   `json:"both"`       // said in both
	OnlyThen  int   `json:"only_then"`  // and only then
	OnlyOther int   `json:"only_other"` // and only with the other limits
}

// near is how far apart the same thing may be said by two limits: one is patient where
// the other is not, and a ratchet that opens at the first raise opens at the third
// otherwise.
const near = 2 * time.Minute

// Compare matches what was said then with what would be said: the same rule, about the
// same inputs or some of them, while the other holds or shortly before or after. The
// closest in time are taken first, and nothing is matched twice.
func Compare(then, other []Entry) Comparison {
	a, b := findings(then), findings(other)
	paired, taken := pair(a, b), map[int]bool{}
	c := Comparison{Rows: []Row{}}
	for i := range a {
		row := Row{Then: &a[i]}
		if j, ok := paired[i]; ok {
			row.Other, taken[j] = &b[j], true
			c.Both++
		} else {
			c.OnlyThen++
		}
		c.Rows = append(c.Rows, row)
	}
	for j := range b {
		if !taken[j] {
			c.Rows = append(c.Rows, Row{Other: &b[j]})
			c.OnlyOther++
		}
	}
	slices.SortStableFunc(c.Rows, func(x, y Row) int { return cmp.Compare(x.at(), y.at()) })
	return c
}

// at is when a row is first about something.
func (r Row) at() rules.Moment {
	switch {
	case r.Then == nil:
		return r.Other.From
	case r.Other == nil:
		return r.Then.From
	}
	return min(r.Then.From, r.Other.From)
}

// pair gives for findings of the one list those of the other that are the same.
func pair(a, b []Said) map[int]int {
	type candidate struct {
		i, j  int
		apart rules.Moment
		alike int // inputs in both
	}
	var all []candidate
	for i := range a {
		for j := range b {
			if alike, ok := same(&a[i], &b[j]); ok {
				all = append(all, candidate{i, j, abs(a[i].From - b[j].From), alike})
			}
		}
	}
	slices.SortStableFunc(all, func(x, y candidate) int {
		// Of two that are as near and as like, that of the earlier findings: the other way round too.
		return cmp.Or(cmp.Compare(x.apart, y.apart), cmp.Compare(y.alike, x.alike), cmp.Compare(x.i+x.j, y.i+y.j))
	})
	paired, taken := map[int]int{}, map[int]bool{}
	for _, c := range all {
		if _, ok := paired[c.i]; !ok && !taken[c.j] {
			paired[c.i], taken[c.j] = c.j, true
		}
	}
	return paired
}

// same reports whether two findings are of one thing, and how many inputs both are about.
func same(a, b *Said) (alike int, ok bool) {
	if a.Finding.Rule != b.Finding.Rule || a.From > b.Until+rules.Moment(near) || b.From > a.Until+rules.Moment(near) {
		return 0, false
	}
	x, y := a.Finding.Inputs, b.Finding.Inputs
	for _, in := range x {
		if slices.Contains(y, in) {
			alike++
		}
	}
	return alike, alike > 0 || len(x) == 0 || len(y) == 0
}

// findings are those that opened, in order.
func findings(entries []Entry) (all []Said) {
	type key struct{ judge, number int }
	at := map[key]int{}
	last := rules.Moment(0)
	for _, e := range entries {
		last = max(last, rules.Moment(e.At))
		f, ok := e.Entry.(*rules.Finding)
		if !ok {
			continue
		}
		k := key{e.Judge, f.Number}
		i, open := at[k]
		if !open {
			if f.State != rules.Open {
				continue // it opened before the service
			}
			i = len(all)
			at[k] = i
			all = append(all, Said{From: rules.Moment(e.At)})
		}
		all[i].take(f, rules.Moment(e.At))
	}
	for i := range all {
		if !all[i].Eased {
			all[i].Until = max(last, all[i].From)
		}
	}
	return all
}

// take takes the next that was said of a finding.
func (s *Said) take(f *rules.Finding, at rules.Moment) {
	s.Weight, s.Shown = max(s.Weight, f.Weight), s.Shown || f.Shown
	switch f.State {
	case rules.Eased:
		s.Eased, s.Until = true, at
		return
	case rules.Grew:
		s.Grew++
	}
	s.Finding = f
}

func abs(m rules.Moment) rules.Moment { return max(m, -m) }
