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
	survey  *Survey
	queue   []question
	steps   steps
	earlier []state   // before each answer that led on, for the way back
	help    string    // the mark that would help most, where another is asked for
	kept    string    // a number that was typed before anything had moved
	refused []refusal // what somebody said it is not
	banked  verdictOf // whether the number in the address of input 1's fader counts banks
	rows    []along   // what a hand showed of the strips in one message
	missed  int       // how often the question in hand was answered and nothing seen

	from   time.Duration // when the question in hand was asked
	before map[*slot]moment
}

// state is where a Guide stood.
type state struct {
	queue []question
	steps steps
	rows  int
}

// verdictOf is what an answer told, or that it was not asked.
type verdictOf uint8

const (
	notAsked verdictOf = iota
	isSo
	isNotSo
)

// refusal is a slot that is not a strip's fader, or not its mute.
type refusal struct {
	slot  *slot
	strip strip
	fader bool
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
	g.from, g.before, g.kept, g.help = g.survey.last, map[*slot]moment{}, "", ""
	if len(g.queue) > 0 && g.queue[0].more {
		g.help = g.helpful() // once, since a page asks for the question again and again
	}
	g.survey.eachSlot(func(t *slot) { g.before[t] = moment{t.changes, t.last} })
}

// Question is what to ask now, "" when all is asked.
func (g *Guide) Question() string {
	if len(g.queue) == 0 {
		return ""
	}
	text := g.queue[0].text()
	if g.help != "" {
		text += " " + g.help + "."
	}
	return text
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

// Help is every word that Answer knows besides numbers, in a sentence.
const Help = "Words that help: back goes to the question before; not that one, if something else was seen than was moved; " +
	"that was input 2, if another strip was moved; none, if the desk has none; stop ends the questions, and what was told by then is used."

// Answer takes the line that a person typed, and says what was seen. The words that Help
// tells of lead back and on.
func (g *Guide) Answer(line string) []string {
	if len(g.queue) == 0 {
		return nil
	}
	word := strings.Join(strings.Fields(strings.ToLower(line)), " ")
	q := g.queue[0]
	switch {
	case word == "stop":
		g.keep()
		g.queue = nil
		return []string{"Stopped. What was seen so far is used."}
	case word == "help" || word == "?":
		return []string{Help}
	case word == "back":
		return g.back()
	case slices.Contains([]string{"not that one", "not that", "wrong one"}, word):
		return g.notThat()
	case strings.HasPrefix(word, "that was ") || strings.HasPrefix(word, "it was "):
		return g.thatWas(word[strings.Index(word, "was ")+len("was "):])
	case word == "none" && q.act == calm:
		return []string{"This cannot be left out: without it a meter cannot be told from a fader. Hands off for three seconds, and press Enter then."}
	case word == "none":
		g.keep()
		g.skip()
		return []string{"Left out."}
	case q.act == calm:
		return g.calm()
	case q.act == second:
		return g.second()
	case q.act == another:
		return g.showNext()
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
		return []string{fmt.Sprintf("%q is no number of dB; type one such as -10, or none, or stop.", clean(word))}
	}
	var said []string
	if q.act == mark {
		var wrong string
		if db, said, wrong = g.markAt(q, db, word); wrong != "" {
			return []string{wrong}
		}
	}
	st := g.look(q, db)
	moved, others := append(g.steps, st).moved(q, g.refused)
	if moved == nil {
		return g.nothingMoved(q, st, word)
	}
	st.measure(moved)
	g.keep()
	g.steps = append(g.steps, st)
	said = append([]string{fmt.Sprintf("I saw %s go from %s to %s.", moved.name(), st.seen[moved].was.plain(), st.seen[moved].is.plain())}, said...)
	for _, o := range others[:min(len(others), 2)] {
		said = append(said, fmt.Sprintf("  %s changed as well, to %s.", o.name(), st.seen[o].is.plain()))
	}
	if len(others) > 2 {
		said = append(said, fmt.Sprintf("  So did %d more. The next moves will tell them apart.", len(others)-2))
	}
	if q.more && !g.queue[1].more {
		said = append(said, g.scaleSaid()...)
		g.queue = slices.Insert(g.queue, 1, g.neighbour()...)
	}
	return g.next(said)
}

// keep notes where the guide stands, for the way back.
func (g *Guide) keep() {
	g.earlier = append(g.earlier, state{slices.Clone(g.queue), slices.Clone(g.steps), len(g.rows)})
}

// back goes to the question before, as if it had not been answered.
func (g *Guide) back() []string {
	if len(g.earlier) == 0 {
		return []string{"This is the first question."}
	}
	last := g.earlier[len(g.earlier)-1]
	g.earlier = g.earlier[:len(g.earlier)-1]
	g.queue, g.steps, g.missed, g.rows = last.queue, last.steps, 0, g.rows[:last.rows]
	g.ask()
	return []string{"Back to the question before; what it was answered with is forgotten."}
}

// Reopen goes back to the last question after the end of them all.
func (g *Guide) Reopen() { g.back() }

// notThat takes back what the last answer was thought to have moved. If something else
// follows the moves as well it is that.
func (g *Guide) notThat() []string {
	if len(g.steps) == 0 || g.steps[len(g.steps)-1].act == calm {
		return []string{"Nothing was seen yet that it could be wrong about."}
	}
	last := g.steps[len(g.steps)-1].question
	moved, _ := g.steps.moved(last, g.refused)
	if moved == nil {
		return []string{"Nothing was seen yet that it could be wrong about."}
	}
	g.refused = append(g.refused, refusal{moved, last.strip, last.act.isFader()})
	if other, _ := g.steps.moved(last, g.refused); other != nil {
		st := g.steps[len(g.steps)-1]
		return []string{fmt.Sprintf("Then it is %s, which went from %s to %s.", other.name(), st.seen[other].was.plain(), st.seen[other].is.plain())}
	}
	return append([]string{fmt.Sprintf("Then not %s. Nothing else moved so.", moved.name())}, g.back()...)
}

// thatWas takes back a move of another strip than was asked about.
func (g *Guide) thatWas(which string) []string {
	if len(g.steps) == 0 || g.steps[len(g.steps)-1].act == calm {
		return []string{"Nothing has moved yet."}
	}
	q := g.steps[len(g.steps)-1].question
	if which == q.strip.first() {
		return []string{"So it was asked for, and so it is taken."}
	}
	if moved, _ := g.steps.moved(q, g.refused); moved != nil {
		g.refused = append(g.refused, refusal{moved, q.strip, q.act.isFader()})
	}
	// All that was told of this strip may have been the other's.
	for len(g.steps) > 0 && len(g.earlier) > 0 {
		last := g.steps[len(g.steps)-1]
		if last.act == calm || last.strip != q.strip || last.act.isFader() != q.act.isFader() {
			break
		}
		g.back()
	}
	return []string{fmt.Sprintf("Then that was not %s. Put it back to where it was, and begin again with %s.", q.strip.first(), q.strip.first())}
}

// nothingMoved says what may be wrong where nothing answers a question, and which other
// strip moved, if one did. A number that was typed is kept for the next Enter.
func (g *Guide) nothingMoved(q question, st step, word string) []string {
	var said []string
	known, ok := g.steps.control(q.strip, q.act, g.refused)
	if strayed := g.strayed(q, st); ok && strayed != nil {
		said = append(said, fmt.Sprintf("%s moved, to %s, and not %s, which still stands at %s.", upper(g.called(strayed, known.slot, q)),
			st.seen[strayed].is.plain(), g.called(known.slot, known.slot, q), st.seen[known.slot].is.plain()),
			"Put it back, and move the one that was asked for.")
	} else {
		said = append(said, "Nothing changed that stands still otherwise. If it was there already, move it away and back. "+
			"If the desk does not tell of this, type none.")
	}
	if g.missed++; g.missed >= patience {
		return append(said[:len(said)-1], g.giveUp(q, ok)...)
	}
	g.ask()
	if q.act == mark && word != "" {
		g.kept = word
		said = append(said, fmt.Sprintf("%s is remembered: once it stands there, just press Enter.", word))
	}
	return said
}

// patience is how often a move is asked for of which nothing is seen.
const patience = 2

// giveUp goes on after a question whose move is not seen, so that no desk is asked about for
// ever: past this one if more is known of what it asks about, or else past all of them.
func (g *Guide) giveUp(q question, known bool) []string {
	g.keep()
	what := map[bool]string{true: "fader", false: "mute"}[q.act.isFader()]
	if q.act == mute || q.act == unmute || !known {
		// Of a fader that is not seen the mute may be.
		g.queue = slices.DeleteFunc(g.queue, func(o question) bool {
			return o.strip == q.strip && o.act.isFader() == q.act.isFader() && o.act != calm
		})
		g.begin()
		return []string{fmt.Sprintf("I cannot see %s's %s: the desk does not tell of it, or tells it in a way that I cannot read. "+
			"It is left out, and the next question is about something else. Its line has to be written by hand: what a line can say stands in MAP.md, "+
			"and pawl listen shows what changes while it moves.", q.strip.first(), what)}
	}
	return g.next([]string{"I did not see this move, and go on without it."})
}

// strayed is what stands still otherwise and moved instead of what was asked for, nil if
// nothing or several things did.
func (g *Guide) strayed(q question, st step) (found *slot) {
	known, ok := g.steps.control(q.strip, q.act, g.refused)
	if !ok || st.seen[known.slot].changes > 0 {
		return nil
	}
	g.survey.eachSlot(func(t *slot) {
		if t.blob == nil && t.stream.seen() && st.seen[t].changes > 0 && g.steps.stood(t) && t.numeric() && t.arg == known.slot.arg && sameShape(t, known.slot) {
			found = t
		}
	})
	return found
}

// sameShape reports whether two slots are of addresses that differ in their numbers only.
func sameShape(a, b *slot) bool {
	partsA, _ := cutNumbers(a.stream.shown)
	partsB, _ := cutNumbers(b.stream.shown)
	return a != b && slices.Equal(partsA, partsB) && (a.stream.first < 0) == (b.stream.first < 0)
}

// called is what a slot is likely to be, by how its address differs from that of the strip
// that was asked about, which counts as the first.
func (g *Guide) called(t, first *slot, q question) string {
	what := map[bool]string{true: "fader", false: "mute"}[q.act.isFader()]
	if t == first {
		return fmt.Sprintf("%s's %s", q.strip.first(), what)
	}
	_, a := cutNumbers(t.stream.shown)
	_, b := cutNumbers(first.stream.shown)
	a, b = append(a, fmt.Sprint(t.stream.first)), append(b, fmt.Sprint(first.stream.first))
	for i := range a {
		if n := number(a[i]) - number(b[i]) + 1; i < len(b) && n > 1 {
			return fmt.Sprintf("%s %d's %s", q.strip, n, what)
		}
	}
	return t.name()
}

// markAt reads a mark that was typed: scales print no minus, so what lies below the 0 mark
// is below 0. wrong says why the number cannot be that of where the fader stands.
func (g *Guide) markAt(q question, typed float64, word string) (db float64, said []string, wrong string) {
	db = typed
	c, ok := g.steps.control(q.strip, zero, g.refused)
	if !ok {
		return -math.Abs(db), nil, ""
	}
	x, at0 := c.slot.last, c.at(zero)
	st := g.look(q, math.NaN())
	if st.seen[c.slot].changes == 0 || !x.isNum || !at0.isNum {
		return -math.Abs(db), nil, "" // nothing moved, which is said elsewhere
	}
	if math.IsInf(db, 0) {
		return db, nil, "The bottom is known already. Move it to a mark that has a number, and type that."
	}
	up := 1.0
	if lo, hi := c.at(bottom), at0; lo.isNum && lo.num > hi.num {
		up = -1
	}
	side := up * (x.num - at0.num)
	switch negative := strings.HasPrefix(word, "-") || strings.HasPrefix(word, "−"); {
	case side < 0 && db > 0:
		db = -db
		said = append(said, fmt.Sprintf("It stands below the 0 mark, so %s is taken as %s.", word, plainNumber(db)))
	case side > 0 && negative && db < 0:
		return db, nil, fmt.Sprintf("It stands above the 0 mark, where no %s can be. Type the number printed there, or back to do the 0 mark again.", word)
	}
	for _, o := range c.moves {
		was := o.seen[c.slot].is
		if o.db != o.db || math.IsInf(o.db, 0) || !was.isNum {
			continue
		}
		d := up * (x.num - was.num)
		switch {
		case d == 0 && o.db != db:
			return db, nil, fmt.Sprintf("It still stands where it stood for %s. Move it to another mark, and type the number printed there.", plainNumber(o.db))
		case o.db == db && d != 0:
			return db, nil, fmt.Sprintf("%s was given already, at %s, and now it stands at %s. Type the number printed where it stands now, "+
				"or back, as often as it takes, to give the earlier one again.", plainNumber(db), was.plain(), x.plain())
		case (db-o.db)*d < 0:
			return db, nil, fmt.Sprintf("It stands %s the mark %s, so it cannot be at %s. Type the number printed where it stands now, "+
				"or back to give the earlier one again.", map[bool]string{true: "above", false: "below"}[d > 0], plainNumber(o.db), plainNumber(db))
		}
	}
	return db, said, ""
}

// closedWords are how scales print their bottom.
var closedWords = []string{"∞", "-∞", "−∞", "oo", "-oo", "−oo", "inf", "-inf", "infinity", "-infinity", "off", "closed"}

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
	case slices.Contains(closedWords, strings.TrimSuffix(word, " db")):
		return math.Inf(-1), q.act == mark
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
	g.keep()
	g.steps = append(g.steps, st)
	moving := 0
	for t, s := range st.seen {
		if s.changes > 1 && t.stream.seen() && !t.isCell() {
			moving++
		}
	}
	return g.next([]string{fmt.Sprintf("Good: %s moved without a hand, as meters do.", plural(moving, "value"))})
}

