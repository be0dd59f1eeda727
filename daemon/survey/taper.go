package survey

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
)

// point is a printed mark: the desk's number there, and the mark in dB. NaN is a
// top where nothing is printed.
type point struct{ x, db float64 }

// good is how near a simple law must come to every mark to be taken for the
// desk's own. It is about as well as a hand sets a fader to a mark.
const good = 0.3

// scale is how a fader's numbers become decibels.
type scale struct {
	said  string // in words, with how well it fits
	value string // the keys of a map's value: "unit: dB"
	taper string // the points of a taper, "" if value needs none
	db    func(x float64) float64
	low   float64 // the lowest mark; below it nothing is known
	unit  float64 // how many of the desk's steps are a dB, 0 if they are not decibels
	off   float64 // the number that means minus infinity, 0 if there is none
}

// near is how near a law of two numbers must come to so many marks. Two numbers
// bend a law through four marks that only happen to lie so, and between the marks
// it would then be further off than straight lines are.
func near(marks int) float64 {
	if marks < 5 {
		return good / 3
	}
	return good
}

// fit finds the simplest law that goes through the marks: decibels as they are or
// scaled, a factor of amplitude, a power of the travel, decibels along the travel;
// and if none does, straight lines from mark to mark. bottomAt is the number at
// the very bottom, NaN if it is not known.
func fit(points []point, bottomAt float64) (scale, bool) {
	points = slices.Clone(points)
	slices.SortFunc(points, func(a, b point) int { return cmp.Compare(a.x, b.x) })
	marks := slices.DeleteFunc(slices.Clone(points), func(p point) bool { return p.db != p.db || math.IsInf(p.x, 0) })
	marks = slices.CompactFunc(marks, func(a, b point) bool { return a.x == b.x })
	if len(marks) < 2 || !rising(marks) {
		return scale{}, false
	}
	for _, law := range []func([]point, float64) (scale, bool){decibels, factors, travelPower, travelDecibels} {
		if sc, ok := law(marks, bottomAt); ok {
			sc.low = marks[0].db
			return sc, true
		}
	}
	sc := lines(marks, points[len(points)-1].x, bottomAt)
	sc.low = marks[0].db
	return sc, true
}

func rising(marks []point) bool {
	for i := 1; i < len(marks); i++ {
		if marks[i].db <= marks[i-1].db {
			return false
		}
	}
	return true
}

// worst is how far a law is from the marks at most.
func worst(marks []point, db func(float64) float64) float64 {
	w := 0.0
	for _, p := range marks {
		if d := math.Abs(db(p.x) - p.db); !(d <= w) {
			w = d
		}
	}
	return w
}

// decibels are numbers that are dB, or hundredths, tenths or 256ths of one.
func decibels(marks []point, bottomAt float64) (scale, bool) {
	for _, u := range []struct {
		per         float64
		value, what string
	}{
		{1, "unit: dB", "dB as they are"}, {100, "unit: centi-dB", "hundredths of a dB"},
		{256, "unit: dB/256", "256ths of a dB"}, {10, "unit: dB, scale: 0.1", "tenths of a dB"},
	} {
		db := func(x float64) float64 { return x / u.per }
		w := worst(marks, db)
		if w > good {
			continue
		}
		sc := scale{value: u.value, db: db, unit: u.per,
			said: fmt.Sprintf("The fader's numbers are %s: all %d marks fit within %.2f dB.", u.what, len(marks), w)}
		// A number far below every mark is how this desk writes "closed".
		if !math.IsInf(bottomAt, 0) && bottomAt == bottomAt && db(bottomAt) < min(marks[0].db-5, -60) {
			sc.off = bottomAt
			sc.value += ", minus-infinity: " + plainNumber(bottomAt)
			sc.db = func(x float64) float64 {
				if x == bottomAt {
					return math.Inf(-1)
				}
				return db(x)
			}
		}
		return sc, true
	}
	return scale{}, false
}

