package practice

// squeeze is a group's compressor by its static curve: what it does to a steady
// level. The zero value does nothing.
//
// The curve is the soft-knee form of Giannoulis, Massberg and Reiss, JAES 60(6),
// 2012, as three unrelated implementations have it.
type squeeze struct {
	threshold level
	ratio     float64 // 3 is 3:1; 1 or less does nothing
	knee      gain    // whole width, centred on the threshold
	makeUp    gain
}

// reduction is how much quieter in comes out before the make-up gain, in dB
// counted upwards.
func (s squeeze) reduction(in level) gain {
	if s.ratio <= 1 || in == silent {
		return 0
	}
	// Twice everywhere, because a knee is centred: half of it lies on either side.
	over, slope := gain(in-s.threshold), gain(1-1/s.ratio)
	switch {
	case 2*over <= -s.knee:
		return 0
	case 2*over < s.knee:
		into := over + s.knee/2
		return slope * into * into / (2 * s.knee)
	}
	return slope * over
}
