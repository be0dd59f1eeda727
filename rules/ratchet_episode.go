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
	kept        time.Duration // end of the last raise, in the time of music
	base        desk.Balance  // the mix before the first raise
	heard       desk.Balance  // its sources as last heard while anything that was raised was playing
	moves       []desk.Move   // raises, lowers and returns, by when they ended
	claimed     bool
	about       []desk.Mover // whom the last claim was about
	split       desk.Split   // when it was made
}

// enter adds a move. A raise or lower that had begun before base was taken is in
// base half done, and is put back to where it started; but not where a mute is in
// the way, for that was there at both ends.
func (e *episode) enter(v *desk.View, m desk.Move) {
	if m.Kind != desk.Return && m.Start <= e.known && e.base.Fader(m.Mover) != desk.Off {
		e.base.SetFader(m.Mover, m.From)
	}
	e.moves = append(e.moves, m)
	slices.SortStableFunc(e.moves, desk.ByEnd)
	if m.Kind == desk.Raise {
		e.last = max(e.last, m.End)
		e.kept = v.PlayedAt(e.last)
	}
}

// forget measures a mover from where it now is: a cue is no climb, and neither
// is a lowering to closed.
func (e *episode) forget(v *desk.View, who desk.Mover) {
	e.base.SetFader(who, v.Stands(who))
	e.moves = slices.DeleteFunc(e.moves, func(m desk.Move) bool { return m.Mover == who })
}

// moved reports whether a mover has a part in the episode.
func (e *episode) moved(who desk.Mover) bool {
	return slices.ContainsFunc(e.moves, func(m desk.Move) bool { return m.Mover == who })
}

// concerns reports whether a mover moves an input that was moved in the episode.
func (e *episode) concerns(v *desk.View, who desk.Mover) bool {
	return slices.ContainsFunc(e.moves, func(m desk.Move) bool {
		for i := range v.Inputs() {
			if v.Drives(who, i) && v.Drives(m.Mover, i) {
				return true
			}
		}
		return false
	})
}

// holds reports whether the lowering that began then is in the episode.
func (e *episode) holds(who desk.Mover, began time.Duration) bool {
	return slices.ContainsFunc(e.moves, func(m desk.Move) bool {
		return m.Mover == who && m.Kind == desk.Lower && m.Start == began
	})
}

// tally adds up all raises, and all lowers that were not taken back, counted upwards.
func (e *episode) tally() (raised, lowered desk.DB) {
	for _, m := range e.moves {
		switch m.Kind {
		case desk.Raise:
			raised += m.Net()
		case desk.Lower:
			lowered -= m.Net()
		case desk.Return:
			lowered = max(lowered-m.Net(), 0)
		}
	}
	return raised, lowered
}
