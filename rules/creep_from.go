package rules

import (
	"slices"
	"time"

	"pawl/rules/desk"
)

// creepMark is the mix as it was, and how much music there had been.
type creepMark struct {
	mix    *desk.Balance
	played time.Duration
	at     time.Duration
	out    map[desk.Mover]desk.DB // where those stood that were taken out since, and are
}

// cue measures a mover that was brought in or taken out from where it now stands: that is no rise.
// One that comes back lower than it stood is still as far below.
func (c *creepMark) cue(m desk.Mover, stands desk.DB) {
	was := c.mix.Fader(m)
	if before, out := c.out[m]; out {
		was = before
	}
	if stands > desk.Off {
		delete(c.out, m)
		c.mix.SetFader(m, max(was, stands))
		return
	}
	if c.out == nil {
		c.out = map[desk.Mover]desk.DB{}
	}
	c.out[m] = was
	c.mix.SetFader(m, desk.Off)
}

// take follows what a move does to what is measured from: a cue is no rise, and a change
// of scene is another mix.
func (c *creep) take(v *desk.View, m desk.Move) {
	switch m.Kind {
	case desk.Scene, desk.Reroute:
		c.begin()
		c.wait = false // until there is a mark of it
	case desk.BringIn, desk.TakeOut:
		for n := range c.from {
			c.from[n].cue(m.Mover, v.Stands(m.Mover))
		}
	case desk.GainSet:
		for _, f := range c.from {
			f.mix.Regain(m.Mover.Index, m.Gain)
		}
	case desk.Raise, desk.Return:
		c.moves = append(c.moves, m)
	case desk.Lower:
		if m.Mover.Strip == desk.StripDCA {
			c.moves = append(c.moves, m)
		}
	}
}

// begin forgets what was measured from.
func (c *creep) begin() { c.from, c.moves = nil, nil }

// keep has something to measure from: the mark, or the mix with which the segment began
// if that is later and nobody set the mark by hand. It reports whether that is another
// one than before.
func (c *creep) keep(v *desk.View) (fresh bool) {
	if v.Segment.Number != c.segment || v.Elsewhere != c.elsewhere {
		c.cues(v)
	}
	c.elsewhere = v.Elsewhere
	if v.Segment.Number != c.segment {
		c.segment = v.Segment.Number
		if v.Mark.How != desk.ByHand {
			c.begin()
			c.wait, c.stood, fresh = true, v.Played, true
		}
	}
	if v.Mark.Set && v.Mark.At != c.mark {
		c.begin()
		c.mark, c.wait, fresh = v.Mark.At, false, true
		c.add(v, v.Mark.Base)
		c.cues(v)
	}
	last := len(c.from) - 1
	switch {
	case last < 0 && (!c.wait || !v.Music() || v.Played-c.stood < c.over):
		return fresh
	case last < 0 || v.Played-c.from[last].played >= time.Minute:
		v.Balance(&c.now, c.over)
		c.add(v, &c.now)
		c.wait = false
	}
	for v.Played-c.from[0].played > c.limits.Over && len(c.from) > 1 {
		c.spare, c.from = c.from[0].mix, slices.Delete(c.from, 0, 1)
		c.moves = slices.DeleteFunc(c.moves, func(m desk.Move) bool { return m.End <= c.from[0].at })
	}
	return fresh
}

// cues takes what was brought in or out while the service was elsewhere and nobody told, or in
// the moment after the mark was set.
func (c *creep) cues(v *desk.View) {
	for n := range c.from {
		for m := range faders(v) {
			if stands := v.Stands(m); (c.from[n].mix.Fader(m) == desk.Off) != (stands == desk.Off) {
				c.from[n].cue(m, stands)
			}
		}
	}
}

func (c *creep) add(v *desk.View, mix *desk.Balance) {
	b := c.spare
	if c.spare = nil; b == nil {
		b = &desk.Balance{}
	}
	b.CopyFrom(mix)
	c.from = append(c.from, creepMark{mix: b, played: v.Played, at: v.At})
}
