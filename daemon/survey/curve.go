package survey

import (
	"math"
	"slices"

	"pawl/rules"
	"pawl/rules/desk"
)

// curve goes through the marks of a fader that follows no simple law: dB over position, by
// rising position and rising dB.
type curve struct {
	marks  []point
	lines  bool // straight from mark to mark, or else bent as the marks are
	doubts []doubt
	sway   float64 // by how many dB the kinds of curve differ at most
}

// doubt is how far the scale may be off between two marks, in dB.
type doubt struct {
	below, above point
	by           float64
}

// newCurve chooses between straight lines and bends: by leaving out each mark in turn and
// seeing which of the two comes nearer to it. Through four marks or fewer it bends, since
// most faders' scales do.
func newCurve(marks []point) curve {
	c := curve{marks: marks, lines: len(marks) < 4}
	if len(marks) > 4 {
		var even, bent float64
		for i := 1; i < len(marks)-1; i++ {
			others := curve{marks: slices.Delete(slices.Clone(marks), i, i+1)}
			bent += math.Abs(others.db(marks[i].x) - marks[i].db)
			others.lines = true
			even += math.Abs(others.db(marks[i].x) - marks[i].db)
		}
		c.lines = even < bent
	}
	for i := 1; i < len(marks); i++ {
		d := doubt{below: marks[i-1], above: marks[i]}
		for k := 1; k < 16; k++ {
			x := d.below.x + (d.above.x-d.below.x)*float64(k)/16
			other := (c.hermite(i-1, x) + c.db(x)) / 2
			if _, ok := c.cubic(i-1, x); !ok {
				other = (straight(d.below, d.above, x) + c.db(x)) / 2
			}
			if c.lines {
				other = (straight(d.below, d.above, x) + curve{marks: marks}.db(x)) / 2
			}
			c.sway = max(c.sway, math.Abs(c.db(x)-other))
			d.by = max(d.by, math.Abs(c.db(x)-other), c.corner(i-1, x))
		}
		c.doubts = append(c.doubts, d)
	}
	return c
}

// corner is how far the scale is off at a position between two marks if it goes on straight
// from one side and bends once in between, as scales made of straight pieces do. Where the
// marks beyond lie on one line with these two there is no room for a bend. Below the lowest
// mark but one and above the highest but one only one side is known, and half of it counts.
func (c curve) corner(i int, x float64) float64 {
	a, b := c.marks[i], c.marks[i+1]
	chord, db := straight(a, b, x), c.db(x)
	in := func(v float64) float64 { return min(max(v, a.db), b.db) }
	left, right, sides := chord, chord, 0
	if i > 0 {
		left, sides = in(straight(c.marks[i-1], a, x)), sides+1
	}
	if i+2 < len(c.marks) {
		right, sides = in(straight(b, c.marks[i+2], x)), sides+1
	}
	switch {
	case sides == 1:
		return max(math.Abs(left-db), math.Abs(right-db)) / 2
	case (left-chord)*(right-chord) <= 0: // it turns over in between
		return max(math.Abs(left-db), math.Abs(right-db)) / 2
	case math.Abs(left-chord) < math.Abs(right-chord):
		return math.Abs(left - db)
	}
	return math.Abs(right - db)
}

// worst is where the scale is least sure.
func (c curve) worst() doubt {
	return slices.MaxFunc(c.doubts, func(a, b doubt) int {
		switch {
		case a.by < b.by:
			return -1
		case a.by > b.by:
			return 1
		}
		return 0
	})
}

// db is the curve at a position between the first mark and the last.
func (c curve) db(x float64) float64 {
	i := 0
	for i < len(c.marks)-2 && x > c.marks[i+1].x {
		i++
	}
	if c.lines || len(c.marks) < 3 {
		return straight(c.marks[i], c.marks[i+1], x)
	}
	if v, ok := c.cubic(i, x); ok {
		return v
	}
	return c.hermite(i, x)
}

func straight(a, b point, x float64) float64 { return a.db + (b.db-a.db)*(x-a.x)/(b.x-a.x) }

// swings is by how many dB the two kinds of curve may differ before the one that never
// overshoots is the likelier.
const swings = 1.0

