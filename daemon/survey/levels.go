package survey

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// behaviour is what a meter shows itself to be.
type behaviour struct{ is, tap, why string }

// behaviours are what a meter of a kind of strip can be: one that shows reduction; one
// that fell with the strip's fader, stayed, did neither for certain, or had nothing to show.
var behaviours = map[strip]struct{ reduces, fell, stayed, unclear, silent behaviour }{
	mainStrip: {
		fell: behaviour{"main.level", "", "It fell when the main's fader was closed, and came back with it."},
	},
	inputStrip: {
		fell:   behaviour{"input.level", "post-fader", "It fell when input 1's fader was closed and came back with it, so it is taken after the fader."},
		stayed: behaviour{"input.level", "pre-fader", "It went on as before when input 1's fader was closed, so it is taken before the fader."},
		unclear: behaviour{"input.level", "", "Whether it is taken before or after the fader could not be told: when input 1's fader was closed it did not go on " +
			"as before, nor fall so far that only the fader can have done it; perhaps it falls slowly, or whoever played paused. Write tap: pre-fader or post-fader, and take the # away."},
		silent: behaviour{"input.level", "", "Whether it is taken before or after the fader could not be told: nobody played into input 1, " +
			"or its fader was not moved. Write tap: pre-fader or post-fader, and take the # away."},
	},
	groupStrip: {
		reduces: behaviour{"group.reduction", "", "Never far from nothing and often nothing at all, as gain reduction is."},
		fell:    behaviour{"group.level", "", "It fell when group 1's fader was closed, and came back with it."},
		stayed:  behaviour{"group.level-in", "", "It went on as before when group 1's fader was closed, so it is taken before the compressor and the fader."},
		unclear: behaviour{"group.level", "", "Whether it is group.level or group.level-in could not be told: when group 1's fader was closed it did not go on " +
			"as before, nor fall so far that only the fader can have done it."},
		silent: behaviour{"group.level", "", "Whether it is group.level or group.level-in could not be told: nothing was to be heard of group 1."},
	},
}

// meters writes down the levels and reductions. The main's comes first: it tells
// what the numbers of all such meters mean.
func (d *drafter) meters() {
	// A fader that somebody rides moves as much as a meter, but is written down already.
	all := d.survey.meters(d.shapes, d.isClaimed)
	found := set{}
	all = append(d.takeApart(d.madeUp(d.inBanks(all))), d.inRecords()...)
	for _, s := range []strip{mainStrip, inputStrip, groupStrip} {
		var some []reading
		all = slices.DeleteFunc(all, func(m meter) bool {
			r, ok := d.reading(m, s)
			if ok {
				some = append(some, r)
			}
			// What counts strips of several kinds in one is a meter of each.
			return ok && r.is != "" && len(r.slots) == len(m.shape.column(m.arg).slots)
		})
		if s == inputStrip {
			for _, r := range some {
				if f := &d.known[s]; r.is == "input.level" && r.tap == "post-fader" && d.units[r.sort()] == "" {
					d.learnUnit(&r.meter, f.fader, s, &f.place)
				}
			}
		}
		if s == mainStrip {
			for _, r := range some {
				if r.is != "" {
					d.learnUnit(&r.meter, d.known[s].fader, s, &place{index: -1})
					d.learnSums(all, &r.meter)
				}
			}
		}
		d.tell(some)
		for _, r := range some {
			found[r.is] = found[r.is] || r.is != ""
		}
	}
	switch {
	case !d.known[mainStrip].ok:
		d.miss("Where the main's level is: the main's fader is not known.")
	case !found["main.level"]:
		d.miss("Where the main's level is: no single value fell when the main was closed.")
	}
	if !found["input.level"] {
		d.miss("Where the inputs' levels are: no meter has as many values as there are inputs.")
	}
	for _, is := range []string{"group.level-in", "group.level", "group.reduction"} {
		if d.known[groupStrip].ok && !found[is] {
			d.miss("Where %s is: no meter of the groups behaved like it.", is)
		}
	}
}

// reading is a meter, and what it is taken for; nothing, if it only may be what another is.
type reading struct {
	behaviour
	meter
	strip  strip
	unsure bool
}

