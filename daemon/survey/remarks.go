package survey

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"pawl/rules"
)

// What a Guide remarks on what it saw, or did not see, and how it calls what moved.

// nothingMoved says what may be wrong where nothing answers a question, and which other
// strip moved, if one did. A number that was typed is kept for the next Enter.
func (g *Guide) nothingMoved(q question, st step, word string) []rules.Phrase {
	var said []rules.Phrase
	known, ok := g.steps.control(q.strip, q.act, g.refused)
	if strayed := g.strayed(q, st); ok && strayed != nil {
		said = append(said, put(q.strayedTo(strayed, known.slot), q.strip.named(), st.seen[strayed].is.as("is"), st.seen[known.slot].is.as("at")), rules.Say("guide.put-back"))
	} else {
		said = append(said, put(rules.Say("guide.nothing-changed"), byNone))
	}
	if g.missed++; g.missed >= patience {
		return append(said[:len(said)-1], g.giveUp(q, ok)...)
	}
	g.ask()
	if q.act == mark && word != "" {
		g.kept = word
		said = append(said, put(rules.Say("guide.remembered"), asTyped(word), byDone))
	}
	return said
}

// patience is how often a move is asked for of which nothing is seen.
const patience = 2

// giveUp goes on after a question whose move is not seen, so that no desk is asked about for
// ever: past this one if more is known of what it asks about, or else past all of them.
func (g *Guide) giveUp(q question, known bool) []rules.Phrase {
	g.keep()
	if q.act == mute || q.act == unmute || !known {
		// Of a fader that is not seen the mute may be.
		g.queue = slices.DeleteFunc(g.queue, func(o question) bool {
			return o.strip == q.strip && o.act.isFader() == q.act.isFader() && o.act != calm
		})
		g.begin()
		if q.act.isFader() {
			return []rules.Phrase{put(rules.Say("guide.no-fader"), q.strip.named())}
		}
		return []rules.Phrase{put(rules.Say("guide.no-mute"), q.strip.named())}
	}
	return g.next([]rules.Phrase{rules.Say("guide.not-seen")})
}

// mostFurther is how many further strips are asked for, whatever a desk does: the banks of a
// large one, and a second strip of each kind.
const mostFurther = 16

// mostWrong is how many numbers that cannot be are taken for one mark.
const mostWrong = 12

// wrongMark says why a number cannot be that of where the fader stands; after some times the
// guide goes on without this mark, or the further ones.
func (g *Guide) wrongMark(q question, wrong rules.Phrase) []rules.Phrase {
	if g.wrong++; g.wrong < mostWrong {
		return []rules.Phrase{wrong}
	}
	g.keep()
	for q.more && len(g.queue) > 1 && g.queue[1].more {
		g.queue = g.queue[1:]
	}
	return g.next([]rules.Phrase{wrong, rules.Say("guide.left-out")})
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

// strayedTo says that something else moved than a strip's fader or mute: another strip's, by how
// its address differs from that of the strip that was asked about, which counts as the first.
func (q question) strayedTo(t, first *slot) rules.Phrase {
	n := numberAfter(t, first)
	switch {
	case n > 0 && q.act.isFader():
		return put(rules.Say("guide.strayed-fader"), q.strip.numbered("other", n))
	case n > 0:
		return put(rules.Say("guide.strayed-mute"), q.strip.numbered("other", n))
	case q.act.isFader():
		return put(rules.Say("guide.strayed-from-fader"), t.named())
	}
	return put(rules.Say("guide.strayed-from-mute"), t.named())
}

// numberAfter is which strip a slot is of, if another is the first one's; 0 if that cannot be
// told.
func numberAfter(t, first *slot) int {
	_, a := cutNumbers(t.stream.shown)
	_, b := cutNumbers(first.stream.shown)
	a, b = append(a, fmt.Sprint(t.stream.first)), append(b, fmt.Sprint(first.stream.first))
	for i := range a {
		if n := number(a[i]) - number(b[i]) + 1; i < len(b) && n > 1 {
			return n
		}
	}
	return 0
}

// otherScale reports whether a group's or a DCA's fader has another scale than input 1's, which
// one more mark tells.
func (g *Guide) otherScale(s strip) bool {
	in, ok := g.steps.control(inputStrip, zero, g.refused)
	c, known := g.steps.control(s, zero, g.refused)
	if !ok || !known || s != groupStrip && s != dcaStrip || c.slot.saysDecibels() {
		return false
	}
	zeros := 0
	for _, st := range c.moves {
		if st.act == zero {
			zeros++
		}
	}
	if zeros > 1 { // it was asked already
		return false
	}
	sc, ok := fit(in.points())
	points, _ := c.points()
	return ok && (worst(points, sc.db) > 0.5 || sc.onlyZero(points) && !c.slot.sorted(in.slot))
}

// onlyZero reports whether marks tell nothing of the unit of decibels, though they fit: 0 is 0 dB
// in all of them.
func (sc *scale) onlyZero(points []point) bool {
	return sc.per > 0 && !slices.ContainsFunc(points, func(p point) bool { return p.db == p.db && p.x != 0 })
}

// sorted reports whether two slots have numbers of the same sort, and so most likely of one unit.
func (t *slot) sorted(o *slot) bool {
	return t.isCell() == o.isCell() && (t.isCell() && t.layout == o.layout || !t.isCell() && t.tags == o.tags)
}

// scaleSaid tells the person what was made of the marks.
func (g *Guide) scaleSaid() []rules.Phrase {
	c, ok := g.steps.control(inputStrip, zero, g.refused)
	if !ok {
		return nil
	}
	if sc, ok := fit(c.points()); ok {
		return sc.said
	}
	return []rules.Phrase{rules.Say("guide.scale-none")}
}

// helpful is the mark that would make the scale truer by most.
func (g *Guide) helpful() rules.Phrase {
	if c, ok := g.steps.control(inputStrip, zero, g.refused); ok {
		sc, _ := fit(c.points())
		return sc.helpful
	}
	return rules.Phrase{}
}

// name is how a slot is called in a draft, and at a terminal.
func (t *slot) name() string { return inEnglish(t.phrase()) }

// address is where a slot's message goes, with what else tells it from others.
func (t *slot) address() string {
	name := t.stream.shown
	if t.stream.first >= 0 {
		name += fmt.Sprintf(" %d", t.stream.first)
	}
	if t.stream.word != "" && t.stream.of.view().word >= 0 {
		name += " " + strconv.Quote(clean(t.stream.word))
	}
	return name
}

// plain is a value as it is shown.
func (v value) plain() string {
	switch {
	case v.text != "":
		return strconv.Quote(v.text)
	case v.isNum && math.Abs(v.num) < 1e12:
		return strconv.FormatFloat(v.rounded(), 'f', -1, 64)
	case v.isNum:
		return strconv.FormatFloat(v.num, 'g', 6, 64)
	}
	return "nothing"
}

// rounded is its number with as many decimals as are shown.
func (v value) rounded() float64 {
	if math.Abs(v.num) >= 1e12 {
		return v.num
	}
	return math.Round(v.num*1e4)/1e4 + 0
}
