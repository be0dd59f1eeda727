package survey

import (
	"fmt"
	"slices"
)

// nameRows writes down the names of strips that stand side by side in one message, or in a
// message for each bank: texts that are all different, and as many as there are strips.
func (d *drafter) nameRows() {
	for s := inputStrip; s < mainStrip; s++ {
		f := &d.known[s]
		if d.guide == nil || !f.ok || f.place.n < fewestNames || slices.ContainsFunc(d.entries, func(e entry) bool { return e.is == s.String()+".name" }) {
			continue
		}
		sole := true // no other kind has as many
		for o := inputStrip; o < mainStrip; o++ {
			sole = sole && (o == s || !d.known[o].ok || d.known[o].place.n != f.place.n)
		}
		if d.recordNames(s) {
			continue
		}
		found := d.rowsOfNames(s)
		for _, p := range found {
			e := entry{is: s.String() + ".name", hear: p.hear(mainStrip), value: p.where(s), unsure: !sole && p.banks == nil || len(found) > 1}
			e.because("Texts, all different and as many as there are %s: %s.", s.several(), p.examples())
			if e.unsure {
				e.because("But they may as well be of something else.")
			}
			if p.banks == nil {
				d.add(e, p.slots)
			}
			for _, b := range p.banks {
				of := e
				of.hear = b.hear(mainStrip)
				of.value = fmt.Sprintf("args: %d, each: %s:%d-%d", p.arg, s, b.first, b.first+len(b.row)-1)
				d.add(of, b.row)
			}
		}
	}
}

// nameRow is where the names of strips stand; where they are in banks, in which messages.
type nameRow struct {
	place
	banks []bank
}

// rowsOfNames are the places where as many texts stand as a kind of strip has strips.
func (d *drafter) rowsOfNames(s strip) (found []nameRow) {
	f := &d.known[s].place
	for _, sh := range d.shapes {
		if !sh.writable() || len(sh.vars) > 1 {
			continue
		}
		for c := range sh.singles() {
			p := placed(c, sh.lowest().at)
			var texts []*slot
			banks := d.banksOf(p.slots[0])
			if s == inputStrip && len(banks) > 0 && slices.EqualFunc(banks, f.rows, func(b bank, n int) bool { return len(b.row) == n }) {
				for _, b := range banks {
					texts = append(texts, b.row...)
				}
			} else if banks = nil; p.index >= 0 {
				continue
			} else if t := c.slots[0]; t.after(-1) == nil || !t.after(-1).isText() {
				for ; t != nil && t.isText(); t = t.after(1) {
					texts = append(texts, t)
				}
			}
			if len(texts) != f.n || slices.ContainsFunc(texts, d.isClaimed) {
				continue
			}
			if p.column, p.row, p.n = p.with(texts), true, len(texts); p.allDifferent() && !p.lettered() {
				found = append(found, nameRow{p, banks})
			}
		}
	}
	return found
}

// allDifferent reports whether every slot holds a text of its own, that is no number.
func (c *column) allDifferent() bool {
	last := set{}
	for _, t := range c.slots {
		if last[t.last.text] = true; t.numeric() || t.isSwitch() {
			return false
		}
	}
	return len(last) == len(c.slots)
}

// recordNames writes down the names of strips that stand in one message as the faders do, one
// beside each: texts that are all different.
func (d *drafter) recordNames(s strip) bool {
	f := &d.known[s].place
	if f.doubt != "" || f.stride < 2 || f.cell == nil || f.cell.isCell() || len(f.banked) > 0 {
		return false
	}
	for at := -f.stride + 1; at < f.stride; at++ {
		t := f.cell.after(at)
		if t == nil || !t.isText() || d.isClaimed(t) {
			continue
		}
		p := *f
		p.arg = t.arg
		if p.spread(t, f.stride, f.n); p.n != f.n || slices.ContainsFunc(p.slots, func(t *slot) bool { return !t.isText() }) || !p.allDifferent() {
			continue
		}
		e := entry{is: s.String() + ".name", hear: p.hear(mainStrip), value: p.where(s), part: true}
		e.because("Texts, all different, one beside the fader of each of the %s: %s.", s.several(), p.examples())
		d.add(e, p.slots)
		return true
	}
	return false
}
