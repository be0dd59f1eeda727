package rules

import (
	"slices"
	"time"

	"pawl/rules/desk"
)

// coach is what whoever coaches sees and does besides what is on the operator's screen:
// what became of every finding, notes, questions, and lines to that screen. It changes
// nothing that is said.
type coach struct {
	traces []*Trace // by number, the oldest first
	notes  []Noted
	lines  []CoachLine
	number int // of the newest line
}

// How much of a service is kept for a page; the record has all of it.
const (
	mostTraces = 120
	mostNotes  = 100
	mostLines  = 12
)

// Trace is what became of a finding.
type Trace struct {
	Finding  *Finding `json:"finding"`   // as it was last said before it eased, without its facts
	On       bool     `json:"on"`        // it is on the operator's screen
	HeldBack *Phrase  `json:"held_back"` // why it is not, or was not when it ended; null for one that is or then was
	Opened   Moment   `json:"opened"`
	Shown    *Moment  `json:"shown"` // when it first came to the operator's screen; null for never
	Seen     *Moment  `json:"seen"`  // when somebody pressed that it was; null for nobody
	Ended    *Moment  `json:"ended"` // null while it goes on

	// Why is HeldBack in some reader's language, put there when it leaves for somebody who
	// reads.
	Why string `json:"why"`

	held HeldBack // of which HeldBack is made for the book, if it is newer
}

// Noted is a note or a question with the moment that it is about.
type Noted struct {
	T        Moment `json:"t"`
	Text     string `json:"text"`
	Question bool   `json:"question"` // for afterwards
}

// CoachLine is a line from whoever coaches to the operator's screen.
type CoachLine struct {
	Number int            `json:"number"` // counts from 1
	Text   string         `json:"text"`
	T      Moment         `json:"t"` // when it came there
	State  CoachLineState `json:"state"`
	Until  Moment         `json:"until"` // when it left, or will by itself
}

// CoachLineState is what became of a line to the operator's screen.
type CoachLineState string

// The states of a line to the operator's screen.
const (
	ToldOn       CoachLineState = "on" // it stands there
	ToldSeen     CoachLineState = "seen"
	ToldBack     CoachLineState = "back"     // whoever coaches took it off
	ToldReplaced CoachLineState = "replaced" // another one took its place
	ToldGone     CoachLineState = "gone"     // it left by itself, and nobody pressed that it was seen
)

// toldStays is how long a line stands on the operator's screen unless it is seen: a verse
// and a chorus, in which everybody looks up once. Ours.
const toldStays = 90 * time.Second

// follow is what goes on by another house file: findings end with the judge that had them.
func (c *coach) follow(at time.Duration) coach {
	for _, t := range c.traces {
		t.end(at)
	}
	return *c
}

// refuses says why a press about a line cannot be taken, or nil.
func (c *coach) refuses(p Press, at time.Duration) error {
	if p.Do != TellSeen && p.Do != TellBack {
		return nil
	}
	if on := c.standing(at); on == nil || on.Number != p.Number {
		return ErrNoLine
	}
	return nil
}

func (c *coach) press(p Press, at time.Duration) {
	switch p.Do {
	case Note, Question:
		if p.At == 0 {
			p.At = Moment(at)
		}
		c.notes = newest(append(c.notes, Noted{p.At, p.Text, p.Do == Question}), mostNotes)
	case Tell:
		c.takeOff(ToldReplaced, at)
		c.number++
		c.lines = newest(append(c.lines, CoachLine{c.number, p.Text, Moment(at), ToldOn, Moment(at + toldStays)}), mostLines)
	case TellSeen:
		c.takeOff(ToldSeen, at)
	case TellBack:
		c.takeOff(ToldBack, at)
	}
}

// newest is a list without its oldest, if it is too long.
func newest[T any](list []T, most int) []T { return slices.Delete(list, 0, max(0, len(list)-most)) }

// takeOff takes the line off that stands on the operator's screen, if one does.
func (c *coach) takeOff(as CoachLineState, at time.Duration) {
	if c.standing(at) != nil {
		last := &c.lines[len(c.lines)-1]
		last.State, last.Until = as, Moment(at)
	}
}

