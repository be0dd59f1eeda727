package survey

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"pawl/oscmap"
)

// calmTime is how long nobody must touch the desk before the first move, so that
// what moves by itself is known.
const calmTime = 3 * time.Second

// Guide asks a person to make moves on the desk and sees from what changes which
// address is what. It looks at its Survey and belongs to the same goroutine.
//
//	for q := g.Question(); q != ""; q = g.Question() {
//		… show q, feed packets to the Survey until there is a line …
//		for _, line := range g.Answer(line) { … }
//	}
type Guide struct {
	survey *Survey
	queue  []question
	steps  steps

	from   time.Duration // when the question in hand was asked
	before map[*slot]moment
}

// moment is a slot when a question was asked.
type moment struct {
	changes uint64
	value   value
}

// Guide begins a guided part.
func (s *Survey) Guide() *Guide {
	g := &Guide{survey: s, queue: questions()}
	g.ask()
	return g
}

func (s *Survey) eachSlot(visit func(*slot)) {
	for _, st := range s.order {
		for _, t := range st.slots {
			visit(t)
		}
	}
}

// ask begins a question: what changes from now on is its answer.
func (g *Guide) ask() {
	g.from, g.before = g.survey.last, map[*slot]moment{}
	g.survey.eachSlot(func(t *slot) { g.before[t] = moment{t.changes, t.last} })
}

// Question is what to ask now, "" when all is asked.
func (g *Guide) Question() string {
	if len(g.queue) == 0 {
		return ""
	}
	return g.queue[0].text()
}

// Answer takes the line that a person typed, and says what was seen. "none"
// passes over the strip or the switch that was asked about, "stop" ends the guide.
func (g *Guide) Answer(line string) []string {
	if len(g.queue) == 0 {
		return nil
	}
	word := strings.ToLower(strings.TrimSpace(line))
	q := g.queue[0]
	switch {
	case word == "stop":
		g.queue = nil
		return []string{"Stopped. What was seen so far is used."}
	case word == "none":
		g.skip()
		return []string{"Left out."}
	case q.act == calm:
		return g.calm()
	case q.more && word == "":
		g.queue = slices.DeleteFunc(g.queue[1:], func(o question) bool { return o.more })
		g.ask()
		return g.scaleSaid()
	}
	db, ok := q.expects(word)
	if !ok {
		return []string{fmt.Sprintf("%q is no number of dB; type one such as -10, or none, or stop.", clean(word))}
	}
	st := g.look(q, db)
	moved, others := append(g.steps, st).moved(q)
	if moved == nil {
		g.ask()
		return []string{"Nothing changed that stands still otherwise. If it was there already, move it away and back. " +
			"If the desk does not tell of this, type none."}
	}
	st.measure(moved)
	g.steps = append(g.steps, st)
	said := []string{fmt.Sprintf("I saw %s go from %s to %s.", moved.name(), st.seen[moved].was.plain(), st.seen[moved].is.plain())}
	for _, o := range others[:min(len(others), 2)] {
		said = append(said, fmt.Sprintf("  %s changed as well, to %s.", o.name(), st.seen[o].is.plain()))
	}
	if len(others) > 2 {
		said = append(said, fmt.Sprintf("  So did %d more. The next moves will tell them apart.", len(others)-2))
	}
	if q.more && !g.queue[1].more {
		said = append(said, g.scaleSaid()...)
	}
	return g.next(said)
}

// expects reads the number that belongs to a question.
func (q question) expects(word string) (db float64, ok bool) {
	switch {
	case q.act == bottom:
		return math.Inf(-1), true
	case q.act == zero || !q.act.isFader():
		return 0, true
	case q.act == top && word == "":
		return math.NaN(), true
	case q.act == mark && word == "" && q.strip == mainStrip:
		return -10, true
	}
	db, rest, ok := oscmap.TextNumber([]byte(word))
	return db, ok && (len(rest) == 0 || string(rest) == "db") && math.Abs(db) <= 200
}

func (g *Guide) calm() []string {
	if g.survey.last-g.from < calmTime {
		return []string{fmt.Sprintf("That was quick: %.0f seconds are needed to see what moves by itself. Hands off, and press Enter then.", calmTime.Seconds())}
	}
	st := g.look(g.queue[0], math.NaN())
	st.measureSince(g.from)
	g.steps = append(g.steps, st)
	moving := 0
	for _, s := range st.seen {
		if s.changes > 1 {
			moving++
		}
	}
	return g.next([]string{fmt.Sprintf("Good: %s moved without a hand, as meters do.", plural(moving, "value"))})
}

// next goes on to the next question.
func (g *Guide) next(said []string) []string {
	g.queue = g.queue[1:]
	g.ask()
	return said
}

// skip passes over the switch of a strip, or over all that is still to be asked
// about the strip.
func (g *Guide) skip() {
	q := g.queue[0]
	drop := func(o question) bool {
		return o.strip == q.strip && (q.act.isFader() || !o.act.isFader()) && (q.act != calm || o.act == calm)
	}
	for len(g.queue) > 0 && drop(g.queue[0]) {
		g.queue = g.queue[1:]
	}
	g.ask()
}

// scaleSaid tells the person what was made of the marks.
func (g *Guide) scaleSaid() []string {
	c, ok := g.steps.control(inputStrip, zero)
	if !ok {
		return nil
	}
	if sc, ok := fit(c.points()); ok {
		return []string{sc.said}
	}
	return []string{"No scale can be made of these marks: the numbers do not rise with them."}
}

// look is what changed since the question was asked.
func (g *Guide) look(q question, db float64) step {
	st := step{question: q, db: db, to: g.survey.last, seen: map[*slot]still{}}
	g.survey.eachSlot(func(t *slot) {
		b, known := g.before[t]
		s := still{was: b.value, is: t.last, changes: t.changes - b.changes}
		if !known {
			s.changes++ // that it is said at all is new
		}
		st.seen[t] = s
	})
	return st
}

// name is how a slot is called in front of people.
func (t *slot) name() string {
	name := t.stream.shown
	if t.stream.first >= 0 {
		name += fmt.Sprintf(" %d", t.stream.first)
	}
	if len(t.stream.slots) > 1 {
		name += fmt.Sprintf(" (argument %d)", t.arg)
	}
	return name
}

// plain is a value as it is shown.
func (v value) plain() string {
	switch {
	case v.text != "":
		return strconv.Quote(v.text)
	case v.isNum && math.Abs(v.num) < 1e12:
		return strconv.FormatFloat(math.Round(v.num*1e4)/1e4+0, 'f', -1, 64)
	case v.isNum:
		return strconv.FormatFloat(v.num, 'g', 6, 64)
	}
	return "nothing"
}
