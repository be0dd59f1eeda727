package survey

import (
	"fmt"
	"slices"
	"strings"
)

// How the faders are written down.

// fader writes down a fader. The input's gives the scale; the others are taken to
// have the same if their 0 dB and their bottom agree with it.
func (d *drafter) fader(s strip, f *family) {
	p := &f.place
	e := entry{is: s.String() + ".fader", hear: p.hear(s)}
	e.because("It followed %s's fader through %s.", s.first(), plural(len(f.fader.moves), "move"))
	e.because("%s", p.counting(s))
	if others := f.fader.others; len(others) > 0 {
		var all []string
		for _, t := range others[:min(len(others), 3)] {
			all = append(all, t.name())
		}
		e.because("These followed it as well, and say the same in another way: %s.", strings.Join(all, ", "))
	}
	points, bottomAt := f.fader.points()
	own, ok := fit(points, bottomAt)
	points = slices.DeleteFunc(points, func(p point) bool { return p.db != p.db })
	keys := d.scale.keys
	times, isFactor := factor(points, bottomAt)
	switch {
	case s == inputStrip:
		d.scale, keys = own, own.keys
		e.because("%s", inEnglish(own.said...))
	case keys == "":
	case d.scale.onlyZero(points) && !p.slots[0].sorted(d.known[inputStrip].fader.slot) && !(p.isText() && p.decibels > 0):
		e.unsure = true
		e.because("But its numbers are of another sort than those of input 1's fader, and 0 is 0 dB in every unit: write what they are in.")
	case worst(points, d.scale.db) <= 0.5: // about what two hands differ by at the same mark
		e.because("The scale is taken from input 1's fader; 0 dB is where it is there.")
	case p.isText() && p.decibels > 0 && worst(points, func(x float64) float64 { return x }) <= good:
		keys = "unit: dB"
		e.because("The desk writes dB after the number.")
	case ok && own.taper == "":
		keys = own.keys
		e.because("%s", inEnglish(own.said...))
	case d.scale.times && isFactor:
		keys = times.keys
		e.because("As input 1's fader does, it tells factors of amplitude.")
	default:
		e.unsure = true
		e.because("But its scale is another: by input 1's it would be %.1f dB off. Write a taper for it.", min(worst(points, d.scale.db), 200))
	}
	banks := p.banks(s)
	if banks != "" && d.banked == notAsked {
		e.unsure = true
		e.because("%s", banks)
	}
	if keys == "" {
		keys, e.unsure = "unit: dB", true
		e.because("No scale could be made of the marks: write a taper, or a unit, and take the # away.")
	}
	switch {
	case p.doubt != "":
		e.unsure = true
		e.because("%s", p.doubt)
	case p.row && p.stride > 0:
		e.because("The message has the faders of %d %s: %s 2's was where it is by the first.", p.n, s.several(), s)
	case p.index < 0 && s != mainStrip:
		e.unsure = true
		e.because("But nothing in it says which %s it is of: perhaps it is the main's, or a selected strip's.", s)
	}
	if banks != "" && d.banked == isSo {
		e.because("A message has the faders of %d %s: %s 2's was beside the first.", len(p.shape.rowFrom(p.arg)), s.several(), s)
		d.addBanks(e, s, p, ", "+keys)
		return
	}
	e.part = p.stride > 0 || p.cell != nil
	e.value = p.where(s) + ", " + keys
	d.add(e, p.claims())
	// What says the same in another way is neither a meter nor anything else.
	for _, o := range f.fader.others {
		if q, ok := locate(d.shapes, o); ok && !o.isCell() && o.stream == f.fader.slot.stream {
			for _, t := range q.slots {
				d.claimed[t] = true
			}
		}
	}
	d.addRows(e, s, p, ", "+keys)
}

// claims are the slots that an entry of a place is about: of a part of a blob the whole.
func (p *place) claims() []*slot {
	if p.cell != nil && p.cell.isCell() {
		return []*slot{p.cell.in}
	}
	return p.slots
}

// addRows writes an entry for each further message of as many strips, and makes the place
// that of them all.
func (d *drafter) addRows(e entry, s strip, p *place, keys string) {
	each := p.n
	if len(p.banked) > 0 {
		p.rows = []int{each}
	}
	for i, t := range p.banked {
		one, ok := locate(d.shapes, t)
		if !ok {
			continue
		}
		n := each
		one.spread(t, p.stride, n)
		if p.stride == t.unit() {
			if n -= d.spares(&one, one.slots); n < one.n {
				one.spread(t, p.stride, n)
			}
		}
		of := e
		of.hear = one.hear(s)
		of.value = strings.Replace(one.where(s), fmt.Sprintf("%s:1-%d", s, n), fmt.Sprintf("%s:%d-%d", s, (i+1)*each+1, (i+1)*each+n), 1) + keys
		of.why = []string{fmt.Sprintf("The next bank, of %s %d to %d.", s.several(), (i+1)*each+1, (i+1)*each+n)}
		d.add(of, one.claims())
		p.n, p.rows = p.n+n, append(p.rows, n)
	}
}
