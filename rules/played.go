package rules

import "time"

// played is a clock that runs while something plays. It begins anew after a rest that
// is longer than a pause between two phrases. The zero value has not begun.
type played struct {
	total time.Duration // since the last long rest
	seen  time.Duration // when it was last asked, as watched
	heard time.Duration // when it last played, as watched
	begun bool
}

// rests is a pause after which what plays is another piece.
const rests = 20 * time.Second

// pass lets time pass to watched, and reports whether it is still one piece.
func (p *played) pass(watched time.Duration, active bool) bool {
	if active {
		if p.begun {
			p.total += watched - p.seen
		}
		p.begun, p.heard = true, watched
	}
	p.seen = watched
	if p.begun && watched-p.heard <= rests {
		return true
	}
	*p = played{}
	return false
}
