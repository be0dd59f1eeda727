package survey

import (
	"fmt"
	"slices"
)

// guessMember says whether an argument may tell which DCAs or groups an input
// belongs to: as the bits of a number beside the input's fader, or as a switch for
// each pair. Only a person knows whether it is DCAs, groups, or something else that
// inputs are sent to.
func (d *drafter) guessMember(sh *Shape, arg int) (e entry, why string) {
	in := d.known[inputStrip]
	if !in.ok || in.place.index < 0 || slices.ContainsFunc(sh.slotsAt(arg), d.taken) {
		return e, ""
	}
	if p, ok := in.place.beside(sh); ok {
		p.arg = arg
		return d.guessMask(p)
	}
	return d.guessPairs(sh, arg)
}

// guessMask is a whole number of as many bits as there are DCAs or groups.
func (d *drafter) guessMask(p place) (e entry, why string) {
	slots := p.slots()
	all := spanOf(slots)
	for _, s := range []strip{dcaStrip, groupStrip} {
		n := d.known[s].place.n
		if !d.known[s].ok || n < 2 || n > 31 || all.numbers == 0 || !all.whole || slots[0].isText() || slots[0].tags == "T" {
			continue
		}
		if all.lo < 0 || all.hi <= 1 || all.hi >= float64(uint64(1)<<n) {
			continue
		}
		return entry{hear: p.hear(inputStrip), is: "input." + s.String(), value: fmt.Sprintf("%s, bits: %s:1-%d", p.where(inputStrip), s, n)},
			fmt.Sprintf("A whole number of no more than %d bits: perhaps the %s that each input is in.", n, s.several())
	}
	return e, ""
}

// guessPairs is a switch for each input and each DCA or group.
func (d *drafter) guessPairs(sh *Shape, arg int) (e entry, why string) {
	in := d.known[inputStrip].place
	slots := sh.slotsAt(arg)
	if len(sh.vars) != 2 || sh.byArgument || len(slots) == 0 || !allSwitches(slots) || in.named || in.byArgument() {
		return e, ""
	}
	if !slices.Equal(sh.parts[:1], in.shape.parts[:1]) {
		return e, ""
	}
	for _, s := range []strip{groupStrip, dcaStrip} {
		if f := d.known[s]; f.ok && len(sh.vars[1].texts) == f.place.n {
			to := sh.vars[1].texts
			shift := ""
			if number(to[0]) > 1 {
				shift = "=1"
			}
			address := fmt.Sprintf("%s{input:%s}%s{%s:%s-%s%s}%s",
				sh.parts[0], in.numbers(), sh.parts[1], s, to[0], to[len(to)-1], shift, sh.parts[2])
			return entry{hear: []string{"hear: " + quoted(address)}, is: "input." + s.String(), value: fmt.Sprintf("arg: %d", arg)},
				fmt.Sprintf("A switch for each input and each of %d: perhaps the %s that each input is in.", f.place.n, s.several())
		}
	}
	return e, ""
}
