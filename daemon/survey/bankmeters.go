package survey

import (
	"fmt"
	"slices"
)

// banksOf are the messages of all banks that are alike the one of a slot, which is the first
// bank's: each with its values from that argument on. It is nil where the inputs' faders are in
// no banks, or a message of one is missing.
func (d *drafter) banksOf(t *slot) (all []bank) {
	f := &d.known[inputStrip]
	p, ok := locate(d.shapes, t)
	switch {
	case !ok || !f.ok || len(f.place.rows) < 2 || t.isCell():
		return nil
	case d.banked == isSo:
		if p.index < 0 || len(p.shape.vars) != len(f.place.shape.vars) || p.at[p.index] != f.place.at[f.place.index] {
			return nil
		}
		p.count(never)
		all = d.withoutSpares(p.inBanks())
	default:
		all = []bank{{place: p, first: 1}}
		for _, b := range f.place.banked {
			next := d.likewise(f.fader.slot, b, t)
			if next == nil {
				return nil
			}
			one, ok := locate(d.shapes, next)
			if !ok {
				return nil
			}
			all = append(all, bank{place: one})
		}
		for i := range all {
			for t := all[i].slots[0].stream.slotAt(p.arg); t != nil; t = t.after(1) {
				all[i].row = append(all[i].row, t)
			}
		}
	}
	if len(all) != len(f.place.rows) {
		return nil
	}
	first := 1
	for i := range all {
		all[i].first, all[i].strips = first, f.place.rows[i]
		first += all[i].strips
	}
	return all
}

// slotAt is argument arg of a stream, nil if it has none.
func (st *stream) slotAt(arg int) *slot { return member{stream: st}.slotAt(arg) }

// inBanks puts the meters of all banks together, where each has as many values, or so many times
// as many, as it has inputs.
func (d *drafter) inBanks(all []meter) []meter {
	f := &d.known[inputStrip]
	for _, sh := range d.shapes {
		t := sh.lowest().slotAt(0)
		if parts, taken := d.inMessages(sh); parts != nil {
			all = slices.DeleteFunc(all, func(m meter) bool { return slices.ContainsFunc(m.slots, func(t *slot) bool { return taken[t] }) })
			all = append(all, parts...)
			continue
		}
		if !sh.writable() || t == nil || !t.numeric() || t.isKey() || d.isClaimed(t) || t == f.fader.slot {
			continue
		}
		banks := d.banksOf(t)
		if len(banks) == 0 || slices.ContainsFunc(banks, func(b bank) bool { return slices.ContainsFunc(b.row, d.isClaimed) }) {
			continue
		}
		parts := d.bankParts(banks, t)
		if parts == nil {
			continue
		}
		taken := map[*slot]bool{}
		for _, b := range banks {
			for _, t := range b.row {
				taken[t] = true
			}
		}
		all = slices.DeleteFunc(all, func(m meter) bool { return slices.ContainsFunc(m.slots, func(t *slot) bool { return taken[t] }) })
		all = append(all, parts...)
	}
	return all
}

// bankParts are the meters of all banks, nil if they have not so many values each.
func (d *drafter) bankParts(banks []bank, t *slot) (parts []meter) {
	per := len(banks[0].row) / banks[0].strips
	if per < 1 || per > mostPerStrip {
		return nil
	}
	for _, b := range banks {
		if len(b.row) != per*b.strips || slices.ContainsFunc(b.row, func(o *slot) bool { return o.tags != t.tags }) {
			return nil
		}
	}
	others := 0
	for _, together := range []bool{true, false}[:min(per, 2)] {
		some, fits := d.arranged(banks, per, together)
		switch {
		case !fits:
		case parts == nil:
			parts = some
		default:
			others++
		}
	}
	for i := range parts {
		if parts[i].doubtful = others > 0; others > 0 {
			parts[i].apart = fmt.Sprintf("Each message has %d values of each input of its bank, perhaps so: nothing tells how they lie.", per)
		}
	}
	return parts
}

// arranged is the meters of banks in one arrangement, and whether that can be: the values of one
// input go together, and those of no other fell with its fader.
func (d *drafter) arranged(banks []bank, per int, together bool) (parts []meter, fits bool) {
	f := &d.known[inputStrip]
	seconds := max((d.survey.last - d.survey.first).Seconds(), 1)
	moves := false
	for j := range per {
		m := meter{place: banks[0].place, of: inputStrip, stride: 1, banks: banks, inBank: banked{j, per, together}}
		m.index, m.row, m.n, m.rate = -1, true, f.place.n, float64(banks[0].row[0].count)/seconds
		var slots []*slot
		for _, b := range banks {
			for k := range b.strips {
				t := b.row[m.inBank.at(k, b.strips)]
				slots = append(slots, t)
				moves = moves || float64(t.changes) >= restless*seconds
			}
		}
		if m.column = m.with(slots); m.mixed(division{n: m.n, per: 1}, 0) {
			return nil, false
		}
		for k := 1; k < banks[0].strips; k++ {
			one := m
			one.slots = slots[k:]
			if one.judged(d.guide, inputStrip, f.fader, &place{index: -1}) == fell && m.judged(d.guide, inputStrip, f.fader, &place{index: -1}) != fell {
				return nil, false
			}
		}
		m.apart = fmt.Sprintf("Each message has %s of each input of its bank, as the faders lie in banks.", plural(per, "value"))
		parts = append(parts, m)
	}
	var own sums
	for j := 1; j < per; j++ {
		for k := range f.place.n {
			own.add(correlation(upright(parts[j-1].series(k)), upright(parts[j].series(k))))
		}
	}
	return parts, moves && (own.n == 0 || own.mean() >= unlike)
}

// banked is which of the values of a strip in a bank a meter is.
type banked struct {
	which, per int
	together   bool
}

// at is where that of strip k of n stands.
func (b banked) at(k, n int) int {
	if b.together {
		return k*b.per + b.which
	}
	return b.which*n + k
}

// bankEntries writes the entries of a meter in banks, one for each.
func (d *drafter) bankEntries(e entry, m *meter, keys string) {
	for i, b := range m.banks {
		of := e
		of.hear = b.hear(mainStrip)
		of.value = fmt.Sprintf("args: %d, each: input:%d-%d", b.arg+m.inBank.at(0, b.strips), b.first, b.first+b.strips-1)
		if m.inBank.together && m.inBank.per > 1 {
			of.value += fmt.Sprintf(", stride: %d", m.inBank.per)
		}
		of.value += keys
		if i > 0 {
			of.why = []string{fmt.Sprintf("The next bank, of inputs %d to %d.", b.first, b.first+b.strips-1)}
		}
		var slots []*slot
		for k := range b.strips {
			slots = append(slots, b.row[m.inBank.at(k, b.strips)])
		}
		d.add(of, slots)
	}
}

// sums is a mean of numbers that are some.
type sums struct{ sum, n float64 }

func (s *sums) add(v float64) {
	if v == v {
		s.sum, s.n = s.sum+v, s.n+1
	}
}

func (s *sums) mean() float64 { return s.sum / s.n }
