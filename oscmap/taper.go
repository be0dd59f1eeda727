package oscmap

import (
	"math"
	"strconv"

	"pawl/oscmap/sheet"
)

// taperPointPart is one point of a taper: [0.25, -40], or, where the stretch
// that ends at it is bent, {at: 0.25, dB: -40, power: 4}.
type taperPointPart struct {
	place sheet.Place
	bentPoint
}

type bentPoint struct {
	At    float64           `yaml:"at" jsonschema:"required" doc:"The position, in whatever the desk counts it."`
	DB    decibels          `yaml:"dB" jsonschema:"required" doc:"The gain there, -inf for closed."`
	Power sheet.At[float64] `yaml:"power" jsonschema:"minimum=0.1,maximum=20" doc:"The amplitude follows this power of the travel between the points; without it the decibels are a straight line."`
}

// decibels is a number of dB in a list where the unit is plain: -40, or -inf.
type decibels float64

// FromSheet reads decibels in a file.
func (d *decibels) FromSheet(n *sheet.Node) {
	if n.Text() == "-inf" || n.Text() == "-.inf" {
		*d = decibels(math.Inf(-1))
		return
	}
	if x, ok := readNumber(n, "a number of dB, or -inf"); ok {
		*d = decibels(x)
	}
}

// String is the number as a map writes it.
func (d decibels) String() string {
	if math.IsInf(float64(d), -1) {
		return "-inf"
	}
	return strconv.FormatFloat(float64(d), 'g', -1, 64)
}

// Forms says how decibels are written.
func (decibels) Forms() []any { return []any{0.0, sheet.Constants{"-inf"}} }

// FromSheet reads a point in a file.
func (p *taperPointPart) FromSheet(n *sheet.Node) {
	p.place = n.Place()
	if n.IsMapping() {
		n.Decode(&p.bentPoint)
		return
	}
	items := n.Items()
	if len(items) != 2 {
		n.Wrong("as in [0.25, -40]", "found %s; want a position and its dB", n.Found())
		return
	}
	items[0].Decode(&p.At)
	items[1].Decode(&p.DB)
}

// Forms says how a point is written.
func (taperPointPart) Forms() []any {
	return []any{[2]decibels{}, bentPoint{}}
}

// bels makes 10 times the logarithm to the base of 10 of the natural one, which
// is the faster to compute.
const bels = 10 / math.Ln10

// taper turns the position of a fader into decibels.
type taper struct {
	name        string
	stretches   []stretch
	bottom, top float64 // the positions of the first and the last point
	rounding    float64 // what a float32 may make of either on its way
}

// outside is what becomes of positions beyond a taper's points. If the map does
// not say, those just beyond count for the end and others are refused.
type outside string

// Words are the words a map may use.
func (outside) Words() []string { return []string{"clamp", "refuse"} }

// stretch is the way from one point to the next.
type stretch struct {
	from, to float64 // positions
	lo, hi   float64 // decibels, or the power-th roots of amplitude
	power    float64 // 0 for a straight line in decibels
	slope    float64
}

// newTaper joins points that have been found to rise. A stretch that begins at
// minus infinity cannot be straight in decibels; it is straight in amplitude,
// which is the straight line a fader's last millimetres come nearest to.
func newTaper(name string, points []taperPointPart) *taper {
	t := &taper{name: name, bottom: points[0].At, top: points[len(points)-1].At}
	t.rounding = 1e-6 * max(-t.bottom, t.top)
	for i := 1; i < len(points); i++ {
		a, b := points[i-1], points[i]
		s := stretch{from: a.At, to: b.At, lo: float64(a.DB), hi: float64(b.DB), power: b.Power.V}
		if s.power == 0 && math.IsInf(s.lo, -1) {
			s.power = 1
		}
		if s.power != 0 {
			s.lo, s.hi = s.root(s.lo), s.root(s.hi)
		}
		s.slope = (s.hi - s.lo) / (s.to - s.from)
		t.stretches = append(t.stretches, s)
	}
	return t
}

// root is the quantity that is straight in a bent stretch.
func (s stretch) root(db float64) float64 { return math.Pow(10, db/20/s.power) }

// holds reports whether the points span the position, which may have been rounded
// to a float32 on its way. They span no NaN.
func (t *taper) holds(x float64) bool {
	return x >= t.bottom-t.rounding && x <= t.top+t.rounding
}

// slack is how far beyond the points still counts for the end where the map does
// not say: converters overshoot. Further out a number is no position of this
// fader, and taken for its end it would set the mix to full or to nothing.
func (t *taper) slack() float64 { return 0.02 * (t.top - t.bottom) }

// end is the end of the taper that a position beyond it counts for, if it does.
func (t *taper) end(x float64, o outside) (float64, bool) {
	end := min(max(x, t.bottom), t.top)
	switch o {
	case "clamp":
		return end, true
	case "refuse":
		return end, false
	}
	return end, math.Abs(x-end) <= t.slack()
}

// at is the dB at a position that the points span, or at the nearer end.
func (t *taper) at(x float64) float64 {
	x = min(max(x, t.bottom), t.top)
	last := len(t.stretches) - 1
	i := 0
	for i < last && t.stretches[i].to < x { // there are few, and a search takes longer
		i++
	}
	s := &t.stretches[i]
	v := s.lo + (x-s.from)*s.slope
	if x == s.to {
		v = s.hi
	}
	if s.power == 0 {
		return v
	}
	return 2 * s.power * bels * math.Log(v)
}
