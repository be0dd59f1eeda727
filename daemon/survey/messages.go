package survey

import "slices"

// The meters of the inputs may come in several messages of as many inputs each, though their
// faders do not: a number in the address says which part of the inputs it is, and something may
// stand before the values and behind them. How they lie is only known where one way alone fits.

// mostBefore is how many values may stand before those of the strips.
const mostBefore = 2

// inMessages are the meters of inputs in messages that no fader tells how they lie, and the slots
// of those messages; nil if they are not seen to be so.
func (d *drafter) inMessages(sh *shape) (parts []meter, taken map[*slot]bool) {
	f := &d.known[inputStrip]
	if !f.ok || len(f.place.rows) > 0 || f.place.row || len(sh.vars) != 1 || sh.byArgument || sh.vars[0].named || !sh.writable() || f.place.n%max(len(sh.members), 1) != 0 {
		return nil, nil
	}
	strips := f.place.n / len(sh.members)
	if len(sh.members) < 2 || strips < 2 {
		return nil, nil
	}
	ways := 0
	for before := range mostBefore + 1 {
		for per := 1; per <= mostPerStrip; per++ {
			banks := parted(sh, before, per*strips, strips)
			if banks == nil || slices.ContainsFunc(banks, func(b bank) bool { return slices.ContainsFunc(b.row, d.isClaimed) }) {
				continue
			}
			some := d.bankParts(banks, banks[0].row[0])
			if !slices.ContainsFunc(some, func(m meter) bool { return m.judged(d.guide, inputStrip, f.fader, &place{index: -1}) == fell }) {
				continue
			}
			parts, ways = some, ways+1
		}
	}
	if ways != 1 {
		return nil, nil
	}
	taken = map[*slot]bool{}
	for _, m := range sh.members {
		for _, t := range m.slots {
			taken[t] = true
		}
	}
	for i := range parts {
		parts[i].apart = "The inputs lie in " + plural(len(sh.members), "message") + " one after another: what fell with input 1's fader is the first's in the first."
	}
	return parts, taken
}

// parted are the messages of a shape with so many values each, for so many strips, from one on;
// nil if they do not go on without a gap, or have not so many.
func parted(sh *shape, before, values, strips int) []bank {
	p := placed(sh.column(before), sh.lowest().at)
	p.count(never)
	banks := p.inBanks()
	if len(banks) != len(sh.members) {
		return nil
	}
	for i := range banks {
		row := banks[i].row
		if len(row) < values || len(row) > values+mostBehind {
			return nil
		}
		banks[i].row, banks[i].strips, banks[i].first = row[:values], strips, i*strips+1
	}
	return banks
}
