package survey

import (
	"fmt"
	"slices"
)

// A desk may be built of banks of strips: each message has the values of one bank, and a
// number or a letter in its address says of which. That it is so a hand has shown of the
// inputs' faders; all else that comes in messages of as many, from as many banks, is taken to
// lie as they do.

// bank is one message of a place: its values, and which strip the first of them is, from 1.
type bank struct {
	place
	first  int
	strips int // how many, of a meter
	row    []*slot
}

// inBanks are the messages of a place, each with the row that begins at its argument.
func (p *place) inBanks() (all []bank) {
	if p.index < 0 || p.named {
		return nil
	}
	for k := 0; ; k++ {
		i := slices.IndexFunc(p.shape.members, func(m member) bool { return number(m.at[p.index]) == p.from+k && p.alike(m.at) })
		if i < 0 {
			return all
		}
		m := p.shape.members[i]
		one := bank{place: *p, first: 1}
		one.at, one.row = m.at, m.slots[min(max(p.arg-m.from, 0), len(m.slots)):]
		if len(all) > 0 {
			last := all[len(all)-1]
			one.first = last.first + len(last.row)
		}
		all = append(all, one)
	}
}

// asBanked reports whether a place is in banks as the inputs' faders are.
func (d *drafter) asBanked(s strip, p *place) bool {
	all, f := d.withoutSpares(p.inBanks()), &d.known[s]
	return d.banked == isSo && f.ok && len(f.place.rows) > 1 && slices.EqualFunc(all, f.place.rows, func(b bank, n int) bool { return len(b.row) == n })
}

// addBanks writes an entry for each bank of strips, and makes the place that of them all.
func (d *drafter) addBanks(e entry, s strip, p *place, keys string) {
	var slots []*slot
	var rows []int
	for _, b := range d.withoutSpares(p.inBanks()) {
		of, last := e, b.first+len(b.row)-1
		of.hear = b.hear(mainStrip)
		of.value = fmt.Sprintf("args: %d, each: %s:%d-%d%s", p.arg, s, b.first, last, keys)
		if b.first > 1 {
			of.why = []string{fmt.Sprintf("The next bank: %s %d to %d are taken to follow in order.", s.several(), b.first, last)}
		}
		d.add(of, b.row)
		slots, rows = append(slots, b.row...), append(rows, len(b.row))
	}
	p.rows = rows
	p.column, p.row, p.n = p.with(slots), true, len(slots)
}
