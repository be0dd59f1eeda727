package survey

import (
	"math"
	"slices"
	"strings"
	"time"

	"pawl/rules"
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
	survey   *Survey
	queue    []question
	steps    steps
	earlier  []state      // before each answer that led on, for the way back
	help     rules.Phrase // the mark that would help most, where another is asked for
	kept     string       // a number that was typed before anything had moved
	refused  []refusal    // what somebody said it is not
	banked   verdictOf    // whether the number in the address of input 1's fader counts banks
	rows     []along      // what a hand showed of the strips in one message
	arrivals []arrival    // what a hand showed of mutes that have no value
	missed   int          // how often the question in hand was answered and nothing seen
	wrong    int          // and how often with a number that cannot be

	from    time.Duration // when the question in hand was asked
	asked   order         // and the last message by then
	before  map[*slot]moment
	came    map[*stream]uint64 // messages without arguments by then
	chatter map[*stream]bool   // which of them come by themselves
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
			for _, c := range t.cells {
				visit(c)
			}
		}
	}
}

// ask begins a question: what changes from now on is its answer.
func (g *Guide) ask() {
	g.from, g.before, g.kept, g.help = g.survey.last, map[*slot]moment{}, "", rules.Phrase{}
	if len(g.queue) > 0 && g.queue[0].more {
		g.help = g.helpful() // once, since a page asks for the question again and again
	}
	g.survey.tape.step()
	g.asked = g.survey.heard()
	g.came = g.survey.arrivedWithout()
	g.survey.eachSlot(func(t *slot) { g.before[t] = moment{t.changes, t.last} })
}

// Question is what to ask now at a terminal, "" when all is asked.
func (g *Guide) Question() string { return inEnglish(g.Ask()...) }

// Ask is what to ask now, nil when all is asked.
func (g *Guide) Ask() (all []rules.Phrase) {
	if len(g.queue) == 0 {
		return nil
	}
	all = append(all, g.queue[0].phrase())
	if g.help.ID != "" {
		all = append(all, g.help)
	}
	return all
}

// Asks says what an answer to the question may be.
type Asks struct {
	Number  bool // a number of dB
	Nothing bool // nothing but that the hand is done
	None    bool // that there is none such
	Back    bool // back to the question before
	Wrong   bool // that something else was seen than was moved
	Done    int  // questions that are answered
	ToCome  int  // at most, this one too
}

// Asks says what the answer may be. The zero value is that nothing is asked.
func (g *Guide) Asks() Asks {
	if len(g.queue) == 0 {
		return Asks{}
	}
	q := g.queue[0]
	_, nothing := q.expects("")
	return Asks{
		Number: q.act == mark || q.act == top, Nothing: nothing || q.more || q.act == calm, None: q.act != calm,
		Back: len(g.earlier) > 0, Done: len(g.earlier), ToCome: len(g.queue), Wrong: len(g.steps) > 1,
	}
}

// Answer is Tell at a terminal.
func (g *Guide) Answer(line string) []string { return inLines(g.Tell(line)) }

