package survey

import (
	"math"
	"time"
)

// course is how the values of a meter went while nothing was moved. Minus infinities are
// below all others. The zero value is that none came.
type course struct {
	n         int
	low, high float64
	mean      float64 // minus infinity if most were
	changes   int     // in the later half
	late      float64 // the highest of the later half
	end       float64 // the highest of the last fifth
	first     float64
	last      float64
	sinks     bool // it never rose on the way
}

// none reports whether nothing is known.
func (c course) none() bool { return c.n == 0 }

// courseOf is that of values in the order in which they came.
func courseOf(values []float64) (c course) {
	if len(values) == 0 {
		return c
	}
	c = course{n: len(values), low: math.Inf(1), high: math.Inf(-1), late: math.Inf(-1), end: math.Inf(-1), mean: mean(values),
		first: values[0], last: values[len(values)-1], sinks: len(values) >= 4}
	for i, v := range values {
		c.low, c.high = min(c.low, v), max(c.high, v)
		if i > 0 && v > values[i-1] {
			c.sinks = false
		}
		if i >= len(values)/2 {
			c.late = max(c.late, v)
			if i > 0 && v != values[i-1] {
				c.changes++
			}
		}
		if i >= len(values)*4/5 {
			c.end = max(c.end, v)
		}
	}
	return c
}

// on is the course on another scale, one that rises with the first.
func (c course) on(scale func(float64) float64) course {
	for _, v := range []*float64{&c.low, &c.high, &c.mean, &c.late, &c.end, &c.first, &c.last} {
		*v = scale(*v)
	}
	return c
}

// course is that of what a slot said since a time.
func (t *slot) course(since time.Duration) course {
	var values []float64
	for i := t.recent.len() - 1; i >= 0; i-- {
		if s := t.recent.back(i); s.at >= since {
			values = append(values, s.v)
		}
	}
	return courseOf(values)
}

// verdict is what a closed fader did to a meter.
type verdict uint8

const (
	unclear verdict = iota // some of both, or it still fell when the fader was opened again
	silent                 // there was nothing to hear, open or closed
	fell                   // and came back with the fader
	stayed                 // and went on moving as it does with the fader open
)

// closing is what shows whether a meter follows a fader: how it went before anybody moved
// it, while it was closed, and once it was open again.
type closing struct {
	open   []course // at rest, with the fader up
	closed course
	again  course // the first with the fader up after it was closed
	// The least and the most of all such meters: what stays in the lowest quarter has nothing to show.
	floor, ceiling float64
}

// quiet reports whether next to nothing was to hear when it was open again.
func (c closing) quiet() bool {
	return !c.again.none() && c.again.high <= c.floor+(c.ceiling-c.floor)/4
}

// judge tells whether the meter fell. A meter may fall slowly, hold what it had, or have a
// floor far below; music wanders; and whoever plays may stop just then. So only what goes
// further down than the music ever went counts as a fall, and only if it is back with the
// fader; and only what moves on as before counts as not having fallen.
func (c closing) judge() verdict {
	low, high, mean, n := math.Inf(1), math.Inf(-1), 0.0, 0.0
	for _, o := range c.open {
		if o.none() || math.IsInf(o.mean, -1) {
			continue
		}
		if !math.IsInf(o.low, -1) {
			low = min(low, o.low)
		}
		high, mean, n = max(high, o.high), mean+o.mean, n+1
	}
	if n == 0 || high <= c.floor+(c.ceiling-c.floor)/4 {
		return silent
	}
	if c.closed.none() || math.IsInf(low, 1) {
		return unclear
	}
	mean /= n
	wander := max(high-low, (high-c.floor)/20)
	back := !c.again.none() && !math.IsInf(c.again.mean, -1) &&
		(c.again.high >= low || math.IsInf(c.closed.end, -1) || c.again.high-c.closed.end > (mean-c.closed.end)/2)
	switch {
	case !back:
		return unclear
	case math.IsInf(c.closed.end, -1), c.closed.end <= c.floor && low-c.floor > wander/4, c.closed.late < low-wander/2,
		c.closed.sinks && c.closed.first-c.closed.last > wander/2 && c.closed.last < low:
		return fell
	case c.closed.changes >= 2 && !c.closed.sinks && c.closed.late >= mean && c.closed.mean >= low-wander/4:
		return stayed
	}
	return unclear
}