// next goes on to the next question.
func (g *Guide) next(said []string) []string {
	g.queue = g.queue[1:]
	g.begin()
	return said
}

// begin asks the first question that is left, or one of those that only what was told raises.
func (g *Guide) begin() {
	g.missed = 0
	if len(g.queue) == 0 {
		g.queue = g.follow()
	}
	g.ask()
}

// neighbour is the question about the second strip, where the number in the address of the
// first one's fader may count banks.
func (g *Guide) neighbour() []question {
	if c, ok := g.steps.control(inputStrip, zero, g.refused); ok {
		if p, ok := locate(g.survey.shapes(), c.slot); ok && p.banks(inputStrip) != "" {
			return []question{{act: second}}
		}
	}
	return nil
}

// second sees where the second strip's fader is: beside the first one's in the same message,
// or at the next number.
func (g *Guide) second() []string {
	c, _ := g.steps.control(inputStrip, zero, g.refused)
	st := g.look(g.queue[0], math.NaN())
	inside, next := false, false
	for t, s := range st.seen {
		switch {
		case s.changes == 0 || t == c.slot || !t.stream.seen():
		case t.stream == c.slot.stream && t.arg == c.slot.arg+1:
			inside = true
		case t.arg == c.slot.arg && sameShape(t, c.slot) && g.called(t, c.slot, question{act: zero}) == "input 2's fader":
			next = true
		}
	}
	switch {
	case inside && !next:
		g.banked = isSo
	case next && !inside:
		g.banked = isNotSo
	default:
		if g.missed++; g.missed >= patience {
			g.keep()
			return g.next([]string{"I did not see this move, and go on without it."})
		}
		g.ask()
		return []string{"Nothing changed that could be it. Move it once more, or type none."}
	}
	g.keep()
	return g.next([]string{map[verdictOf]string{isSo: "So each message has the faders of several inputs.", isNotSo: "So each address is of one input."}[g.banked]})
}

