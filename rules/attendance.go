package rules

import "time"

// attendance is when the desk was heard, and how long in all it was not.
type attendance struct {
	heard time.Duration // when the last packet came
	gone  bool          // it counts as quiet, and that was said
	away  time.Duration // how long it has been quiet before now
}

// hear takes that a packet came, and gives how long the desk was away if it was.
func (a *attendance) hear(at, stale time.Duration) (away time.Duration, was bool) {
	quiet := at - a.heard
	a.heard = at
	if stale > 0 && quiet > stale {
		a.away += quiet - stale
	}
	was, a.gone = a.gone, false
	return quiet, was
}

// goneBy reports, once, that the desk has been quiet for too long.
func (a *attendance) goneBy(at, stale time.Duration) bool {
	if stale <= 0 || a.gone || at-a.heard <= stale {
		return false
	}
	a.gone = true
	return true
}

// watched is how long the desk has been heard in all.
func (a *attendance) watched(at, stale time.Duration) time.Duration {
	if quiet := at - a.heard; stale > 0 && quiet > stale {
		at -= quiet - stale
	}
	return at - a.away
}
