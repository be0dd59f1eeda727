package survey

import (
	"fmt"
	"math"
)

// wholeUnits are what a map calls whole numbers of which so many are a dB.
var wholeUnits = map[float64]string{1: "dB", 2: "halves", 5: "fifths", 10: "tenths", 20: "twentieths", 50: "fiftieths", 100: "centi-dB", 200: "200ths", 256: "dB/256", 1000: "thousandths"}

// scaled are those that a map has no name for.
var scaled = map[string]string{"halves": "0.5", "fifths": "0.2", "tenths": "0.1", "twentieths": "0.05", "fiftieths": "0.02", "200ths": "0.005", "thousandths": "0.001"}

// unitKeys is how a map says what a number is in; plain is the map's word for dB.
func unitKeys(unit, plain string) string {
	switch by := scaled[unit]; {
	case unit == "dB":
		unit = plain
	case by != "":
		unit = plain + ", scale: " + by
	}
	return ", unit: " + unit
}

// learnUnit sees by how much the numbers fell when a fader went from 0 dB to a mark, which
// nothing but their unit decides.
func (d *drafter) learnUnit(m *meter, c control, s strip, who *place) {
	to, ok := c.telling()
	at0, atMark := m.mean(c, zero, who), m.meanIn(to, who)
	// The music itself moves a meter by up to 3 dB between two moments.
	if !ok || to.db > -3 || at0 != at0 || atMark != atMark || math.IsInf(at0+atMark, 0) {
		return
	}
	if m.lo >= 0 {
		// A factor of power falls by one power of ten for 10 dB, of amplitude by half of one.
		switch bels := math.Log10(at0/atMark) / (-to.db / 10); {
		case bels > 1.3 || bels < 0.35:
			return // neither: perhaps the way of a needle, which no unit tells
		case bels > 0.75:
			d.linear, d.precise = "power", m.precision()
		default:
			d.linear, d.precise = "amplitude", m.precision()
		}
		d.units[m.sort()], d.learntBy[m.sort()] = d.linear, s.first()+"'s"
		return
	}
	// A number that is not whole is not in hundredths.
	if unit := nearestUnit((at0 - atMark) / -to.db); m.whole && unit != "" {
		d.units[m.sort()], d.learntBy[m.sort()] = unit, s.first()+"'s"
	}
}

// nearestUnit is the unit of which so many are a dB, "" if that is between two.
func nearestUnit(per float64) string {
	if !(per > 0) {
		return ""
	}
	best, next := math.Inf(1), math.Inf(1)
	unit := ""
	for u, name := range wholeUnits {
		switch off := math.Abs(math.Log(per / u)); {
		case off < best:
			best, next, unit = off, best, name
		case off < next:
			next = off
		}
	}
	if best > next/2 || best > math.Log(1.45) {
		return ""
	}
	return unit
}

// mostFactor is the largest factor that a level may be: 20 dB above full scale is beyond any.
const mostFactor = 10

// unitOf is what the numbers of a meter are in, and how that is known.
func (d *drafter) unitOf(m *meter) (unit, why string, ok bool) {
	if learnt := d.units[m.sort()]; learnt != "" {
		why := "Unit: " + learnt + ", by how far " + d.learntBy[m.sort()] + " meter fell when its fader went to a mark"
		if d.learntBy[m.sort()] == bySum {
			why = "Unit: " + learnt + ", in which the groups together are what the main is"
		}
		if (learnt == "amplitude" || learnt == "power") && m.hi > mostFactor {
			return learnt, fmt.Sprintf("%s; but the numbers go up to %s, and which of them is 0 dBFS nothing tells. "+
				"Add that as scale: 1/number, such as scale: 1/32767.", why, figures(m.hi, m.hi, m.whole)), false
		}
		return learnt, why + ".", true
	}
	switch {
	case !m.isText() && !m.whole && m.lo >= 0 && m.hi <= 1 && m.reduces():
		return "dB", "Unit: unknown. It never went beyond 1, as dB hardly do, and parts of the whole travel of a needle do.", false
	case m.isText() || !m.whole && (m.lo < 0 || m.reduces()):
		return "dB", "Unit: the numbers are such as decibels are.", true
	case m.whole && m.lo < 0 && m.lo > -200: // in hundredths that would never be below -2 dB
		return "dB", "Unit: whole numbers such as decibels are.", true
	case m.whole && d.scale.per > 1 && wholeUnits[d.scale.per] != "":
		return wholeUnits[d.scale.per], "Unit: taken to be that of the faders, which are whole numbers too.", true
	case m.whole:
		return "centi-dB", "Unit: unknown. Hundredths of a dB, or dB/256?", false
	case d.linear != "":
		return d.linear, "Unit: taken to be that of the main's meter, whose numbers are factors too.", true
	}
	return "power", "Unit: unknown. A power, or unit: amplitude?", false
}
