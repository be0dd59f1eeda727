package survey

import (
	"fmt"
	"slices"
)

// alone says why one strip may not be all of its kind: behind it are numbers at the same place
// that are of no strip that is known, so its kind may be counted otherwise than by ones. It is ""
// of several strips, and where nothing is behind it.
func (d *drafter) alone(s strip, p *place) string {
	if s == mainStrip || p.index < 0 || p.named || p.row || p.n > 1 {
		return ""
	}
	for _, m := range p.shape.members {
		n := number(m.at[p.index])
		known := slices.ContainsFunc(d.known[:], func(f family) bool {
			o := &f.place
			return f.ok && o.shape == p.shape && o.index == p.index && n >= o.from && n < o.from+o.n
		})
		if n > p.from && p.alike(m.at) && !known {
			return fmt.Sprintf("But number %s is behind it, and nothing tells whether that is another %s.", m.at[p.index], s)
		}
	}
	return ""
}
