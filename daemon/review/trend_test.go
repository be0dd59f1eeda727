package review

import (
	"slices"
	"strings"
	"testing"
	"time"

	"pawl/rules"
	"pawl/rules/desk"
)

// week is a service of 20 minutes, so many weeks after the first, with ratchets that are
// shown and never taken back, and raises in solo.
func week(n, ratchets, solos int) Listed {
	s := newMade(20*time.Minute).part(0, 1, desk.Music)
	s.m.Service.ID, s.m.Service.Began, s.m.Service.Ended = int64(n+1), evening.AddDate(0, 0, 7*n), evening.AddDate(0, 0, 7*n).Add(20*time.Minute)
	s.m.Stretches[0].Run.Zero = s.m.Service.Began
	s.m.Service.Mixing = []string{"first team", "second team"}[n%2]
	for i := range ratchets {
		s.find(float64(100+60*i), 1+i, "ratchet", rules.Open, rules.Nudge, true, 3, input(0)).What = []rules.Phrase{rules.Say("crowded.eased")}
	}
	for i := range solos {
		s.find(float64(600+20*i), 50+i, "solo-raise", rules.Open, rules.Whisper, true, 0, input(1))
	}
	return List(s.m, Options{})
}

// short is a service with too little music for anything.
func short(n int) Listed {
	s := newMade(3*time.Minute).part(0, 1, desk.Music)
	s.m.Service.ID, s.m.Service.Began = int64(n+1), evening.AddDate(0, 0, 7*n)
	s.m.Service.Ended = s.m.Service.Began.Add(3 * time.Minute)
	s.m.Stretches[0].Run.Zero = s.m.Service.Began
	s.find(100, 1, "ratchet", rules.Open, rules.Nudge, true, 3, input(0))
	return List(s.m, Options{})
}

// TestOneThing chooses by the last four services with enough music, and chooses the same
// whatever the order in which they are given.
func TestOneThing(t *testing.T) {
	for _, c := range []struct {
		name     string
		services []Listed
		want     string // name, or "" for none
		moments  int
	}{
		{"no service", nil, "", 0},
		{"one service is no habit", []Listed{week(0, 5, 5)}, "", 0},
		{"twice not taken back", []Listed{week(0, 1, 0), week(1, 1, 0)}, "not-back", 2},
		{"once is none", []Listed{week(0, 1, 0), week(1, 0, 0), week(2, 0, 0)}, "", 0},
		{"what is in more services", []Listed{week(0, 4, 1), week(1, 4, 1), week(2, 0, 1)}, "solo-raises", 3},
		{"of as many services, what is more often", []Listed{week(0, 1, 3), week(1, 1, 3)}, "solo-raises", 6},
		{"the fifth but last does not count", []Listed{week(0, 9, 0), week(1, 9, 0), week(2, 0, 0), week(3, 0, 0), week(4, 0, 0), week(5, 0, 0)}, "", 0},
		{"nor do short ones", []Listed{week(0, 1, 0), week(1, 1, 0), short(2), short(3), short(4)}, "not-back", 2},
	} {
		t.Run(c.name, func(t *testing.T) {
			given := slices.Clone(c.services)
			got := ChooseOneThing(given, Options{})
			slices.Reverse(given)
			again := ChooseOneThing(given, Options{})
			if (got == nil) != (c.want == "") || (again == nil) != (got == nil) {
				t.Fatalf("chose %+v, then %+v, want %q", got, again, c.want)
			}
			if got == nil {
				return
			}
			if got.Name != c.want || again.Name != c.want || len(got.Moments) != c.moments || got.What == "" || got.Why == "" {
				t.Errorf("chose %+v, then %+v, want %s from %d moments", got, again, c.want, c.moments)
			}
			if !slices.IsSortedFunc(got.Moments, func(a, b Moment) int { return b.At.Compare(a.At) }) {
				t.Errorf("moments not the newest first: %+v", got.Moments)
			}
		})
	}
}

// TestTrends: the earliest first whatever the order, with n at each point and on how many
// services each rests; nobody is ranked.
func TestTrends(t *testing.T) {
	services := []Listed{week(3, 2, 0), week(0, 1, 0), short(2), week(1, 0, 0)}
	all := Trends(services, Options{})
	i := slices.IndexFunc(all, func(t Trend) bool { return t.Name == "ratchets" })
	got := all[i]
	want := []struct {
		service int64
		value   float64
		n       int
	}{{1, 3, 1}, {2, 0, 0}, {3, -1, 1}, {4, 6, 2}}
	if len(got.Points) != len(want) || got.Rests != 3 || got.Services != 4 || !strings.Contains(got.Text, "3 of 4 services: too few") {
		t.Fatalf("trend %+v", got)
	}
	for i, p := range got.Points {
		w := want[i]
		if p.Service != w.service || p.N != w.n || (p.Value == nil) != (w.value < 0) || p.Value != nil && *p.Value != w.value {
			t.Errorf("point %+v, want %+v", p, w)
		}
		if p.Value == nil && !strings.Contains(p.Text, "too short") {
			t.Errorf("a point without a value says %q", p.Text)
		}
	}
	services = append(services, week(4, 0, 0))
	if got := Trends(services, Options{})[i]; !strings.Contains(got.Text, "4 of 5 services.") {
		t.Errorf("text %q", got.Text)
	}
	if !slices.IsSortedFunc(all, func(a, b Trend) int { return slices.Index(order, a.Name) - slices.Index(order, b.Name) }) {
		t.Errorf("trends out of order")
	}
}
