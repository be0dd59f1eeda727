package survey

import (
	"math"
	"time"

	"pawl/rules"
)

// Fader is an input's fader as it stands, before there is a map: how far up, 0 to 1.
type Fader struct {
	Number int // counted from the one that was asked about, from 1
	At     float64
}

// Moved is something that a hand seems to have moved a moment ago.
type Moved struct {
	What rules.Phrase // how it is called
	To   rules.Phrase
}

// Faders are the inputs' faders as they stand, as soon as the guide knows where they are;
// nil before that.
func (g *Guide) Faders() []Fader {
	c, ok := g.steps.control(inputStrip, zero, g.refused)
	if !ok || len(c.moves) < 2 {
		return nil
	}
	p, ok := locate(g.survey.shapes(), c.slot)
	if !ok {
		return nil
	}
	p.bound(inputStrip, nil)
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, st := range c.moves {
		if is := st.seen[c.slot].is; is.isNum {
			lo, hi = min(lo, is.num), max(hi, is.num)
		}
	}
	bottomAt := c.at(bottom)
	var all []Fader
	for i, t := range p.slots {
		at := 0.0
		if t.last.isNum && hi > lo {
			at = min(max((t.last.num-lo)/(hi-lo), 0), 1)
		}
		if bottomAt.isNum && bottomAt.num == hi { // numbers that rise downwards
			at = 1 - at
		}
		all = append(all, Fader{i + 1, at})
	}
	return all
}

// Moving is what changed within the last while though it stands still most of the time, five
// of it at most.
func (s *Survey) Moving(within time.Duration) (all []Moved) {
	over := (s.last - s.first).Seconds()
	s.eachSlot(func(t *slot) {
		if len(all) < 5 && t.blob == nil && !t.isCell() && t.stream.seen() && t.changes > 0 && s.last-t.changedAt <= within && float64(t.changes) < 5+restless*over/2 {
			all = append(all, Moved{t.phrase(), put(rules.Say("slot.value"), t.last.as("is"))})
		}
	})
	return all
}
