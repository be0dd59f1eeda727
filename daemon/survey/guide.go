package survey

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
)

// maxMarks is how many printed marks of a fader are asked for, besides the top
// and 0 dB.
const maxMarks = 12

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
	steps  []step

	began  map[*slot]uint64 // changes when the guide began
	from   time.Duration    // when the question in hand was asked
	before map[*slot]moment
}

// moment is a slot when a question was asked.
type moment struct {
	changes uint64
	value   value
}

// step is a question that was answered with a move.
type step struct {
	question
	db       float64 // where the fader was meant to stand; NaN if nobody said
	from, to time.Duration
	seen     map[*slot]still
}

// still is a slot when the move was over.
type still struct {
	was, is value
	changes uint64 // during the step
	mean    float64
	values  int // in the mean
	form    form
	means   []float64 // of a blob of this form
}

// Guide begins a guided part.
func (s *Survey) Guide() *Guide {
	g := &Guide{survey: s, queue: questions(), began: map[*slot]uint64{}}
	s.eachSlot(func(t *slot) { g.began[t] = t.changes })
	g.ask()
	return g
}

func (s *Survey) eachSlot(visit func(*slot)) {
	for _, src := range s.order {
		for _, t := range src.slots {
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
func (g *Guide) Answer(line string) (said []string) {
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
		return g.next(g.scaleSaid())
	}
	db, ok := q.expects(word)
	if !ok {
		return []string{fmt.Sprintf("%q is no number of dB; type one such as -10, or none, or stop.", clean(word))}
	}
	st := g.look(q, db)
	chosen, others := g.chosen(append(g.steps, st), q)
	if chosen == nil {
		g.ask()
		return []string{"Nothing changed that stands still otherwise. If it was there already, move it away and back. " +
			"If the desk does not tell of this, type none."}
	}
	st.settle(chosen)
	g.steps = append(g.steps, st)
	said = []string{fmt.Sprintf("I saw %s go from %s to %s.", chosen.name(), st.seen[chosen].was.plain(), st.seen[chosen].is.plain())}
	for _, o := range others[:min(len(others), 2)] {
		said = append(said, fmt.Sprintf("  %s changed as well, to %s.", o.name(), st.seen[o].is.plain()))
	}
	if len(others) > 2 {
		said = append(said, fmt.Sprintf("  So did %d more. The next moves will tell them apart.", len(others)-2))
	}
	return g.answered(q, said)
}

// expects reads the number that belongs to a question.
func (q question) expects(word string) (db float64, ok bool) {
	switch q.act {
	case bottom:
		return math.Inf(-1), true
	case zero, mute, unmute:
		return 0, true
	case top:
		if word == "" {
			return math.NaN(), true
		}
	case mark:
		if word == "" && q.strip == mainStrip {
			return -10, true
		}
	}
	word = strings.TrimSpace(strings.TrimSuffix(strings.Replace(word, "\u2212", "-", 1), "db"))
	db, err := strconv.ParseFloat(strings.Replace(word, ",", ".", 1), 64)
	return db, err == nil && math.Abs(db) <= 200
}

func (g *Guide) calm() []string {
	if g.survey.last-g.from < calmTime {
		return []string{fmt.Sprintf("That was quick: %.0f seconds are needed to see what moves by itself. Hands off, and press Enter then.", calmTime.Seconds())}
	}
	st := g.look(g.queue[0], math.NaN())
	g.steps = append(g.steps, st)
	moving := 0
	for _, s := range st.seen {
		if s.changes > 1 {
			moving++
		}
	}
	return g.next([]string{fmt.Sprintf("Good: %s moved without a hand, as meters do.", plural(uint64(moving), "value"))})
}

// next goes on to the next question.
func (g *Guide) next(said []string) []string {
	g.queue = g.queue[1:]
	g.ask()
	return said
}

// answered goes on after a move. Once there are marks enough, it asks for more
// until there are no more to give.
func (g *Guide) answered(q question, said []string) []string {
	lastMark := q.act == mark && q.strip == inputStrip && (len(g.queue) == 1 || g.queue[1].act != mark)
	if lastMark && g.marks() < maxMarks {
		g.queue[0] = question{strip: inputStrip, act: mark, more: true}
		g.ask()
		return said
	}
	if lastMark {
		said = append(said, g.scaleSaid()...)
	}
	return g.next(said)
}

func (g *Guide) marks() int {
	n := 0
	for _, st := range g.steps {
		if st.act == mark && st.strip == inputStrip {
			n++
		}
	}
	return n
}

// skip passes over the switch of a strip, or over all that is still to be asked
// about the strip.
func (g *Guide) skip() {
	q := g.queue[0]
	drop := func(o question) bool { return o.strip == q.strip }
	if q.act == mute || q.act == unmute {
		drop = func(o question) bool { return o.strip == q.strip && !o.act.isFader() }
	}
	for len(g.queue) > 0 && drop(g.queue[0]) && (q.act != calm || g.queue[0].act == calm) {
		g.queue = g.queue[1:]
	}
	g.ask()
}

// look is what changed since the question was asked.
func (g *Guide) look(q question, db float64) step {
	st := step{question: q, db: db, from: g.from, to: g.survey.last, seen: map[*slot]still{}}
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

// settle takes the means of everything from when the moved slot came to rest.
func (st *step) settle(moved *slot) {
	since := min(moved.changedAt, st.to-200*time.Millisecond)
	for t, s := range st.seen {
		if t.blob != nil {
			if f, ok := t.blob.form(); ok {
				s.form, s.means = f, t.blob.mean(f, since)
			}
		} else {
			s.mean, s.values = t.mean(since)
		}
		st.seen[t] = s
	}
}

// name is how a slot is called in front of people.
func (t *slot) name() string {
	name := t.source.address
	if t.source.first >= 0 {
		name += fmt.Sprintf(" %d", t.source.first)
	}
	if len(t.source.slots) > 1 {
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
