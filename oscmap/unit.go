package oscmap

import (
	"slices"

	"pawl/rules/desk"
)

// unit is what a desk's number is in.
type unit uint8

const (
	noUnit unit = iota
	dBUnit
	dBFSUnit
	dBAUnit
	amplitudeUnit // 20 times the logarithm
	powerUnit     // 10 times the logarithm
	centiUnit     // hundredths of a dB
	qUnit         // 256ths of a dB
	msUnit        // milliseconds
	sUnit         // seconds
)

// Words are the words a map may use.
func (unit) Words() []string {
	return []string{"", "dB", "dBFS", "dB(A)", "amplitude", "power", "centi-dB", "dB/256", "ms", "s"}
}

// linear is what a number is multiplied with to make decibels or milliseconds of it.
func (u unit) linear() float64 {
	switch u {
	case centiUnit:
		return 0.01
	case qUnit:
		return 1.0 / 256
	case sUnit:
		return 1000
	}
	return 1
}

// unitsOf lists the units that a signal may come in.
func unitsOf(s desk.Signal) []unit {
	derived := []unit{amplitudeUnit, powerUnit, centiUnit, qUnit}
	switch {
	case s == desk.RoomLevel:
		return append([]unit{dBAUnit, dBUnit}, derived...)
	case s.Quantity() == desk.Level:
		return append([]unit{dBFSUnit}, derived...)
	case s.Quantity() == desk.Gain, s.Quantity() == desk.Reduction:
		return append([]unit{dBUnit}, derived...)
	case s.Quantity() == desk.Duration:
		return []unit{msUnit, sUnit}
	}
	return nil
}

// unitWords lists the words of units.
func unitWords(units []unit) []string {
	words := make([]string, len(units))
	for i, u := range units {
		words[i] = u.Words()[u]
	}
	return slices.Clip(words)
}
