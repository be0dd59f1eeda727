package review

import (
	"cmp"
	"math"
	"slices"
	"time"

	"pawl/rules"
	"pawl/rules/desk"
)

// stale is how old levels may be for a moment: a second that is missing is none.
const stale = rules.Moment(3 * time.Second)

// levelsAt is where every strip stood at a moment of a stretch's own clock; nil if that
// is not in the record.
func (c *course) levelsAt(stretch int, t rules.Moment) *rules.Levels {
	all := c.Stretches[stretch].Levels
	i, found := slices.BinarySearchFunc(all, t, func(l rules.Levels, t rules.Moment) int { return cmp.Compare(l.T, t) })
	if !found {
		i--
	}
	if i < 0 || t-all[i].T > stale {
		return nil
	}
	return &all[i]
}

// bought is what a raise had bought after Limits.Buys, or at the last moment before that
// at which it was as the hand had left it and was heard. Nil is what cannot be told: no
// raise in music, no meters, or nothing else that plays.
//
// Only hands count, as in what a card says of it: everybody is taken to play now as loud
// as they do, once with the faders of now and once with those of before. Whoever was let
// in since is taken as open all along, because to let somebody in is no raise.
func (c *course) bought(k int) *Bought {
	m := &c.moves[k]
	if m.Kind != desk.Raise || !c.music(m.ended) {
		return nil
	}
	before := c.levelsAt(m.in, m.Began)
	if before == nil {
		return nil
	}
	stands := c.stands(k)
	for at := stands; at >= m.Ended; at -= rules.Moment(time.Second) {
		now := c.levelsAt(m.in, at)
		if now == nil {
			continue
		}
		if clearer, ok := c.clearer(m, before, now); ok {
			return &Bought{Over: at - m.Ended, Raised: m.By, Clearer: clearer, Swallowed: m.By - clearer}
		}
	}
	return nil
}

// stands is until when a raise stands as it was left, also by what carries it, at most
// Limits.Buys, on the clock of its stretch.
func (c *course) stands(k int) rules.Moment {
	m := &c.moves[k]
	until := m.Ended + rules.Moment(c.Limits.Buys)
	if p := c.pieceAt(m.ended); p != nil {
		until = min(until, m.Ended+p.until-m.ended)
	}
	for i := k + 1; i < len(c.moves) && c.moves[i].in == m.in; i++ {
		n := &c.moves[i]
		if n.Began >= until {
			continue
		}
		// A DCA that brings its inputs down takes a raise of one back; nobody swallowed it.
		if c.touches(m.in, n.Who, m.Who) || n.Kind == desk.Scene || n.Kind == desk.Reroute {
			until = max(m.Ended, n.Began)
		}
	}
	return until
}

// clearer is how far what a mover drives stands out more from all the rest than with the
// faders of before; false where there is nothing to compare.
func (c *course) clearer(m *moved, before, now *rules.Levels) (desk.DB, bool) {
	inputs := c.strips(m.in).Inputs
	n := min(len(inputs), len(before.Inputs), len(now.Inputs))
	var own, ownThen, rest, restThen float64
	sounds := false
	for i := range n {
		share := math.Pow(10, float64(now.Inputs[i].Share)/10)
		if now.Inputs[i].Gain == desk.Off {
			continue
		}
		then := share
		if was := before.Inputs[i].Gain; was != desk.Off {
			then *= math.Pow(10, float64(was.Above(now.Inputs[i].Gain))/10)
		}
		if who := (desk.Who{Strip: desk.StripInput, Index: i}); c.drives(m, who) {
			own, ownThen = own+share, ownThen+then
			sounds = sounds || c.plays(m.in, &inputs[i], &now.Inputs[i])
		} else {
			rest, restThen = rest+share, restThen+then
		}
	}
	if !sounds || own <= 0 || ownThen <= 0 || rest <= 0 || restThen <= 0 {
		return 0, false
	}
	return desk.DB(10 * (math.Log10(own/ownThen) - math.Log10(rest/restThen))), true
}

// drives reports whether an input's gain is moved by a mover. A group's and the main's
// part in a rise is counted apart.
func (c *course) drives(m *moved, input desk.Who) bool {
	return m.Who.Mover() == input.Mover() || m.Who.Strip == desk.StripDCA && c.carries(m.in, m.Who, input)
}

// plays reports whether an input was heard in the mix.
func (c *course) plays(stretch int, in *desk.Input, l *rules.InputLevels) bool {
	mix, gate := &c.limits(stretch).Mix, in.Gate
	if gate == 0 {
		gate = mix.Gate
	}
	return l.Gain > mix.Audible && l.Level > gate
}
