package survey

import (
	"slices"
	"strings"
)

// How the names of strips are written down, which are found among all texts that were heard.

// nameEntry writes down the texts that stand beside a strip's fader and are all
// different. Of several it takes those whose address is nearest to the fader's, and
// leaves what is nearer to the fader of another kind of strip.
func (d *drafter) nameEntry(s strip, fader place) {
	var best []place
	contested := ""
	for _, sh := range d.shapes {
		for c := range sh.singles() {
			p, ok := fader.beside(c)
			// Strips without a name of their own may have sent none.
			if !ok || p.named || len(p.slots) < max(2, fader.n*3/4) || !p.differentTexts() || slices.ContainsFunc(p.slots, d.isClaimed) {
				continue
			}
			near := d.nearness(fader, p)
			other, as := d.nearestOther(s, p)
			if as > near {
				continue
			}
			if len(best) > 0 && near < d.nearness(fader, best[0]) {
				continue
			}
			if len(best) > 0 && near > d.nearness(fader, best[0]) {
				best = best[:0]
			}
			if best = append(best, p); len(best) == 1 {
				if contested = ""; as == near {
					contested = other
				}
			}
		}
	}
	if len(best) == 0 {
		return
	}
	p := best[0]
	e := entry{is: s.String() + ".name", hear: p.hear(s), value: p.where(s)}
	e.because("Texts, another for each %s: %s.", s, p.examples())
	switch {
	case len(best) > 1:
		var others []string
		for _, o := range best[1:min(len(best), 4)] {
			others = append(others, o.described())
		}
		e.because("But these may as well be the names: %s.", strings.Join(others, "; "))
	case contested != "":
		e.because("But they may as well be those of the %s.", contested)
	default:
		d.add(e, p.slots)
		return
	}
	e.unsure = true
	d.add(e, nil) // or the other kind of strip would have what is left for certain
}

// namesElsewhere writes down texts that are all different and as many as there are strips of a
// kind, where none stand beside their faders. If it cannot be any other kind's, and there are
// no others such, it is these strips' names.
func (d *drafter) namesElsewhere(s strip) {
	n := d.known[s].place.n
	if d.guide == nil || n < fewestNames {
		return
	}
	sole := true // no other kind has as many
	for o := inputStrip; o < mainStrip; o++ {
		sole = sole && (o == s || !d.known[o].ok || d.known[o].place.n != n)
	}
	var found []place
	for _, sh := range d.shapes {
		for c := range sh.singles() {
			p := placed(c, sh.lowest().at)
			if p.index < 0 || len(sh.vars) > 1 || sh.vars[0].named || !sh.writable() || slices.ContainsFunc(c.slots, d.isClaimed) {
				continue
			}
			beside := slices.ContainsFunc(d.known[:], func(f family) bool {
				if !f.ok {
					return false
				}
				_, ok := f.place.beside(c)
				return ok
			})
			if p.count(never); !beside && p.n == n && len(p.slots) == n && p.differentTexts() {
				found = append(found, p)
			}
		}
	}
	// Of the messages about strips, only some hold names; numbers, as in a place or a colour, are
	// texts with a common beginning, which no band gives itself.
	found = slices.DeleteFunc(found, func(p place) bool { return p.lettered() })
	for _, p := range found {
		e := entry{is: s.String() + ".name", hear: p.hear(s), value: p.where(s), unsure: !sole || len(found) > 1}
		e.because("Texts, all different and as many as there are %s: %s. %s", s.several(), p.examples(), p.counting(s))
		if e.unsure {
			e.because("But they may as well be of something else.")
		} else {
			d.seat(s, p)
		}
		d.add(e, p.slots)
	}
}

// lettered reports whether the texts are the same but for their last letter or number.
func (c *column) lettered() bool {
	stems := set{}
	for _, t := range c.slots {
		stems[strings.TrimRight(t.last.text, "0123456789")] = true
	}
	return len(stems) == 1
}

// nearness is how much of the beginnings of two addresses is the same, in segments.
// Where strips are counted by an argument, one that lies as deep is nearer. Without
// anybody's hand no fader is known, and all are equally near.
func (d *drafter) nearness(fader, p place) int {
	if d.guide == nil {
		return 0
	}
	a, b := strings.Split(strings.Join(fader.shape.parts, "*"), "/"), strings.Split(strings.Join(p.shape.parts, "*"), "/")
	shared := 0
	for shared < min(len(a), len(b)) && a[shared] == b[shared] {
		shared++
	}
	near := 2 * shared
	if p.byArgument() && len(a) == len(b) {
		near++
	}
	return near
}

// nearestOther is the kind of strip, but for one, whose fader the texts are nearest to of
// those beside which they stand too, and how near; -1 if there is none.
func (d *drafter) nearestOther(but strip, texts place) (who string, near int) {
	near = -1
	for s := inputStrip; s < mainStrip; s++ {
		f := &d.known[s]
		if s == but || !f.ok {
			continue
		}
		p, ok := f.place.beside(texts.column)
		if !ok || !slices.ContainsFunc(p.slots, func(t *slot) bool { return slices.Contains(texts.slots, t) }) {
			continue
		}
		if n := d.nearness(f.place, p); n > near {
			who, near = s.several(), n
		}
	}
	return who, near
}

// differentTexts reports whether most slots hold a text of their own.
func (c *column) differentTexts() bool {
	last := set{}
	for _, t := range c.slots {
		if !t.isText() || len(t.texts) == 0 || t.numeric() || t.isSwitch() {
			return false
		}
		last[t.last.text] = true
	}
	return 2*len(last) > len(c.slots)
}
