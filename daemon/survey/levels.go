package survey

import (
	"fmt"
	"math"
	"slices"
)

// meters writes down the levels and reductions.
func (d *drafter) meters() {
	all := d.survey.meters(d.shapes, d.taken)
	if d.guide == nil {
		d.likelyMeters(all)
		return
	}
	main := d.mainLevel(all)
	if main >= 0 {
		all = slices.Delete(all, main, main+1)
	}
	all = d.inputLevels(all)
	d.groupLevels(all)
}

// mainLevel finds the meter of the main: one value, which falls when the main is
// closed. How far it falls when the main goes to a mark tells what the numbers of
// all such meters mean.
func (d *drafter) mainLevel(all []meter) int {
	f := d.known[mainStrip]
	if !f.ok {
		d.missing = append(d.missing, "Where the main's level is: the main's fader is not known.")
		return -1
	}
	for i := range all {
		m := &all[i]
		if m.n != 1 {
			continue
		}
		fell, ok := m.fell(f.fader, place{index: -1})
		if !ok || !fell {
			continue
		}
		d.learnUnit(m, f.fader)
		e := entry{is: "main.level", hear: m.hear(mainStrip),
			why: []string{upper(m.said()) + ".", "It fell when the main's fader was closed."}}
		d.level(e, m, mainStrip, "")
		return i
	}
	d.missing = append(d.missing, "Where the main's level is: no single value fell when the main was closed.")
	return -1
}

// learnUnit sees by how much the numbers fell when the main went from 0 dB to a
// mark, which nothing but their unit decides.
func (d *drafter) learnUnit(m *meter, c control) {
	var at0, atMark, db float64
	for _, st := range c.moves {
		switch st.act {
		case zero:
			at0 = m.mean(st, place{index: -1})
		case mark:
			atMark, db = m.mean(st, place{index: -1}), st.db
		}
	}
	if db > -3 || at0 != at0 || atMark != atMark || math.IsInf(at0+atMark, 0) {
		return
	}
	if m.lo < 0 {
		per := (at0 - atMark) / -db
		best := 1.0
		for _, u := range []float64{10, 100, 256} {
			if math.Abs(math.Log(per/u)) < math.Abs(math.Log(per/best)) {
				best = u
			}
		}
		// A number that is not whole is not in hundredths.
		if m.whole && per > 0 {
			d.units[m.sort()] = levelUnit(best)
		}
		return
	}
	d.linear, d.precise = "amplitude", m.precision()
	if bels := math.Log10(at0/atMark) / (-db / 10); bels > 0.75 {
		d.linear = "power"
	}
	d.units[m.sort()] = d.linear
}

func levelUnit(per float64) string {
	switch per {
	case 10:
		return "tenths"
	case 100:
		return "centi-dB"
	case 256:
		return "dB/256"
	}
	return "dB"
}

// level adds an entry of a level or a reduction, with the unit if it can be told.
func (d *drafter) level(e entry, m *meter, s strip, plain string) {
	unit, why, ok := d.unitOf(m)
	if plain == "" {
		plain = "dBFS"
	}
	e.why = append(e.why, why)
	e.unsure = e.unsure || !ok
	e.value = d.values(m, s) + ", " + map[string]string{
		"dB": "unit: " + plain, "tenths": "unit: " + plain + ", scale: 0.1"}[unit]
	if unit != "dB" && unit != "tenths" {
		e.value = d.values(m, s) + ", unit: " + unit
	}
	if off := d.silence(m); plain == "dBFS" && off < 0 {
		e.value += fmt.Sprintf(", minus-infinity: %d", int(off))
	}
	slots := m.slots()
	if m.row {
		slots = m.slotsAll()
	}
	d.add(e, slots)
}

// values is the beginning of an entry's value.
func (d *drafter) values(m *meter, s strip) string {
	n := d.known[s].place.n
	switch {
	case m.blob:
		text := fmt.Sprintf("blob: %d, of: %s", m.arg, m.form.of)
		if m.form.skip > 0 {
			text += fmt.Sprintf(", skip: %d", m.form.skip)
		}
		if s != mainStrip {
			text += fmt.Sprintf(", each: %s:1-%d", s, n)
		}
		return text
	case m.row && s != mainStrip:
		return fmt.Sprintf("args: %d, each: %s:1-%d", m.arg, s, n)
	}
	return fmt.Sprintf("arg: %d", m.arg)
}

// silence is the whole number by which a meter says that it hears nothing, or 0. A
// desk that has a number of its own for a closed fader uses it for silence too.
func (d *drafter) silence(m *meter) float64 {
	switch {
	case !m.whole || m.text:
		return 0
	case m.offs > 0 && m.blob:
		return m.form.least()
	case m.offs > 0:
		return math.MinInt32
	case d.scaled && m.lo == d.scale.off:
		return d.scale.off
	}
	return 0
}