// factors are numbers that multiply the amplitude, or the power.
func factors(marks []point, _ float64) (scale, bool) {
	if len(marks) < 3 || marks[0].x <= 0 {
		return scale{}, false
	}
	for _, u := range []struct {
		lg    float64
		value string
	}{{20, "amplitude"}, {10, "power"}} {
		db := func(x float64) float64 { return u.lg * math.Log10(x) }
		if w := worst(marks, db); w <= good {
			return scale{value: "unit: " + u.value, db: db,
				said: fmt.Sprintf("The fader's numbers are factors of %s: all %d marks fit within %.2f dB.", u.value, len(marks), w)}, true
		}
	}
	return scale{}, false
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

// travelPower is an amplitude that follows a power of the travel from the bottom.
func travelPower(marks []point, bottomAt float64) (scale, bool) {
	topAt := marks[len(marks)-1].x
	if len(marks) < 4 || !(bottomAt < marks[0].x) {
		return scale{}, false
	}
	var logs []point
	for _, p := range marks {
		logs = append(logs, point{20 * math.Log10((p.x-bottomAt)/(topAt-bottomAt)), p.db})
	}
	power, topDB := leastSquares(logs)
	db := func(x float64) float64 { return topDB + power*20*math.Log10((x-bottomAt)/(topAt-bottomAt)) }
	w := worst(marks, db)
	if w > near(len(marks)) || power < 0.1 || power > 20 {
		return scale{}, false
	}
	return scale{value: "taper: " + taperName, db: db,
		taper: fmt.Sprintf("[[%s, -inf], {at: %s, dB: %.3f, power: %.4f}]", plainNumber(bottomAt), plainNumber(topAt), topDB, power),
		said:  fmt.Sprintf("The fader follows the power %.2f of its travel: all %d marks fit within %.2f dB.", power, len(marks), w)}, true
}

// taperName is what a draft calls the taper it has found.
const taperName = "travel"

// travelDecibels are decibels that are even along the travel, all but the bottom.
func travelDecibels(marks []point, bottomAt float64) (scale, bool) {
	topAt := marks[len(marks)-1].x
	if len(marks) < 4 || !(bottomAt < marks[0].x) {
		return scale{}, false
	}
	slope, at0 := leastSquares(marks)
	db := func(x float64) float64 { return at0 + slope*x }
	w := worst(marks, db)
	if w > near(len(marks)) {
		return scale{}, false
	}
	edge := bottomAt + (topAt-bottomAt)/2000
	return scale{value: "taper: " + taperName, db: db,
		taper: fmt.Sprintf("[[%s, -inf], [%s, %.2f], [%s, %.2f]]", plainNumber(bottomAt), plainNumber(edge), db(edge), plainNumber(topAt), db(topAt)),
		said:  fmt.Sprintf("The fader has %.2f dB to each tenth of its travel: all %d marks fit within %.2f dB.", slope*(topAt-bottomAt)/10, len(marks), w)}, true
}

// lines go from mark to mark. A top where nothing is printed is taken to lie on
// the line through the two highest marks.
func lines(marks []point, topAt, bottomAt float64) scale {
	all := slices.Clone(marks)
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
		value: "taper: " + taperName, taper: "[" + strings.Join(text, ", ") + "]",
		db: func(x float64) float64 { return along(all, bottomAt, x) },
		said: fmt.Sprintf("The fader's numbers are its position, and no simple law goes through the %d marks: straight lines from mark to mark. "+
			"The more marks, the truer.", len(marks)),
	}
}

func along(all []point, bottomAt, x float64) float64 {
	if x <= all[0].x {
		if x == all[0].x {
			return all[0].db
		}
		return all[0].db + 20*math.Log10(max(0, x-bottomAt)/(all[0].x-bottomAt))
	}
	for i := 1; i < len(all); i++ {
		if a, b := all[i-1], all[i]; x <= b.x {
			return a.db + (b.db-a.db)*(x-a.x)/(b.x-a.x)
		}
	}
	return all[len(all)-1].db
}

// plainNumber writes a number without an exponent, to seven digits or so.
func plainNumber(x float64) string {
	if x == math.Trunc(x) && math.Abs(x) < 1e15 {
		return fmt.Sprintf("%.0f", x)
	}
	return strings.TrimRight(fmt.Sprintf("%.6f", x), "0")
}