// reading tells what a meter is, if it is of a kind of strip.
func (d *drafter) reading(m meter, s strip) (r reading, ok bool) {
	if !d.belongs(&m, s) {
		return reading{}, false
	}
	f, can := &d.known[s], behaviours[s]
	r = reading{can.silent, m, s, true}
	switch v := m.judged(d.guide, s, f.fader, &f.place); {
	case d.reduces(&m) && s == groupStrip && v != fell:
		r.behaviour, r.unsure = can.reduces, false
		if d.remains(&m) {
			r.why = "Never above 1 and often just that, as what a compressor leaves is."
		}
	case d.reduces(&m) && s == inputStrip && m.stride > 0:
		r.behaviour = behaviour{"input.reduction", "", "Never far from nothing and often nothing at all: perhaps the gain reduction of each input's compressor."}
	case d.reduces(&m) && s == inputStrip:
		return reading{}, false
	case v == fell:
		r.behaviour, r.unsure = can.fell, false
	case v == stayed:
		r.behaviour, r.unsure = can.stayed, false
	case v == unclear:
		r.behaviour = can.unclear
	}
	return r, r.is != "" || s == mainStrip
}

// tell writes down the readings of a kind of strip. Of two meters that behave alike one may
// show the peaks of what the other shows the level of: that is the higher of them.
func (d *drafter) tell(all []reading) {
	for i := range all {
		r := &all[i]
		if r.is == "" {
			continue
		}
		e := entry{is: r.is, hear: r.hear(r.strip), unsure: r.unsure, part: r.stride > 0}
		e.because("%s.", upper(r.said()))
		e.because("%s", r.apart)
		e.unsure = e.unsure || r.doubtful
		if doubt := d.known[r.strip].place.doubt; doubt != "" {
			e.unsure = true
			e.because("%s", doubt)
		}
		if r.strip != mainStrip {
			e.because("As many as there are %s: %d.", r.strip.several(), d.known[r.strip].place.n)
		}
		e.because("%s", r.why)
		if r.tap != "" {
			e.more = []string{"tap: " + r.tap}
		}
		var alike []*reading
		for k := range all {
			if o := &all[k]; k != i && o.mayBe(r) && (o.is == r.is && o.tap == r.tap || o.unsure && (o.is != "" || o.sort() == r.sort())) {
				alike = append(alike, o)
			}
		}
		if !r.unsure && len(alike) > 0 {
			d.tellApart(&e, r, alike)
		}
		if other := r.rival(d); other != "" {
			e.unsure = true
			e.because("%s", other)
		}
		d.level(e, r)
	}
}

// mayBe reports whether a meter could be what another is. What never moved, or rests at nothing
// while somebody plays, shows no level.
func (r *reading) mayBe(o *reading) bool {
	// A number that stands before the values of each strip is the strip's own.
	if !slices.ContainsFunc(r.slots, func(t *slot) bool { return t.changes > 0 || t.blob != nil }) {
		return false
	}
	return strings.HasSuffix(o.is, ".reduction") || (r.lo < r.hi || r.off > 0) && !strings.HasSuffix(r.is, ".reduction")
}

// tellApart says of a meter what the others tell that behave as it does, or may.
func (d *drafter) tellApart(e *entry, r *reading, others []*reading) {
	by, ok := math.Inf(-1), true // by how much it is above the one that it is nearest to from below, or furthest above
	for _, o := range others {
		one, known := d.above(r, o)
		by, ok = max(by, one), ok && known
	}
	// Of three or more only the lowest is known for what it is.
	ok = ok && (len(others) == 1 || by < 0)
	const apart = 3 // dB; by less, two levels may differ that are taken at two places
	switch level := strings.HasSuffix(r.is, ".level") || strings.HasSuffix(r.is, ".level-in"); {
	case ok && level && by <= -apart:
		e.because("Of %d meters that behave so, or may, it is the lowest, by %.0f dB: the others show the peaks, or are taken elsewhere.", len(others)+1, -by)
	case ok && level && by >= apart:
		e.unsure = true
		e.because("But another meter behaves so, and this is higher by %.0f dB: perhaps it shows the peaks.", by)
		if r.is == "input.level" || r.is == "main.level" || r.is == "group.level" {
			e.is = strings.TrimSuffix(r.is, "level") + "peak"
		}
	default:
		e.unsure = true
		e.because("But %s behave so, and nothing tells which is which: take the # away from one.", plural(len(others)+1, "meter"))
	}
}