// standing is the line that stands on the operator's screen; nil if none does.
func (c *coach) standing(at time.Duration) *CoachLine {
	if n := len(c.lines); n > 0 && c.lines[n-1].State == ToldOn && Moment(at) < c.lines[n-1].Until {
		on := c.lines[n-1]
		return &on
	}
	return nil
}

// linesBy are the lines and what became of each by then, the newest first.
func (c *coach) linesBy(at time.Duration) []CoachLine {
	all := make([]CoachLine, 0, len(c.lines))
	for _, l := range slices.Backward(c.lines) {
		if l.State == ToldOn && Moment(at) >= l.Until {
			l.State = ToldGone
		}
		all = append(all, l)
	}
	return all
}

// told notes what was said of a finding.
func (c *coach) told(f *Finding) {
	t := c.trace(f.Number)
	if t == nil {
		t = &Trace{Opened: f.T}
		c.traces = newest(append(c.traces, t), mostTraces)
	}
	if f.State == Eased {
		t.end(time.Duration(f.T))
		return
	}
	t.brief(f)
	t.HeldBack, t.held = f.HeldBack, HeldBack{}
	if t.On = f.Shown; f.Shown {
		t.come(f.T)
	}
}

// renewed notes the words that now stand of a finding.
func (c *coach) renewed(f *Finding) {
	if t := c.trace(f.Number); t != nil { // else it is among the oldest, which are forgotten
		t.brief(f)
	}
}

// brief keeps a finding without its facts.
func (t *Trace) brief(f *Finding) {
	brief := *f
	brief.Facts = []Fact{}
	t.Finding = &brief
}

// held notes of what is open whether it is on the screen, and if not, why.
func (c *coach) held(s Screen) {
	for _, t := range c.traces {
		why, held := s.Held[t.Finding.Number]
		switch {
		case s.Shows(t.Finding.Number):
			t.On, t.HeldBack, t.held = true, nil, HeldBack{}
		case held:
			t.On, t.held = false, why
		}
	}
}

// seen notes that somebody took a finding off the screen, or brought it back.
func (c *coach) seen(p Press, at time.Duration) {
	t := c.trace(p.Number)
	switch {
	case t == nil:
	case p.Do == BringBack:
		t.Seen = nil
	default:
		when := Moment(at)
		t.Seen = &when
	}
}

func (c *coach) trace(number int) *Trace {
	for _, t := range slices.Backward(c.traces) {
		if t.Finding.Number == number {
			return t
		}
	}
	return nil
}

// written is the trace with why it is held back as a phrase.
func (t *Trace) written(l CalmLimits) Trace {
	out := *t
	if t.held.why.ID != "" {
		why := t.held.phrase(l)
		out.HeldBack = &why
	}
	return out
}

func (t *Trace) come(at Moment) {
	if t.Shown == nil {
		t.Shown = &at
	}
}

func (t *Trace) end(at time.Duration) {
	if t.Ended == nil {
		when := Moment(at)
		t.Ended, t.On = &when, false
	}
}

// Book is what whoever coaches sees of a service besides the operator's screen. Its lists
// begin with the newest, but for the running order.
type Book struct {
	Traces []Trace     `json:"traces"` // what goes on first
	Notes  []Noted     `json:"notes"`
	Lines  []CoachLine `json:"lines"`
	Order  []OrderPart `json:"order"`
	Edited bool        `json:"edited"` // the running order is another than that of the house file
}

// Book looks at the service as it stands.
func (j *Judge) Book() *Book {
	v := j.mix.View()
	b := &Book{
		Traces: []Trace{}, Notes: slices.Clone(j.coach.notes), Lines: j.coach.linesBy(j.at), Edited: j.segments.edited(),
		Order: j.segments.orderParts(func(i int) desk.Who { return v.Who(inputMover(i)) }),
	}
	slices.Reverse(b.Notes)
	for _, over := range []bool{false, true} {
		for _, t := range slices.Backward(j.coach.traces) {
			if (t.Ended != nil) == over {
				b.Traces = append(b.Traces, t.written(j.limits.Calm))
			}
		}
	}
	return b
}