// skip passes over the switch of a strip, or over all that is still to be asked
// about the strip.
func (g *Guide) skip() {
	q := g.queue[0]
	if q.act == second || q.act == another {
		if q.act == another {
			g.rows = append(g.rows, along{strip: q.strip, n: q.n})
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

// scaleSaid tells the person what was made of the marks.
func (g *Guide) scaleSaid() []string {
	c, ok := g.steps.control(inputStrip, zero, g.refused)
	if !ok {
		return nil
	}
	if sc, ok := fit(c.points()); ok {
		return []string{sc.said}
	}
	return []string{"No scale can be made of these marks: the numbers do not rise with them."}
}

// helpful is the mark that would make the scale truer by most, in words.
func (g *Guide) helpful() string {
	if c, ok := g.steps.control(inputStrip, zero, g.refused); ok {
		sc, _ := fit(c.points())
		return sc.helpful
	}
	return ""
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
	if t.stream.word != "" && t.stream.of.view().word >= 0 {
		name += " " + strconv.Quote(clean(t.stream.word))
	}
	if len(t.stream.slots) > 1 {
		name += fmt.Sprintf(" (argument %d)", t.arg)
	}
	if t.isCell() {
		name += fmt.Sprintf(" (byte %d, as %s)", t.at, t.layout)
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
