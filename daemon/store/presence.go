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

// attendance follows what is put as the writing does, but at once, and without asking
// the file: whoever puts may want to know whether a service goes on while the disk is
// at work.
type attendance struct {
	presence
	on   bool
	at   time.Duration // of what was put last
	run  Run
	runs bool // there was one
}

func (a *attendance) see(i *item) {
	switch {
	case i.what == aRun:
		a.newRun(i)
		return
	case !a.runs:
		return
	case a.on && a.over(i.at):
		a.on = false
	}
	a.at = max(a.at, i.at)
	a.presence.see(i.at, i.sound, i.hand)
	switch {
	case i.what == end && a.on:
		a.hand, a.resting, a.on = i.at, true, false
	case i.what == begin && !a.on:
		a.hand, a.resting, a.on = i.at, false, true
	case i.what == begin || i.what == end:
	default:
		_, begins := a.begun(i.at)
		a.on = a.on || begins
	}
}

func (a *attendance) newRun(i *item) {
	if !a.runs {
		a.presence, a.run = nobody(), i.run
	}
	by := a.run.Zero.Sub(i.run.Zero)
	a.sound, a.hand = max(a.sound+by, long), max(a.hand+by, long)
	a.on = a.on && a.run.House == i.run.House && !a.over(i.at)
	a.run, a.runs, a.at = i.run, true, i.at
}
