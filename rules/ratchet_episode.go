package rules

import (
	"slices"
	"time"

	"pawl/rules/desk"
)

// episode is a run of raises with less than limits.Quiet between them.
type episode struct {
	key         int
	start, last time.Duration // of the first raise; end of the last
	known       time.Duration // when the first raise had ended, and base was taken
	base        Balance       // the mix before the first raise
	stage       []desk.Power  // as last heard while anything that was raised was playing
	moves       []Move        // raises, lowers and returns, by when they ended
	claimed     bool
	claim       Claim // the last made
	split       Split // when it was made
}

// enter adds a move. A raise or lower that had begun before base was taken is in
// base half done, and is put back to where it started; but not where a mute is in
// the way, for that was there at both ends.
func (e *episode) enter(mix *Mix, m Move) {
	if m.Kind != Return && m.Start <= e.known && e.base.faders.At(m.Mover) != desk.Off {
		e.base.faders.Set(m.Mover, m.From)
		e.base.derive(mix.routes)
	}
	e.moves = append(e.moves, m)
	slices.SortStableFunc(e.moves, byEnd)
	if m.Kind == Raise {
		e.last = max(e.last, m.End)
	}
}

// forget measures a mover from where it now is: a cue is no climb, and neither
// is a lowering to closed.
func (e *episode) forget(mix *Mix, who desk.Mover) {
	mix.refresh()
	e.base.faders.Set(who, mix.now.faders.At(who))
	e.base.derive(mix.routes)
	e.moves = slices.DeleteFunc(e.moves, func(m Move) bool { return m.Mover == who })
}

// moved reports whether a mover has a part in the episode.
func (e *episode) moved(who desk.Mover) bool {
	return slices.ContainsFunc(e.moves, func(m Move) bool { return m.Mover == who })
}

// concerns reports whether a mover moves an input that was moved in the episode.
func (e *episode) concerns(mix *Mix, who desk.Mover) bool {
	return slices.ContainsFunc(e.moves, func(m Move) bool {
		for i := range mix.routes {
			if mix.moves(who, i) && mix.moves(m.Mover, i) {
				return true
			}
		}
		return false
	})
}

// holds reports whether the lowering that began then is in the episode.
func (e *episode) holds(who desk.Mover, began time.Duration) bool {
	return slices.ContainsFunc(e.moves, func(m Move) bool {
		return m.Mover == who && m.Kind == Lower && m.Start == began
	})
}

// tally adds up all raises, and all lowers that were not taken back, counted upwards.
func (e *episode) tally() (raised, lowered desk.DB) {
	for _, m := range e.moves {
		switch m.Kind {
		case Raise:
			raised += m.Net()
		case Lower:
			lowered -= m.Net()
		case Return:
			lowered = max(lowered-m.Net(), 0)
		}
	}
	return raised, lowered
}
