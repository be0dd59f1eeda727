package survey

import (
	"fmt"
	"math"
	"slices"
	"strconv"
)

// What a Guide remarks on what it saw, or did not see, and how it calls what moved.

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
