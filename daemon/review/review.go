// Package review says afterwards what a service came to: coaching figures, each with
// the sentence that defines it, a report of one service, lines over many, and one thing
// to practise. It also writes them: for a terminal, as one HTML page, as tables and as
// JSON.
//
// It is all pure functions of what package store reads. It judges nothing anew, ranks
// nobody, and says how many cases each number rests on; of a service that is too short
// for a number it says that instead.
package review

import (
	"time"

	"pawl/daemon/store"
	"pawl/rules"
	"pawl/rules/words"
)

// Material is all that the record has of one service.
type Material struct {
	Service   store.Service
	Stretches []store.Stretch
	Notes     []store.Note

	// Broken says that the file is so damaged where this service is that nothing of it can
	// be read. What is damaged less is Unread in its stretches.
	Broken bool
}

// Options say for whom a review is made. The zero value is English and UTC.
type Options struct {
	Speaker *words.Speaker // whose language
	Zone    *time.Location // of every time of day
	Limits  Limits         // the zero value takes the defaults
}

// filled are the options with every default.
func (o Options) filled() Options {
	if o.Speaker == nil {
		o.Speaker = words.Own().For(words.Default)
	}
	if o.Zone == nil {
		o.Zone = time.UTC
	}
	if o.Limits == (Limits{}) {
		o.Limits = DefaultLimits()
	}
	return o
}

// When is a moment of a service.
type When struct {
	T  rules.Moment `json:"t"`  // since the service began, by the time of day
	At time.Time    `json:"at"` // the time of day
}

// Report is one service, for a person who reads of it later.
type Report struct {
	Heading  Heading   `json:"service"`
	Figures  []Figure  `json:"figures"`
	Segments []Segment `json:"segments"`
	Findings []Finding `json:"findings"`    // in order of their opening
	Moves    []Move    `json:"moves"`       // in order of their end
	Movers   []Mover   `json:"movers"`      // who was moved, those raised most first
	Groups   []Group   `json:"groups"`      // whose reduction is known
	Checks   []Check   `json:"line_checks"` // those that ended in it
	Notes    []Note    `json:"notes"`
	Gaps     []Gap     `json:"gaps"`   // what the record does not have
	Limits   []Judged  `json:"limits"` // by which it was judged: one, and another each time that they changed
	Next     *OneThing `json:"next"`   // what to try next time, from this service alone; null if nothing stands out

	course *course
}

// Heading is what a service is, for the top of a page or a line of a list. Lengths are
// seconds in JSON.
type Heading struct {
	ID     int64     `json:"id"`
	Title  string    `json:"title"` // its name, or else when it was
	Name   string    `json:"name"`  // "" if nobody gave it one
	Mixing string    `json:"mixing"`
	House  string    `json:"house"`
	Pawl   string    `json:"pawl"` // the version that judged
	Began  time.Time `json:"began"`
	Ended  time.Time `json:"ended"`
	GoesOn bool      `json:"goes_on"`

	Length rules.Moment `json:"length_s"`
	Music  rules.Moment `json:"music_s"`
	Speech rules.Moment `json:"speech_s"`
	Quiet  rules.Moment `json:"quiet_s"`
	Check  rules.Moment `json:"sound_check_s"`

	Moves    int `json:"moves"`
	Findings int `json:"findings"` // that opened
	Cards    int `json:"cards"`    // of these, that came to the screen as cards
	Lines    int `json:"lines"`    // and as lines
	Lost     int `json:"lost"`     // entries and seconds of levels that could not be kept
	Unread   int `json:"unread"`   // entries that are in the record and cannot be read, because it is damaged, as far as they can be counted

	broken  bool // nothing of it can be read
	damaged bool // something of it cannot
}

// Damaged reports whether something of the service cannot be read.
func (h *Heading) Damaged() bool { return h.damaged }

// Listed is a service in a list: the heading and the figures.
type Listed struct {
	Heading Heading  `json:"service"`
	Figures []Figure `json:"figures"`

	habits []habit
}
