package desk

import "time"

// Reading is one value heard from the desk, already in the unit of its signal.
type Reading struct {
	// At is the time of arrival, counted from the first packet of the service.
	At time.Duration

	Signal Signal

	// Post marks an input.level or input.peak that the desk takes after the
	// fader. Everything else ignores it.
	Post bool

	// Index is which input, DCA or group, from 0. It is 0 for the main and for
	// other strips that are one of a kind.
	Index int

	// To is the DCA or group, from 0, of input.dca and input.group.
	To int

	// Value is in the unit of Signal.Quantity. Faders and levels may be minus
	// infinity; NaN and plus infinity never reach a Reading.
	Value float64

	// Text is the value of a name, and "" for all others.
	Text string
}

// Gain is the value of a fader or other gain.
func (r Reading) Gain() DB { return DB(r.Value) }

// Level is the value of a meter.
func (r Reading) Level() DBFS { return DBFS(r.Value) }

// On is the value of a switch.
func (r Reading) On() bool { return r.Value >= 0.5 }
