package survey

import (
	"math"

	"pawl/rules"
)

// The questions that only an answer raises. That about the second strip is here; those about
// strips whose faders stand in one message are in rows.go.

// verdictOf is what an answer told, or that it was not asked.
type verdictOf uint8

const (
	notAsked verdictOf = iota
	isSo
	isNotSo
)

// begin asks the first question that is left, or one of those that only what was told raises.
func (g *Guide) begin() {
	g.missed, g.wrong = 0, 0
	if len(g.queue) == 0 && len(g.rows) < mostFurther {
		g.queue = append(g.follow(), g.beyond()...)
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
func (g *Guide) second() []rules.Phrase {
	c, _ := g.steps.control(inputStrip, zero, g.refused)
	st := g.look(g.queue[0], math.NaN())
	inside, next := false, false
	for t, s := range st.seen {
		switch {
		case s.changes == 0 || t == c.slot || !t.stream.seen():
		case t.stream == c.slot.stream && t.arg == c.slot.arg+1:
			inside = true
		case t.arg == c.slot.arg && sameShape(t, c.slot) && numberAfter(t, c.slot) == 2:
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
			return g.next([]rules.Phrase{rules.Say("guide.not-seen")})
		}
		g.ask()
		return []rules.Phrase{put(rules.Say("guide.nothing-could-be"), byNone)}
	}
	g.keep()
	return g.next([]rules.Phrase{map[verdictOf]rules.Phrase{isSo: rules.Say("guide.each-several"), isNotSo: rules.Say("guide.each-one")}[g.banked]})
}
