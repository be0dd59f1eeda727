package store

import "time"

// A service begins when within one minute something played and somebody moved something
// (a fader, a button, a scene), at the first of the two; it ends with the last second in
// which something played or was moved, once fifteen minutes have passed without either.
//
// Both follow from entries and levels alone, in their order, so that a replay has the
// services that were there live.
const (
	together = time.Minute
	silence  = 15 * time.Minute
)

// presence watches for the beginning and the end of services. Times are those of the
// run; long is before anything.
type presence struct {
	sound time.Duration // when something last played
	hand  time.Duration // when somebody last moved something

	// resting is after an end by hand, until the music that went on then has stopped
	// for as long as together: it would begin the next service at once.
	resting bool
}

// long is so far back that no service is near.
const long = -1000 * time.Hour

func nobody() presence { return presence{sound: long, hand: long} }

// see takes what happened at a time.
func (p *presence) see(at time.Duration, sound, hand bool) {
	if p.resting && at-p.sound > together {
		p.resting = false
	}
	if sound {
		p.sound = max(p.sound, at)
	}
	if hand {
		p.hand = max(p.hand, at)
	}
}

// heard is when something last happened.
func (p *presence) heard() time.Duration { return max(p.sound, p.hand) }

// begun reports whether a service begins now, and since when.
func (p *presence) begun(at time.Duration) (from time.Duration, ok bool) {
	from = min(p.sound, p.hand)
	return max(from, 0), !p.resting && at-from <= together
}

// over reports whether a service that goes on is over.
func (p *presence) over(at time.Duration) bool { return at-p.heard() >= silence }