// unitOf is what the numbers of a meter are in, and how that is known.
func (d *drafter) unitOf(m *meter) (unit, why string, ok bool) {
	if learnt := d.units[m.sort()]; learnt != "" {
		return learnt, "Unit: " + learnt + ", by how far the main's meter fell when its fader went to a mark.", true
	}
	switch {
	case m.text || !m.whole && (m.lo < 0 || m.reduces()):
		return "dB", "Unit: the numbers are such as decibels are.", true
	case m.whole && m.lo < 0 && m.lo > -200:
		return "dB", "Unit: whole numbers such as decibels are.", true
	case m.whole && d.scaled && d.scale.unit > 1:
		return levelUnit(d.scale.unit), "Unit: taken to be that of the faders, which are whole numbers too.", true
	case m.whole:
		return "centi-dB", "Unit: unknown. Hundredths of a dB, or dB/256?", false
	case d.linear != "":
		return d.linear, "Unit: taken to be that of the main's meter, whose numbers are factors too.", true
	}
	return "power", "Unit: unknown. A power, or unit: amplitude?", false
}

// reduces reports whether a meter shows gain reduction. On a desk whose levels are
// factors, a small number of the same precision is a level.
func (d *drafter) reduces(m *meter) bool {
	return m.reduces() && (d.linear == "" || m.precision() != d.precise)
}

// of reports whether a meter has a value for each of a kind of strip.
func (d *drafter) of(m *meter, s strip) bool {
	f := d.known[s].place
	if !d.known[s].ok {
		return false
	}
	if m.index >= 0 {
		p, ok := f.beside(m.shape)
		if ok {
			p.arg = m.arg
			m.place = p
		}
		return ok
	}
	return (m.blob || m.row) && m.n == f.n
}

// inputLevels finds the inputs' meters and gives back the others.
func (d *drafter) inputLevels(all []meter) (others []meter) {
	f, found := d.known[inputStrip], false
	for i := range all {
		m := &all[i]
		if !d.of(m, inputStrip) || d.reduces(m) {
			others = append(others, *m)
			continue
		}
		e := entry{is: "input.level", hear: m.hear(inputStrip), why: []string{upper(m.said()) + ".",
			fmt.Sprintf("As many as there are inputs: %d.", f.place.n)}}
		fell, ok := m.fell(f.fader, f.place)
		switch {
		case ok && fell:
			e.more = []string{"tap: post-fader"}
			e.why = append(e.why, "It fell when input 1's fader was closed, so it is taken after the fader.")
		case ok:
			e.more = []string{"tap: pre-fader"}
			e.why = append(e.why, "It stayed when input 1's fader was closed, so it is taken before the fader.")
		default:
			e.why = append(e.why, "Whether it is taken before or after the fader could not be told: nobody played into input 1. Write tap: pre-fader or post-fader.")
		}
		if found {
			e.unsure = true
			e.why = append(e.why, "A second meter of the inputs: perhaps input.peak, or one taken elsewhere.")
		}
		found = true
		d.level(e, m, inputStrip, "")
	}
	if !found {
		d.missing = append(d.missing, "Where the inputs' levels are: no meter has as many values as there are inputs.")
	}
	return others
}

// groupLevels finds the meters of the groups: reduction by its range, the level
// after the fader by falling with it, the level before the compressor by staying.
func (d *drafter) groupLevels(all []meter) {
	f, found := d.known[groupStrip], map[string]bool{}
	for i := range all {
		m := &all[i]
		if !d.of(m, groupStrip) {
			continue
		}
		e := entry{hear: nil, why: []string{upper(m.said()) + ".", fmt.Sprintf("As many as there are groups: %d.", f.place.n)}}
		e.hear = m.hear(groupStrip)
		fell, ok := m.fell(f.fader, f.place)
		plain := ""
		switch {
		case d.reduces(m) && !(ok && fell):
			e.is, plain = "group.reduction", "dB"
			e.why = append(e.why, "Never far from nothing and often nothing at all, as gain reduction is.")
		case ok && fell:
			e.is = "group.level"
			e.why = append(e.why, "It fell when group 1's fader was closed.")
		case ok:
			e.is = "group.level-in"
			e.why = append(e.why, "It stayed when group 1's fader was closed, so it is taken before the compressor and the fader.")
		default:
			e.is, e.unsure = "group.level", true
			e.why = append(e.why, "Whether it is group.level or group.level-in could not be told: nothing was to be heard of group 1.")
		}
		if found[e.is] {
			e.unsure = true
			e.why = append(e.why, "A second meter of the same sort, so perhaps something else.")
		}
		found[e.is] = true
		d.level(e, m, groupStrip, plain)
	}
	for _, is := range []string{"group.level-in", "group.level", "group.reduction"} {
		if f.ok && !found[is] {
			d.missing = append(d.missing, "Where "+is+" is: no meter of the groups behaved like it.")
		}
	}
}
