package rules

import (
	"time"

	"pawl/rules/desk"
)

// inRange keeps how the mix was while a compressor was last well within its range. A
// median knows of a change only when half of its window has passed, so the mix that it
// is compared with must be older than that: three are kept, half a window apart, and
// the oldest counts.
type inRange struct {
	kept [3]rangedMix // the newest first
	n    int
	next time.Duration // of playing, when another is kept
}

type rangedMix struct {
	mix    desk.Balance
	at     time.Duration
	median desk.DB
}

// keep takes the mix as it stands, if it is time to and its reduction is well in range, or
// at least no worse than what is kept: one that creeps up is not followed. played is the
// time of playing.
func (r *inRange) keep(v *desk.View, played time.Duration, median, limit desk.DB, over time.Duration) {
	if median > limit || median > limit-1 && r.n > 0 && median > r.kept[r.n-1].median {
		return
	}
	if played < r.next && r.next-played <= half { // a clock that began anew is behind
		return
	}
	r.next = played + half
	oldest := r.kept[2].mix
	r.kept[2], r.kept[1] = r.kept[1], r.kept[0]
	r.kept[0] = rangedMix{oldest, v.At, median} // in the memory of the one that goes
	v.Balance(&r.kept[0].mix, over)
	r.n = min(r.n+1, len(r.kept))
}

// moved forgets all of it when the mix became another: nothing is measured across that.
func (r *inRange) moved(v *desk.View) {
	for _, m := range v.Moves {
		if m.Kind == desk.Scene || m.Kind == desk.Reroute {
			r.n = 0
		}
	}
}

// last is the mix to compare with, nil if there is none.
func (r *inRange) last() *rangedMix {
	if r.n == 0 {
		return nil
	}
	return &r.kept[r.n-1]
}