// cubic is the polynomial through the four marks around an interval (Lagrange's form), or
// the three that there are. It is not ok where that does not rise all along the interval, or
// swings out.
func (c curve) cubic(i int, x float64) (db float64, ok bool) {
	from := min(max(i-1, 0), max(len(c.marks)-4, 0))
	near := c.marks[from:min(from+4, len(c.marks))]
	at := func(x float64) (sum float64) {
		for j, p := range near {
			term := p.db
			for k, o := range near {
				if k != j {
					term *= (x - o.x) / (p.x - o.x)
				}
			}
			sum += term
		}
		return sum
	}
	a, b := c.marks[i], c.marks[i+1]
	before := a.db
	for k := 1; k <= 32; k++ {
		x := a.x + (b.x-a.x)*float64(k)/32
		v := at(x)
		if v < before-1e-9 || math.Abs(v-c.hermite(i, x)) > swings {
			return 0, false
		}
		before = v
	}
	return at(x), true
}

// hermite is the cubic of an interval whose slopes at its ends are harmonic means of those
// beside them, which never overshoots: F. N. Fritsch and J. Butland, "A method for
// constructing local monotone piecewise cubic interpolants", SIAM J. Sci. Stat. Comput. 5
// (1984), 300–304.
func (c curve) hermite(i int, x float64) float64 {
	a, b := c.marks[i], c.marks[i+1]
	h := b.x - a.x
	t := (x - a.x) / h
	m0, m1 := c.slope(i), c.slope(i+1)
	return (1+2*t)*(1-t)*(1-t)*a.db + t*(1-t)*(1-t)*h*m0 + t*t*(3-2*t)*b.db + t*t*(t-1)*h*m1
}

// slope is that of the curve at a mark, by the marks beside it.
func (c curve) slope(i int) float64 {
	step := func(k int) (h, d float64) {
		h = c.marks[k+1].x - c.marks[k].x
		return h, (c.marks[k+1].db - c.marks[k].db) / h
	}
	last := len(c.marks) - 1
	end := func(k, next int) float64 { // the slope of the parabola through the three last, kept rising
		h0, d0 := step(k)
		h1, d1 := step(next)
		return min(max(((2*h0+h1)*d0-h0*d1)/(h0+h1), 0), 3*d0)
	}
	switch {
	case last == 1:
		_, d := step(0)
		return d
	case i == 0:
		return end(0, 1)
	case i == last:
		return end(last-1, last-2)
	}
	h0, d0 := step(i - 1)
	h1, d1 := step(i)
	w0, w1 := 2*h1+h0, h1+2*h0
	return (w0 + w1) / (w0/d0 + w1/d1)
}

// straightness is how far the straight pieces of a taper may be off the curve, in dB: less
// than is seen.
const straightness = 0.05

// points are enough of the curve for straight lines between them to be as good as it is.
func (c curve) points() (all []point) {
	all = append(all, c.marks[0])
	for i := 1; i < len(c.marks); i++ {
		all = c.between(all, c.marks[i-1], c.marks[i], 5)
		all = append(all, c.marks[i])
	}
	return all
}

func (c curve) between(all []point, a, b point, deepest int) []point {
	if deepest == 0 {
		return all
	}
	off := 0.0
	for k := 1; k < 8; k++ {
		x := a.x + (b.x-a.x)*float64(k)/8
		off = max(off, math.Abs(c.db(x)-straight(a, b, x)))
	}
	if off <= straightness {
		return all
	}
	middle := point{(a.x + b.x) / 2, c.db((a.x + b.x) / 2)}
	all = append(c.between(all, a, middle, deepest-1), middle)
	return c.between(all, middle, b, deepest-1)
}

// helpful is the mark that would make the scale truer by most, none if none would.
func (c curve) helpful() rules.Phrase {
	w := c.worst()
	if w.by < 0.5 {
		return rules.Phrase{}
	}
	return rules.Say("guide.mark-best", bare("below", w.below.db), bare("above", w.above.db))
}

// said is how sure the scale is.
func (c curve) said() []rules.Phrase {
	how := rules.Say("guide.scale-bent")
	if c.lines {
		how = rules.Say("guide.scale-lines")
	}
	sure := rules.Say("guide.scale-sure", rules.DB("off", 0.3))
	switch w := c.worst(); {
	case len(c.marks) < 4:
		sure = rules.Say("guide.scale-few")
	case w.by >= 0.3:
		sure = rules.Say("guide.scale-unsure", rules.DB("off", desk.DB(w.by)), bare("below", w.below.db), bare("above", w.above.db))
	}
	return []rules.Phrase{how, sure}
}
