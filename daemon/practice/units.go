package practice

import "math"

// gain is a ratio in dB; closed is minus infinity. Reduction counts upwards.
type gain float64

// level is in dB relative to full scale, RMS.
type level float64

// power is linear: 1 is 0 dBFS.
type power float64

var (
	closed = gain(math.Inf(-1))
	silent = level(math.Inf(-1))
)

// power takes most of the time of a practice service, and by this function a fifth as long as by math.Pow.
func (l level) power() power { return power(math.Exp(float64(l) * (math.Ln10 / 10))) }

func (p power) level() level {
	if p <= 0 {
		return silent
	}
	return level(10 * math.Log10(float64(p)))
}

// plus is the level after a gain. Silence through any gain is silence, and
// anything through a closed fader is.
func (l level) plus(g gain) level {
	if l == silent || g == closed {
		return silent
	}
	return l + level(g)
}
