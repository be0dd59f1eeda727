package survey

import (
	"slices"
	"strings"

	"pawl/rules"
)

// What leads a Guide back: to the question before, and past what was told or seen wrongly.

// state is where a Guide stood.
type state struct {
	queue    []question
	steps    steps
	rows     int
	arrivals int
}

// refusal is a slot that is not a strip's fader, or not its mute.
type refusal struct {
	slot  *slot
	strip strip
	fader bool
}

// keep notes where the guide stands, for the way back.
func (g *Guide) keep() {
	g.earlier = append(g.earlier, state{slices.Clone(g.queue), slices.Clone(g.steps), len(g.rows), len(g.arrivals)})
}

// back goes to the question before, as if it had not been answered.
func (g *Guide) back() []rules.Phrase {
	if len(g.earlier) == 0 {
		return []rules.Phrase{rules.Say("guide.first-question")}
	}
	last := g.earlier[len(g.earlier)-1]
	g.earlier = g.earlier[:len(g.earlier)-1]
	g.queue, g.steps, g.missed, g.wrong, g.rows = last.queue, last.steps, 0, 0, g.rows[:last.rows]
	g.arrivals = g.arrivals[:last.arrivals]
	g.ask()
	return []rules.Phrase{rules.Say("guide.back")}
}

// Reopen goes back to the last question after the end of them all.
func (g *Guide) Reopen() { g.back() }

// notThat takes back what the last answer was thought to have moved. If something else
// follows the moves as well it is that.
func (g *Guide) notThat() []rules.Phrase {
	if len(g.steps) == 0 || g.steps[len(g.steps)-1].act == calm {
		return []rules.Phrase{rules.Say("guide.nothing-seen")}
	}
	last := g.steps[len(g.steps)-1].question
	moved, _ := g.steps.moved(last, g.refused)
	if moved == nil {
		return []rules.Phrase{rules.Say("guide.nothing-seen")}
	}
	g.refused = append(g.refused, refusal{moved, last.strip, last.act.isFader()})
	if other, _ := g.steps.moved(last, g.refused); other != nil {
		st := g.steps[len(g.steps)-1]
		return []rules.Phrase{put(rules.Say("guide.then-it-is"), other.named(), st.seen[other].was.as("was"), st.seen[other].is.as("is"))}
	}
	return append([]rules.Phrase{put(rules.Say("guide.not-that"), moved.named())}, g.back()...)
}

// thatWas takes back a move of another strip than was asked about.
func (g *Guide) thatWas(which string) []rules.Phrase {
	if len(g.steps) == 0 || g.steps[len(g.steps)-1].act == calm {
		return []rules.Phrase{rules.Say("guide.nothing-moved")}
	}
	q := g.steps[len(g.steps)-1].question
	if which == strings.ToLower(q.strip.first()) || which == q.strip.String() && q.strip == mainStrip {
		return []rules.Phrase{rules.Say("guide.as-asked")}
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
	return []rules.Phrase{put(rules.Say("guide.was-another"), q.strip.named())}
}
