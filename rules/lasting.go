package rules

import (
	"time"

	"pawl/rules/desk"
)

// lasting is a condition with patience: it holds once it has been so for a while, and
// no longer once it has not been so for a while. What flickers does neither. The zero
// value does not hold. Its times are those of desk.View.Watched.
type lasting struct {
	on    bool
	since time.Duration // when it began to be otherwise than on says, or never
	begun bool          // since means something
}

// holds takes whether it is so at this moment.
func (l *lasting) holds(at time.Duration, so bool, begin, end time.Duration) bool {
	if so == l.on {
		l.begun = false
		return l.on
	}
	if !l.begun {
		l.begun, l.since = true, at
	}
	patience := begin
	if l.on {
		patience = end
	}
	if at-l.since >= patience {
		l.on, l.begun = so, false
	}
	return l.on
}

// over is holds of a quantity with hysteresis: it begins at on and ends below off.
func (l *lasting) over(at time.Duration, value, on, off desk.DB, begin, end time.Duration) bool {
	limit := on
	if l.on {
		limit = off
	}
	return l.holds(at, value.Reaches(limit), begin, end)
}
