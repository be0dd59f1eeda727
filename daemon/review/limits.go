package review

import (
	"time"

	"pawl/rules"
	"pawl/rules/desk"
)

// Limits are the numbers that the definitions of figures name.
type Limits struct {
	WindowLow  desk.DB       // a group's median reduction, from this
	WindowHigh desk.DB       // to this, is in its window
	Back       desk.DB       // a ratchet is taken back when the faders add no more than this
	Follow     time.Duration // what comes so soon after a card follows it
	Buys       time.Duration // what a raise bought is asked so long after it
	Least      time.Duration // of music, for a figure that is by its length
	Trend      int           // values that a trend wants before it says more than what they are
}

// DefaultLimits are those that a review goes by. The window is the 1 to 3 dB that are
// plenty on a group, of which the upper is the limit of the rule squeezed-group.
func DefaultLimits() Limits {
	l := rules.DefaultLimits()
	return Limits{
		WindowLow: 1, WindowHigh: l.SqueezedGroup.Whisper, Back: l.Ratchet.Eased,
		Follow: 2 * time.Minute, Buys: 2 * time.Minute, Least: 10 * time.Minute, Trend: 4,
	}
}
