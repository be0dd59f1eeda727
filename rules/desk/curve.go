package desk

import "math"

// Curve is a compressor's static curve: what it does to a level that has stood for
// a while. The zero value does nothing.
//
// It is the soft-knee form of Giannoulis, Massberg and Reiss, "Digital dynamic range
// compressor design", JAES 60(6), 2012. Where the meter is taken and how long the
// detector averages differ from desk to desk, so a level read off a meter may be some
// decibels beside what the compressor goes by. Differences along the curve are not.
type Curve struct {
	Threshold DBFS
	Ratio     float64 // 3 is 3:1; 1 or less does nothing
	Knee      DB      // the whole width, centred on the threshold; 0 is a corner
}

// slope is how many dB of reduction a dB above the knee costs.
func (c Curve) slope() DB { return DB(1 - 1/c.Ratio) }

// Reduction is how much quieter a level comes out, counted upwards; never negative.
func (c Curve) Reduction(in DBFS) DB {
	if !(c.Ratio > 1) || in == Silence {
		return 0
	}
	switch over := DB(in - c.Threshold); {
	case 2*over <= -c.Knee:
		return 0
	case 2*over < c.Knee:
		into := over + c.Knee/2
		return c.slope() * into * into / (2 * c.Knee)
	default:
		return c.slope() * over
	}
}

// In is the level that is turned down by so much: the highest that is not turned down
// at all for 0 or less. It is false for a curve that never turns anything down.
func (c Curve) In(reduction DB) (DBFS, bool) {
	if !(c.Ratio > 1) {
		return 0, false
	}
	reduction = max(reduction, 0)
	over := reduction / c.slope()
	if 2*over < c.Knee {
		over = DB(math.Sqrt(float64(2*c.Knee*over))) - c.Knee/2
	}
	return c.Threshold + DBFS(over), true
}
