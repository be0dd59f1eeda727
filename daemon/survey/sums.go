package survey

import (
	"fmt"
	"math"
	"strings"
)

// Whole numbers do not say what they are in, and nobody is asked for a group's marks. But the
// groups together are what the main shows while its fader is at 0 dB: if the numbers make that
// in a unit, and in no other that is likely, they are in it.

// How near the groups together must come to the main, in dB: numbers of the main's own unit,
// and factors, of which the next is 6 dB off.
const (
	sumsAlike  = 4
	sumsFactor = 2
)

// bySum is how a unit was learnt that the groups together told.
const bySum = "the sum"

// learnSums finds the unit of what the groups' levels are in, by the main's level.
func (d *drafter) learnSums(all []meter, main *meter) {
	f := &d.known[groupStrip]
	st, ok := d.known[mainStrip].fader.when(zero)
	unit := d.units[main.sort()]
	sum := decibelsIn(unit, main.meanIn(st, &place{index: -1}))
	if !ok || !f.ok || math.IsNaN(sum) || math.IsInf(sum, 0) {
		return
	}
	for i := range all {
		m := all[i]
		if !m.whole || m.isText() || d.units[m.sort()] != "" || !d.belongs(&m, groupStrip) || m.judged(d.guide, groupStrip, f.fader, &f.place) != fell {
			continue
		}
		switch {
		case m.lo < 0 && main.whole:
			if math.Abs(m.together(st, unit)-sum) <= sumsAlike {
				d.units[m.sort()], d.learntBy[m.sort()] = unit, bySum
			}
		case m.lo >= 0 && strings.HasPrefix(unit, "amplitude") && m.isBlob():
			for _, bits := range []int{0, 1} {
				full := fmt.Sprintf("amplitude, scale: 1/%.0f", math.Ldexp(1, 8*m.form.layout.Size()-bits))
				if math.Abs(m.together(st, full)-sum) <= sumsFactor {
					d.units[m.sort()], d.learntBy[m.sort()] = full, bySum
				}
			}
		}
	}
}

// together is how loud all values of a meter are in a step, in dB.
func (m *meter) together(st step, unit string) float64 {
	power := 0.0
	for k := range m.n {
		at := math.NaN()
		if m.isBlob() {
			if w := st.seen[m.slots[0]].window; w != nil && m.first+k*max(m.stride, 1) < min(m.form.n, mostCourses) {
				at = w.courses(m.form)[m.first+k*max(m.stride, 1)].mean
			}
		} else if s := st.seen[m.slots[k]]; !s.course.none() {
			at = s.course.mean
		}
		if db := decibelsIn(unit, at); db == db {
			power += math.Pow(10, db/10)
		}
	}
	return 10 * math.Log10(power)
}

// decibelsIn is a number of a unit in decibels, not a number if the unit is not known.
func decibelsIn(unit string, x float64) float64 {
	name, scale, scaled := strings.Cut(unit, ", scale: 1/")
	full := 1.0
	if scaled {
		fmt.Sscan(scale, &full)
	}
	switch name {
	case "amplitude":
		return 20 * math.Log10(x/full)
	case "power":
		return 10 * math.Log10(x/full)
	}
	for per, of := range wholeUnits {
		if of == unit {
			return x / per
		}
	}
	return math.NaN()
}
