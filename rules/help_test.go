package rules

import (
	"fmt"
	"strings"
	"time"

	"pgregory.net/rapid"

	"pawl/rules/desk"
)

const (
	ms     = time.Millisecond
	minute = time.Minute
)

// newJudge makes a judge by the default limits, of a desk that never goes quiet.
func newJudge(r desk.Roster) *Judge { return NewJudge(r, DefaultLimits(), Options{}) }

// band is a roster of n inputs straight to the main, with these DCAs and groups.
func band(n int, dcas, groups []string) desk.Roster {
	r := desk.Roster{DCAs: dcas, Groups: groups}
	for i := range n {
		r.Inputs = append(r.Inputs, desk.Input{Name: fmt.Sprintf("input %d", i+1), Main: true})
	}
	return r
}

func set(s desk.Signal, index int, value float64) desk.Reading {
	return desk.Reading{Signal: s, Index: index, Value: value}
}

// said is every finding that was said since the last call.
func said(j *Judge) []*Finding { return only[*Finding](j.Take(nil)) }

// only is the entries of one kind.
func only[E Entry](all []Entry) (some []E) {
	for _, e := range all {
		if e, ok := e.(E); ok {
			some = append(some, e)
		}
	}
	return some
}

// ids is the phrases of a finding, by name.
func ids(f *Finding) string {
	var all []string
	for _, p := range f.What {
		all = append(all, p.ID)
	}
	for _, p := range []Phrase{f.Try, f.Then} {
		if p.ID != "" {
			all = append(all, p.ID)
		}
	}
	return strings.Join(all, " ")
}

// figure is one figure of a phrase, which must have it.
func figure(t rapid.TB, p Phrase, name string) float64 {
	t.Helper()
	v, ok := p.Figures.Of(name)
	if !ok {
		t.Fatalf("%s has no figure %q: %+v", p.ID, name, p.Figures)
	}
	return v
}
