package rules

import (
	"time"

	"pawl/rules/desk"
)

// played is a clock that runs while something plays. It begins anew after a rest that
// is longer than a pause between two phrases. The zero value has not begun.
type played struct {
	total time.Duration // since the last long rest
	seen  time.Duration // when it was last asked, as watched
	heard time.Duration // when it last played, as watched, other segments with it
	begun bool
}

// rests is a pause after which what plays is another piece.
const rests = 20 * time.Second

// pass lets the time of a view pass, and reports whether it is still one piece. A
// segment of another kind is a rest, however much plays in it.
func (p *played) pass(v *desk.View, active bool) bool {
	now := v.Watched + v.Elsewhere
	if p.begun && now-p.heard > rests {
		*p = played{}
	}
	if active {
		if p.begun {
			p.total += v.Watched - p.seen
		}
		p.begun, p.heard = true, now
	}
	p.seen = v.Watched
	return p.begun
}
