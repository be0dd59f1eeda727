package survey

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"pawl/oscmap"
	"pawl/oscmap/wire"
	"pawl/rules"
)

// point is a printed mark: the desk's number there, and the mark in dB. NaN is a
// top where nothing is printed.
type point struct{ x, db float64 }

// good is how near a simple law must come to every mark to be taken for the
// desk's own. It is about as well as a hand sets a fader to a mark.
const good = 0.3

// scale is how a fader's numbers become decibels, in the words of a map.
type scale struct {
	keys  string         // of a map's value: "unit: dB"
	taper string         // the points of a taper, "" if keys need none
	said  []rules.Phrase // to people; when it is found, with how well it fits
	near  float64        // how near it must come to every mark
	per   float64        // how many of the desk's steps are a dB, 0 if they are not decibels
	times bool           // they multiply the amplitude
	off   float64        // the number that means minus infinity, 0 if there is none

	doubt   float64      // by how much it may be off between two marks, in dB; 0 of a law
	helpful rules.Phrase // which mark would help most; of none if none is needed

	low float64 // the lowest mark; below it nothing is known
	db  func(x float64) float64
}

// fit finds the simplest law that goes through the marks: decibels as they are or
// scaled, a factor of amplitude, a power of the travel, decibels along the travel;
// and if none does, a curve from mark to mark. bottomAt is the number at
// the very bottom, NaN if it is not known.
func fit(points []point, bottomAt float64) (scale, bool) {
	points = slices.Clone(points)
	slices.SortFunc(points, func(a, b point) int { return cmp.Compare(a.x, b.x) })
	marks := slices.DeleteFunc(slices.Clone(points), func(p point) bool { return p.db != p.db || math.IsInf(p.x, 0) })
	marks = slices.CompactFunc(marks, func(a, b point) bool { return a.x == b.x })
	if len(marks) < 2 || !slices.IsSortedFunc(marks, func(a, b point) int {
		return cmp.Or(cmp.Compare(a.db, b.db), -1) // two marks at one gain do not rise
	}) {
		return scale{}, false
	}
	all := append(units(marks, bottomAt), travels(marks, bottomAt)...)
	for _, sc := range append(all, between(marks, points[len(points)-1].x, bottomAt)) {
		if !sc.compile() {
			continue
		}
		if w := worst(marks, sc.db); w <= sc.near {
			sc.low = marks[0].db
			sc.said[0].Figures = append(sc.said[0].Figures, rules.Number("marks", len(marks)))
			if !math.IsInf(sc.near, 0) { // a law, and no curve through them all
				sc.said[0].Figures = append(sc.said[0].Figures, bare("within", w))
			}
			return sc, true
		}
	}
	return scale{}, false
}

// compile makes a map of the scale and nothing else, so that what is said of the
// scale is what a map will make of it, to its last rounded digit.
func (sc *scale) compile() bool {
	m, _ := oscmap.Load("scale", []byte("desk: x\n"+sc.tapers()+
		"signals: [{hear: /x, is: main.fader, value: {arg: 0, "+sc.keys+"}}]\n"), nil)
	if m == nil {
		return false
	}
	hearer := m.NewHearer()
	sc.db = func(x float64) float64 {
		packet, _ := wire.AppendMessage(nil, "/x", x)
		var r wire.Reader
		r.Reset(packet)
		r.Next()
		if readings := hearer.Hear(nil, 0, r.Message()); len(readings) == 1 {
			return readings[0].Value
		}
		return math.Inf(1) // no position of this fader
	}
	return true
}

// tapers is the section of a map that the scale needs.
func (sc *scale) tapers() string {
	if sc.taper == "" {
		return ""
	}
	return fmt.Sprintf("tapers:\n  %s: %s\n", taperName, sc.taper)
}

// worst is how far a law is from the marks at most.
func worst(marks []point, db func(float64) float64) (w float64) {
	for _, p := range marks {
		if got := db(p.x); got != p.db {
			w = max(w, math.Abs(got-p.db))
		}
	}
	return w
}

// units are numbers that are decibels, or so many steps of them; and those that
// multiply the amplitude or the power, which two marks are too few to tell.
func units(marks []point, bottomAt float64) (all []scale) {
	units := func(of rules.Phrase) []rules.Phrase {
		return []rules.Phrase{put(rules.Say("guide.scale-units"), within("law", of))}
	}
	for _, sc := range []scale{
		{per: 1, keys: "unit: dB", said: units(rules.Say("law.db"))}, {per: 100, keys: "unit: centi-dB", said: units(rules.Say("law.hundredths"))},
		{per: 256, keys: "unit: dB/256", said: units(rules.Say("law.steps"))}, {per: 10, keys: "unit: dB, scale: 0.1", said: units(rules.Say("law.tenths"))},
		partsOf(marks),
		{keys: "unit: amplitude", times: true, said: units(rules.Say("law.amplitude"))}, {keys: "unit: power", said: units(rules.Say("law.power"))},
	} {
		// Through two marks there is always a factor that fits.
		if sc.keys == "" || sc.per == 0 && (len(marks) < 3 || marks[0].x <= 0) {
			continue
		}
		sc.near = good
		// A number far below every mark is how this desk writes "closed".
		if sc.per > 0 && !math.IsInf(bottomAt, 0) && bottomAt/sc.per < min(marks[0].db-5, -60) {
			sc.off = bottomAt
			sc.keys += ", minus-infinity: " + plainNumber(bottomAt)
		}
		all = append(all, sc)
	}
	return all
}

