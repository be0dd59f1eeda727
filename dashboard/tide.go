package dashboard

import (
	"slices"

	"pawl/rules/desk"
)

// Tide is the total at one second, against the mark.
type Tide struct {
	T      float64   `json:"t"` // seconds, on the clock of State.T
	Total  desk.DBFS `json:"total"`
	Rise   desk.DB   `json:"rise"`   // total above the mark
	Faders desk.DB   `json:"faders"` // the part of Rise that hands made
	Stage  desk.DB   `json:"stage"`  // the part that the sources made
}

// Step is one raise or lower, as the tide shows it.
type Step struct {
	T   float64 `json:"t"`
	Who string  `json:"who"`
	By  desk.DB `json:"by"` // positive for a raise
}

const (
	kept     = 600.0 // seconds of history a page shows
	mostKept = 1200  // of each, should a caller send more than one a second
)

// history is what a page that has just come needs to draw. It is not safe for
// use from several goroutines.
type history struct {
	tide  []Tide
	steps []Step
}

// add appends, then forgets what is more than ten minutes older than now.
func (h *history) add(now float64, tide []Tide, steps []Step) {
	h.tide = trim(append(h.tide, tide...), func(t Tide) bool { return t.T >= now-kept })
	h.steps = trim(append(h.steps, steps...), func(s Step) bool { return s.T >= now-kept })
}

// trim keeps the newest entries. It moves them to the front of the same memory,
// so that a long service does not grow the list without end.
func trim[T any](s []T, young func(T) bool) []T {
	first := slices.IndexFunc(s, young)
	if first < 0 {
		first = len(s)
	}
	return slices.Delete(s, 0, max(first, len(s)-mostKept))
}
