package survey

import (
	"fmt"
	"slices"
)

// What leads a Guide back: to the question before, and past what was told or seen wrongly.

// state is where a Guide stood.
type state struct {
	queue []question
	steps steps
	rows  int
}

// refusal is a slot that is not a strip's fader, or not its mute.
type refusal struct {
	slot  *slot
	strip strip
	fader bool
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