// partsOf is the scale of numbers of which some other whole number is a dB, counted both ways from
// 0 dB; none if the marks show no such.
func partsOf(marks []point) (sc scale) {
	var xy, yy float64
	for _, p := range marks {
		xy, yy = xy+p.x*p.db, yy+p.db*p.db
	}
	per := math.Round(xy / yy)
	if !(per > 1) || len(marks) < 3 || math.Abs(xy/yy-per) > per/200 {
		return scale{}
	}
	law := rules.Say("law.parts", rules.Number("n", int(per)))
	return scale{per: per, keys: fmt.Sprintf("unit: dB, scale: 1/%.0f", per), said: []rules.Phrase{put(rules.Say("guide.scale-units"), within("law", law))}}
}

// factor is the scale of numbers that multiply the amplitude, by the one at 0 dB: on a desk
// whose other faders have such, two marks tell.
func factor(points []point, bottomAt float64) (sc scale, ok bool) {
	i := slices.IndexFunc(points, func(p point) bool { return p.db == 0 && p.x > 0 })
	if i < 0 || bottomAt != 0 || len(points) < 2 {
		return scale{}, false
	}
	sc = scale{keys: "unit: amplitude", times: true}
	if x := points[i].x; math.Abs(x-1) > 0.01 {
		sc.keys += ", scale: 1/" + plainNumber(x)
	}
	return sc, sc.compile() && worst(points, sc.db) <= good
}

// leastSquares is the straight line nearest to the points.
func leastSquares(points []point) (slope, at0 float64) {
	var n, sx, sy, sxx, sxy float64
	for _, p := range points {
		n, sx, sy, sxx, sxy = n+1, sx+p.x, sy+p.db, sxx+p.x*p.x, sxy+p.x*p.db
	}
	slope = (n*sxy - sx*sy) / (n*sxx - sx*sx)
	return slope, (sy - slope*sx) / n
}

// taperName is what a draft calls the taper it has found.
const taperName = "travel"

// travels are laws of the way from the bottom: an amplitude that follows a power of
// it, and decibels that are even along it, all but the bottom.
func travels(marks []point, bottomAt float64) []scale {
	topAt := marks[len(marks)-1].x
	if len(marks) < 4 || !(bottomAt < marks[0].x) {
		return nil
	}
	var logs []point
	for _, p := range marks {
		logs = append(logs, point{20 * math.Log10((p.x-bottomAt)/(topAt-bottomAt)), p.db})
	}
	power, topDB := leastSquares(logs)
	slope, at0 := leastSquares(marks)
	// The scale has to end somewhere: half a thousandth of the way is below any hand.
	edge := bottomAt + (topAt-bottomAt)/2000
	// Two numbers bend a law through four marks that only happen to lie so, and between
	// the marks it would then be further off than a curve that is sure of itself.
	near := good
	if len(marks) < 5 && newCurve(marks).sway <= swings/2 {
		near = good / 3
	}
	from, to := plainNumber(bottomAt), plainNumber(topAt)
	return []scale{
		{near: near, keys: "taper: " + taperName, times: bottomAt == 0 && math.Abs(power-1) < 0.01,
			taper: fmt.Sprintf("[[%s, -inf], {at: %s, dB: %.3f, power: %.4f}]", from, to, topDB, power),
			said:  []rules.Phrase{rules.Say("guide.scale-power", bare("power", power))}},
		{near: near, keys: "taper: " + taperName,
			taper: fmt.Sprintf("[[%s, -inf], [%s, %.2f], [%s, %.2f]]", from, plainNumber(edge), at0+slope*edge, to, at0+slope*topAt),
			said:  []rules.Phrase{rules.Say("guide.scale-even", bare("per", slope*(topAt-bottomAt)/10))}},
	}
}

// between goes from mark to mark. A top where nothing is printed is taken to lie on
// the line through the two highest marks.
func between(marks []point, topAt, bottomAt float64) scale {
	c := newCurve(marks)
	all := c.points()
	if n := len(all); topAt > all[n-1].x {
		slope := (all[n-1].db - all[n-2].db) / (all[n-1].x - all[n-2].x)
		all = append(all, point{topAt, all[n-1].db + slope*(topAt-all[n-1].x)})
	}
	var text []string
	if bottomAt < all[0].x {
		text = append(text, fmt.Sprintf("[%s, -inf]", plainNumber(bottomAt)))
	}
	for _, p := range all {
		text = append(text, fmt.Sprintf("[%s, %s]", plainNumber(p.x), plainNumber(math.Round(p.db*100)/100)))
	}
	return scale{
		near: math.Inf(1), keys: "taper: " + taperName, taper: "[" + strings.Join(text, ", ") + "]", said: c.said(), doubt: c.worst().by, helpful: c.helpful(),
	}
}

// plainNumber writes a number without an exponent, to seven digits or so.
func plainNumber(x float64) string {
	if x == math.Trunc(x) && math.Abs(x) < 1e15 {
		return fmt.Sprintf("%.0f", x)
	}
	return strings.TrimRight(fmt.Sprintf("%.6f", x), "0")
}