// Tell takes the line that a person typed, and says what was seen. The words that help tells
// of lead back and on.
func (g *Guide) Tell(line string) []rules.Phrase {
	if len(g.queue) == 0 {
		return nil
	}
	word := strings.Join(strings.Fields(strings.ToLower(line)), " ")
	q := g.queue[0]
	switch {
	case word == "stop":
		g.keep()
		g.queue = nil
		return []rules.Phrase{rules.Say("guide.stopped")}
	case word == "help" || word == "?":
		return []rules.Phrase{rules.Say("guide.help")}
	case word == "back":
		return g.back()
	case slices.Contains([]string{"not that one", "not that", "wrong one"}, word):
		return g.notThat()
	case strings.HasPrefix(word, "that was ") || strings.HasPrefix(word, "it was "):
		return g.thatWas(word[strings.Index(word, "was ")+len("was "):])
	case word == "none" && q.act == calm:
		return []rules.Phrase{put(rules.Say("guide.calm-needed"), byDone)}
	case word == "none":
		g.keep()
		g.skip()
		return []rules.Phrase{rules.Say("guide.left-out")}
	case q.act == calm:
		return g.calm()
	case q.act == second:
		return g.second()
	case q.act == another:
		if _, ok := g.row(q.strip); ok {
			return g.showNext()
		}
		return g.showBeyond()
	case word == "" && g.kept != "":
		word = g.kept
	case q.more && word == "":
		g.keep()
		g.missed = 0
		g.queue = slices.Concat(g.neighbour(), slices.DeleteFunc(g.queue[1:], func(o question) bool { return o.more }))
		g.ask()
		return g.scaleSaid()
	}
	db, ok := q.expects(word)
	if !ok {
		return []rules.Phrase{put(rules.Say("guide.no-number"), asTyped(word))}
	}
	var said []rules.Phrase
	if q.act == mark {
		var wrong rules.Phrase
		if db, said, wrong = g.markAt(q, db, word); wrong.ID != "" {
			return g.wrongMark(q, wrong)
		}
	}
	st := g.look(q, db)
	moved, others := append(g.steps, st).moved(q, g.refused)
	if moved == nil {
		if said, ok := g.arrives(q); ok {
			return said
		}
		return g.nothingMoved(q, st, word)
	}
	st.measure(moved)
	g.keep()
	// What moved may be something else that came just then: what unmutes tells.
	if came := g.arrived(q); came != nil {
		g.arrivals = append(g.arrivals, arrival{q.strip, q.act, came})
	}
	g.steps = append(g.steps, st)
	said = append([]rules.Phrase{put(rules.Say("guide.saw"), moved.named(), st.seen[moved].was.as("was"), st.seen[moved].is.as("is"))}, said...)
	for _, o := range others[:min(len(others), 2)] {
		said = append(said, put(rules.Say("guide.also"), o.named(), st.seen[o].is.as("is")))
	}
	if len(others) > 2 {
		said = append(said, rules.Say("guide.also-more", rules.Number("n", len(others)-2)))
	}
	if q.act == zero && g.otherScale(q.strip) {
		// And back: a mute of a fader that is low tells little of a meter.
		g.queue = slices.Insert(g.queue, 1, question{strip: q.strip, act: mark}, question{strip: q.strip, act: zero})
	}
	if q.more && !g.queue[1].more {
		said = append(said, g.scaleSaid()...)
		g.queue = slices.Insert(g.queue, 1, g.neighbour()...)
	}
	return g.next(said)
}

func (g *Guide) calm() []rules.Phrase {
	if g.survey.last-g.from < calmTime {
		return []rules.Phrase{put(rules.Say("guide.quick", rules.Number("n", int(calmTime.Seconds()))), byDone)}
	}
	st := g.look(g.queue[0], math.NaN())
	st.measureSince(g.from)
	g.keep()
	g.steps = append(g.steps, st)
	g.chatter = map[*stream]bool{}
	for came, n := range g.survey.arrivedWithout() {
		g.chatter[came] = n > g.came[came]
	}
	moving := 0
	for t, s := range st.seen {
		if s.changes > 1 && t.stream.seen() && !t.isCell() {
			moving++
		}
	}
	return g.next([]rules.Phrase{rules.Say("guide.good", rules.Number("n", moving))})
}

// next goes on to the next question.
func (g *Guide) next(said []rules.Phrase) []rules.Phrase {
	g.queue = g.queue[1:]
	g.begin()
	return said
}

// skip passes over the switch of a strip, or over all that is still to be asked
// about the strip.
func (g *Guide) skip() {
	q := g.queue[0]
	if q.act == second || q.act == another {
		if q.act == another {
			g.rows = append(g.rows, along{strip: q.strip, n: q.n, none: true})
		}
		g.next(nil)
		return
	}
	drop := func(o question) bool {
		return o.strip == q.strip && (q.act.isFader() || !o.act.isFader()) && (q.act != calm || o.act == calm)
	}
	for len(g.queue) > 0 && drop(g.queue[0]) {
		g.queue = g.queue[1:]
	}
	g.begin()
}

// look is what changed since the question was asked.
func (g *Guide) look(q question, db float64) step {
	st := step{question: q, db: db, asked: g.asked, answered: g.survey.heard(), to: g.survey.last, seen: map[*slot]still{}}
	g.survey.eachSlot(func(t *slot) {
		b, known := g.before[t]
		s := still{was: b.value, is: t.last, changes: t.changes - b.changes, since: t.changedAt}
		if !known {
			s.changes++ // that it is said at all is new
		}
		st.seen[t] = s
	})
	return st
}
