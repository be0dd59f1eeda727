package survey

import "math"

// floor is the number at which a meter ends, if one was seen: with the fader closed it stands
// still at the least that it ever showed, as no music does. To a mix that is nothing at all.
func (d *drafter) floor(r *reading) (at float64, ok bool) {
	f := &d.known[r.strip]
	if !f.ok || r.isText() || r.lo >= 0 {
		return 0, false
	}
	who := &f.place
	if r.strip == mainStrip {
		who = &place{index: -1}
	}
	for _, act := range []act{bottom, mute} {
		c := f.fader
		if act == mute {
			if c, ok = d.guide.control(r.strip, mute, d.refused); !ok {
				continue
			}
		}
		st, seen := c.when(act)
		if !seen {
			continue
		}
		if at := r.courseIn(st, who); at.n >= 4 && at.changes == 0 && at.end == r.lo && !math.IsInf(at.end, 0) {
			return r.lo, true
		}
	}
	return 0, false
}