// above is by how many decibels a meter was higher than another while nobody touched the
// desk, if that can be told.
func (d *drafter) above(r, o *reading) (by float64, ok bool) {
	if r.sort() != o.sort() || (r.lo >= 0) != (o.lo >= 0) {
		return 0, false
	}
	unit, _, known := d.unitOf(&r.meter)
	who := &d.known[r.strip].place
	for _, st := range d.guide {
		if st.act != calm {
			continue
		}
		a, b := r.courseIn(st, who).mean, o.courseIn(st, who).mean
		switch {
		case !known || r.courseIn(st, who).none() || o.courseIn(st, who).none() || math.IsNaN(a+b) || math.IsInf(a+b, 0):
			return 0, false
		}
		if by := decibelsIn(unit, a) - decibelsIn(unit, b); by == by {
			return by, true
		}
	}
	return 0, false
}

// belongs reports whether a meter has a value for each of a kind of strip, and
// then cuts it down to them.
func (d *drafter) belongs(m *meter, s strip) bool {
	f := &d.known[s]
	switch {
	case !f.ok:
		return false
	case m.stride > 0:
		return m.of == s
	case s == mainStrip:
		row := m.shape.rowFrom(m.shape.lowest().from)
		return m.n == 1 && (m.isBlob() || row == nil || slices.ContainsFunc(row, d.isClaimed))
	case m.index < 0:
		return (m.isBlob() || m.row) && m.n == f.place.n
	}
	p, ok := f.place.beside(m.shape.column(m.arg))
	if !ok {
		if p, m.asked, ok = d.seated(m, s); ok {
			m.apart = "The names that the desk says beside it are those in the faders' addresses."
		}
	}
	if ok {
		m.place = p
	}
	return ok
}

// reduces reports whether a meter shows gain reduction. On a desk whose levels are
// factors, a small number of the same precision is a level.
func (d *drafter) reduces(m *meter) bool {
	return m.reduces() && (d.linear == "" || m.precision() != d.precise) || d.remains(m)
}

// level adds an entry of a level or a reduction, with the unit if it can be told.
func (d *drafter) level(e entry, r *reading) {
	m, s := &r.meter, r.strip
	unit, why, ok := d.unitOf(m)
	e.because("%s", why)
	e.unsure = e.unsure || !ok
	// Within a desk a level may be above full scale; at the main, which goes out, none is.
	if s == mainStrip && unit == "dB" && !m.whole && m.lo < 0 && m.hi > 0 {
		e.unsure = true
		e.because("But the numbers go up to %s, above full scale: which of them is 0 dBFS nothing tells. Add that as offset: such as offset: -18.", figures(m.hi, m.hi, m.whole))
	}
	isLevel := e.is != "group.reduction" && e.is != "input.reduction"
	plain := "dB"
	if isLevel {
		plain = "dBFS"
	}
	keys := unitKeys(unit, plain)
	if off := d.silence(m); isLevel && off < 0 {
		keys += ", minus-infinity: " + plainNumber(off)
	} else if floor, ok := d.floor(r); isLevel && ok {
		keys += fmt.Sprintf(", minus-infinity: %q", "<= "+plainNumber(floor))
	}
	if m.banks != nil {
		d.bankEntries(e, m, keys)
		return
	}
	e.value = m.where(s) + keys
	d.add(e, m.slots)
}

// silence is the whole number by which a meter says that it hears nothing, or 0. A
// desk that has a number of its own for a closed fader uses it for silence too.
func (d *drafter) silence(m *meter) float64 {
	switch {
	case !m.whole || m.isText():
		return 0
	case m.off > 0 && m.isBlob():
		return m.form.silence()
	case m.off > 0:
		return math.MinInt32
	case m.lo == d.scale.off:
		return d.scale.off
	}
	return 0
}
