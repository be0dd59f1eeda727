package link

import (
	"time"

	"pawl/oscmap"
)

// pace is how fast asks may follow one another. The zero value sends whatever is
// due at once.
type pace struct {
	gap  time.Duration // from one ask to the next
	late time.Duration // how much of a turn that comes too late may be made up for at once
}

const (
	// few asks at once are no burst.
	few = 4

	// usualGap is between asks that nothing else hurries: two hundred a second, at
	// which a desk of sixty-four inputs has told three things of each in a second.
	usualGap = 5 * time.Millisecond

	// spare is the part of the time in which nothing is asked, so that what was
	// held up can be caught up with.
	spare = 0.1

	// timerLate is how late on the wall a timer may be on a busy machine.
	timerLate = 2 * time.Millisecond
)

// paceOf is as slow as these asks allow: those that repeat need their share of
// the time. In a faster time a late timer has more to make up for.
func paceOf(asks []oscmap.Ask, c Clock) pace {
	if len(asks) <= few {
		return pace{}
	}
	perSecond := 0.0
	for _, a := range asks {
		if a.Every > 0 {
			perSecond += float64(time.Second) / float64(a.Every)
		}
	}
	// A timer that fires late has several asks due at once, which may go together: at
	// eight times the speed a late timer is late by eight times as much.
	p := pace{gap: usualGap, late: c.scale(timerLate)}
	if perSecond > 0 {
		p.gap = min(p.gap, time.Duration((1-spare)*float64(time.Second)/perSecond))
	}
	return p
}
