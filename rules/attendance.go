package rules

import (
	"slices"
	"time"

	"pawl/rules/desk"
)

// attendance is when the desk was heard, and how long in all it was not.
//
// Where the map says how long a desk may be quiet (stale-after), one that is quiet for longer
// is not heard. Where it does not, a desk that tells levels is not heard while these stay
// away for longer than a few of their own intervals, and counts as quiet once nothing has
// come for as long as the page waits. A desk without meters tells nothing between two moves,
// and one that tells its levels only when they change nothing while nobody plays: that
// either is silent means nothing, and time passes.
type attendance struct {
	stale  time.Duration // by the map; 0 if it does not say
	steady bool          // the desk tells levels

	heard time.Duration // when the last packet came
	gone  bool          // it counts as quiet, and that was said
	pace  pace

	stands bool          // nothing is heard, so the clock stands
	stood  time.Duration // and showed this
	away   time.Duration // how long it has stood before now
	over   bool          // it stands for too long to go on from there, and that was said
}

// unsaid is how long a desk that tells levels may be quiet where its map does not say: the
// page calls it quiet by then.
const unsaid = 5 * time.Second

// hear takes that a packet came, and gives how long the desk was away if it was.
func (a *attendance) hear(at time.Duration) (away time.Duration, was bool) {
	quiet := at - a.heard
	a.heard = at
	if a.stale > 0 {
		a.goOn(at)
	}
	was, a.gone = a.gone, false
	return quiet, was
}

// meter takes that a level came.
func (a *attendance) meter(at time.Duration) {
	a.pace.take(at)
	if a.stale <= 0 {
		a.goOn(at)
	}
}

func (a *attendance) goOn(at time.Duration) {
	if a.stands {
		a.stands, a.over, a.away = false, false, at-a.stood
	}
}

// left reports, once, that nothing is heard for longer than anybody waits.
func (a *attendance) left(at, most time.Duration) bool {
	if a.over || !a.stands || at-a.heard <= most {
		return false
	}
	a.over = true
	return true
}

// beat looks at the desk at a beat, while somebody sounds or nobody, and reports, once,
// that it has been quiet for too long.
func (a *attendance) beat(at time.Duration, sounding bool) (gone bool) {
	silent, most := at-a.heard, a.stale
	missed := silent > most
	if a.stale <= 0 {
		if !a.steady {
			return false
		}
		most = unsaid
		missed = a.stands || sounding && a.pace.misses(at)
	}
	if missed && !a.stands {
		a.stood, a.stands = a.watched(at), true
	}
	gone = a.stands && silent > most && !a.gone
	a.gone = a.gone || gone
	return gone
}

// watched is how long the desk has been heard in all.
func (a *attendance) watched(at time.Duration) time.Duration {
	if a.stands {
		return a.stood
	}
	return at - a.away
}

// follow is the attendance by another house file.
func (a attendance) follow(o Options) attendance {
	a.stale, a.steady = o.Stale, o.Steady
	return a
}

// pace is how often a desk tells levels. The zero value has heard none.
type pace struct {
	begun bool
	last  time.Duration // when levels last came, the first of those that came together
	took  [32]time.Duration
	n     int // of which so many are of a desk
}

const (
	// oftenEnough is how many of the last intervals must be that long for it to be the
	// desk's way: a cable that is out for a while twice is not.
	oftenEnough = 3
	// fewOf is after how many of those the next is missed. Two may be lost on the way.
	fewOf = 4
	// leastMissed is for how long nothing is missed: a network may hold that much up.
	leastMissed = time.Second
)

// take takes that levels came. Those within a beat are one telling in several packets.
func (p *pace) take(at time.Duration) {
	switch took := at - p.last; {
	case !p.begun:
		p.begun, p.last = true, at
	case took >= desk.Beat:
		p.took[p.n%len(p.took)] = took
		p.n, p.last = p.n+1, at
	}
}

// misses reports whether levels have stayed away for longer than is this desk's way.
func (p *pace) misses(at time.Duration) bool {
	quiet := at - p.last
	return p.begun && quiet > leastMissed && quiet > p.patience()
}

func (p *pace) patience() time.Duration {
	n := min(p.n, len(p.took))
	if n < oftenEnough {
		return unsaid
	}
	took := p.took
	slices.Sort(took[:n])
	return fewOf * took[n-oftenEnough]
}
