package oscmap

import "pawl/rules/desk"

// unit is what a desk's number is in.
type unit string

const (
	amplitude unit = "amplitude" // 20 times the logarithm
	power     unit = "power"     // 10 times the logarithm
)

// Words are the words a map may use.
func (unit) Words() []string {
	return []string{"dB", "dBFS", "dB(A)", string(amplitude), string(power), "centi-dB", "dB/256", "ms", "s"}
}

// linear is what a number is multiplied with to make decibels or milliseconds of it.
func (u unit) linear() float64 {
	switch u {
	case "centi-dB":
		return 0.01
	case "dB/256":
		return 1.0 / 256
	case "s":
		return 1000
	}
	return 1
}

// unitsOf lists the units that a signal may come in.
func unitsOf(s desk.Signal) []string {
	derived := []string{string(amplitude), string(power), "centi-dB", "dB/256"}
	switch q := s.Quantity(); {
	case s == desk.RoomLevel:
		return append([]string{"dB(A)", "dB"}, derived...)
	case q == desk.Level:
		return append([]string{"dBFS"}, derived...)
	case q == desk.Gain, q == desk.Reduction:
		return append([]string{"dB"}, derived...)
	case q == desk.Duration:
		return []string{"ms", "s"}
	}
	return nil
}
