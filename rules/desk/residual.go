package desk

import (
	"math"
)

// residual watches how far the desk's own main meter is from the model's total.
// A steady difference is the desk's own metering point; one that wanders means
// that something feeds the main which the map does not show.
type residual struct {
	at   [60]DB // one a second
	n    int
	next int
}

func (r *residual) add(metered, model DBFS) {
	d := metered.Above(model)
	if math.IsInf(float64(d), 0) {
		return
	}
	r.at[r.next] = d
	r.next = (r.next + 1) % len(r.at)
	r.n = min(r.n+1, len(r.at))
}

// wander is the spread over the last minute, 0 until there is a minute.
func (r *residual) wander() DB {
	if r.n < len(r.at) {
		return 0
	}
	lo, hi := r.at[0], r.at[0]
	for _, d := range r.at {
		lo, hi = min(lo, d), max(hi, d)
	}
	return hi - lo
}
