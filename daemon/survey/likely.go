package survey

import (
	"fmt"
	"slices"
)

// likelyStrips writes down what can be told without a hand on the desk: the
// largest family of strips is taken for the inputs.
func (d *drafter) likelyStrips() {
	p, ok := d.largest()
	if !ok {
		d.missing = append(d.missing, "Which addresses are the inputs: no numbers or names were seen to vary in them.")
		return
	}
	d.known[inputStrip] = family{ok: true, place: p}
	d.missing = append(d.missing, "Which numbers are faders of the DCAs, groups and the main, and which way round a mute is: only a move of a hand tells. "+
		"Run pawl listen with --draft in a terminal.")
	d.names(inputStrip, p)
	for _, sh := range d.shapes {
		q, ok := p.beside(sh)
		if !ok {
			continue
		}
		for arg := range sh.args() {
			if q.arg = arg; sh.byArgument && arg == 0 {
				continue
			}
			if slots := q.slots(); len(slots) > 0 && !slices.ContainsFunc(slots, d.taken) {
				d.likely(q, slots)
			}
		}
	}
}

// largest is the family with the most strips; of two, the one heard of first.
func (d *drafter) largest() (best place, ok bool) {
	for _, sh := range d.shapes {
		if len(sh.vars) == 0 || !sh.writable() {
			continue
		}
		first := sh.members[0]
		for _, m := range sh.members {
			if number(m.at[0]) < number(first.at[0]) {
				first = m
			}
		}
		for _, m := range sh.members {
			p := place{shape: sh, at: m.at, index: 0, bit: -1, n: 1}
			if !sh.vars[0].named && m.source != first.source {
				continue
			}
			p.count(nil)
			if p.n > best.n {
				best, ok = p, true
			}
			break
		}
	}
	return best, ok
}

// likely writes down one argument of the inputs by how it behaves.
func (d *drafter) likely(p place, slots []*slot) {
	all := spanOf(slots)
	seconds := (d.survey.last - d.survey.first).Seconds()
	e := entry{hear: p.hear(inputStrip), value: p.where(inputStrip),
		why: []string{upper(p.counting(inputStrip)) + "; the family with the most strips is taken for the inputs."}}
	switch {
	case allSwitches(slots):
		e.is, e.unsure = "input.mute", true
		e.why = append(e.why, "Two values, as a switch has: a mute, or a solo? If on means that it sounds, add invert: yes.")
	case all.numbers < all.count || float64(all.changes) > restless*seconds*float64(len(slots)):
		return
	case slots[0].decibels > 0 || !all.whole && all.lo < -1 && all.hi < 40:
		e.is = "input.fader"
		e.value += ", unit: dB"
		e.why = append(e.why, fmt.Sprintf("Changes now and then, from %s, as faders in dB do.", figures(all.lo, all.hi, all.whole)))
	case all.lo >= 0 && !all.whole && all.hi <= 1:
		e.is, e.unsure = "input.fader", true
		e.value += ", taper: travel"
		e.why = append(e.why, fmt.Sprintf("Changes now and then, from %s, as positions of faders do. Where its dB marks are, only a hand on the desk can tell.",
			figures(all.lo, all.hi, all.whole)))
	default:
		return
	}
	d.add(e, slots)
}

func allSwitches(slots []*slot) bool {
	return !slices.ContainsFunc(slots, func(t *slot) bool { return !t.isSwitch() })
}

// likelyMeters writes down the meter that has as many values as there are inputs.
func (d *drafter) likelyMeters(all []meter) {
	for i := range all {
		m := &all[i]
		if !d.of(m, inputStrip) || m.reduces() {
			continue
		}
		e := entry{is: "input.level", hear: m.hear(inputStrip), why: []string{upper(m.said()) + ".",
			fmt.Sprintf("As many as there are inputs: %d. Before or after the fader? Write tap: pre-fader or post-fader.", d.known[inputStrip].place.n)}}
		d.level(e, m, inputStrip, "")
		return
	}
}
