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
		d.miss("Which addresses are the inputs: no numbers or names were seen to vary in them.")
		return
	}
	d.known[inputStrip] = family{ok: true, place: p}
	d.miss("Which numbers are faders of the DCAs, groups and the main, and which way round a mute is: only a move of a hand tells. " +
		"Run pawl listen with --draft in a terminal.")
	d.nameEntry(inputStrip, p)
	for _, sh := range d.shapes {
		for c := range sh.singles() {
			if q, ok := p.beside(c); ok && len(q.slots) > 0 && !slices.ContainsFunc(q.slots, d.isClaimed) {
				d.likely(q)
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
		p := placed(column{shape: sh}, sh.lowest().at)
		if p.count(never); p.n > best.n {
			best, ok = p, true
		}
	}
	return best, ok
}

// looks is what an argument behaves like, for a person who must find out what it is;
// and if it is one of the inputs', what it then is likely to be.
type looks struct {
	said string
	is   string
	keys string
	why  string
	sure bool
}

// looks tells what a column behaves like, nothing if like nothing in particular.
func (c *column) looks() looks {
	moved := "Changes now and then, from " + figures(c.lo, c.hi, c.whole)
	switch {
	case len(c.slots) == 0:
	case c.isSwitch():
		return looks{"A switch, perhaps a mute.", "input.mute", "",
			"Two values, as a switch has: a mute, or a solo? If on means that it sounds, add invert: yes.", false}
	case !c.numeric() && c.differentTexts():
		return looks{said: "Names, perhaps."}
	case !c.numeric():
	case c.decibels > 0 || !c.whole && c.lo < -1 && c.lo > -150 && c.hi < 40:
		return looks{"Such as decibels are: a fader or a threshold, perhaps.", "input.fader", ", unit: dB", moved + ", as faders in dB do.", true}
	case !c.whole && c.lo >= 0 && c.hi <= 1:
		return looks{"Such as positions are: a fader, perhaps.", "input.fader", ", taper: " + taperName,
			moved + ", as positions of faders do. Where its dB marks are, only a hand on the desk can tell.", false}
	}
	return looks{}
}

// likely writes down one argument of the inputs by how it behaves.
func (d *drafter) likely(p place) {
	seconds := (d.survey.last - d.survey.first).Seconds()
	l := p.looks()
	// What changes all the time by itself is a meter; it has its own entry.
	if l.is == "" || !p.isSwitch() && float64(p.changes) > restless*seconds*float64(len(p.slots)) {
		return
	}
	e := entry{hear: p.hear(inputStrip), is: l.is, value: p.where(inputStrip) + l.keys, unsure: !l.sure}
	e.because("%s The family with the most strips is taken for the inputs.", p.counting(inputStrip))
	e.because("%s", l.why)
	d.add(e, p.slots)
}

// guess says what an argument that no entry claims may be, by where it stands.
func (d *drafter) guess(c column) (e entry, why string) {
	if !c.shape.writable() {
		return e, ""
	}
	in, group := &d.known[inputStrip], &d.known[groupStrip]
	if in.ok && in.place.index >= 0 && !slices.ContainsFunc(c.slots, d.isClaimed) {
		if p, ok := in.place.beside(c); ok {
			e, why = d.guessMask(p)
		} else {
			e, why = d.guessPairs(c)
		}
	}
	if why == "" && group.ok {
		if p, ok := group.place.beside(c); ok && !slices.ContainsFunc(p.slots, d.isClaimed) {
			return d.guessSetting(p)
		}
	}
	return e, why
}

// guessMask says whether a number beside the inputs' faders may hold, as its bits,
// the DCAs or groups that an input belongs to. Only a person knows whether it is
// these, or something else that inputs are sent to.
func (d *drafter) guessMask(p place) (e entry, why string) {
	for _, s := range []strip{dcaStrip, groupStrip} {
		n := d.known[s].place.n
		if !d.known[s].ok || n < 2 || n > 31 || p.numbers == 0 || !p.whole || p.isText() || p.tags == "T" ||
			p.lo < 0 || p.hi <= 1 || p.hi >= float64(uint64(1)<<n) {
			continue
		}
		return entry{hear: p.hear(inputStrip), is: "input." + s.String(), value: fmt.Sprintf("%s, bits: %s:1-%d", p.where(inputStrip), s, n)},
			fmt.Sprintf("A whole number of no more than %d bits: perhaps the %s that each input is in.", n, s.several())
	}
	return e, ""
}

// guessPairs says the same of a switch for each input and each DCA or group.
func (d *drafter) guessPairs(c column) (e entry, why string) {
	in, sh := &d.known[inputStrip].place, c.shape
	if len(sh.vars) != 2 || sh.byArgument || !c.isSwitch() || in.named || in.byArgument() || sh.parts[0] != in.shape.parts[0] {
		return e, ""
	}
	to := place{column: c, index: 1, from: number(sh.vars[1].texts[0]), n: len(sh.vars[1].texts)}
	for _, s := range []strip{groupStrip, dcaStrip} {
		if f := d.known[s]; f.ok && to.n == f.place.n {
			address := fmt.Sprintf("%s{input:%s}%s{%s:%s}%s", sh.parts[0], in.span(), sh.parts[1], s, to.span(), sh.parts[2])
			return entry{hear: []string{"hear: " + quoted(address)}, is: "input." + s.String(), value: fmt.Sprintf("arg: %d", c.arg)},
				fmt.Sprintf("A switch for each input and each of %d: perhaps the %s that each input is in.", f.place.n, s.several())
		}
	}
	return e, ""
}

// guessSetting says what a number that never moved may be, beside the fader of a
// group: a compressor's settings look like this.
func (d *drafter) guessSetting(p place) (e entry, why string) {
	if len(p.slots) == 0 || p.numbers == 0 || p.changes > 0 {
		return e, ""
	}
	per := 1.0
	if p.whole && p.tags == "i" {
		per = d.wholePer()
	}
	unit := wholeUnits[per]
	e = entry{hear: p.hear(groupStrip), value: p.where(groupStrip)}
	// A ratio begins at 1 and no threshold is near 0 dBFS, or the compressor would do
	// nothing; make-up gain makes up for what it does.
	switch lo, hi := p.lo/per, p.hi/per; {
	case p.ratios > 0 || p.decibels == 0 && lo >= 1.1 && hi <= 100:
		e.is, why = "group.ratio", "It never moved; perhaps a compressor's ratio."
		if per > 1 {
			e.value += fmt.Sprintf(", scale: 1/%.0f", per)
		}
	case hi <= -3 && lo >= -80:
		e.is, why = "group.threshold", "It never moved; perhaps a compressor's threshold."
		e.value += unitKeys(unit, "dBFS")
	case lo >= 0 && hi <= 30 && hi > 0:
		e.is, why = "group.makeup", "It never moved; perhaps a compressor's make-up gain."
		e.value += unitKeys(unit, "dB")
	default:
		return entry{}, ""
	}
	return e, why
}

// wholePer is how many steps are a dB in whole numbers on this desk: as its faders
// have, or its meters.
func (d *drafter) wholePer() float64 {
	if d.scale.per == 100 || d.scale.per == 256 {
		return d.scale.per
	}
	for _, unit := range d.units {
		if unit == wholeUnits[100] {
			return 100
		}
	}
	return 1
}
