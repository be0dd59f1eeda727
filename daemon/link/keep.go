package link

import (
	"context"
	"errors"
	"net/netip"
	"syscall"
	"time"

	"pawl/oscmap"
)

// maxKnock is the longest between two attempts to open a desk that is not
// heard, in daemon time.
const maxKnock = time.Minute

// errSilent ends a TCP connection over which nothing comes.
var errSilent = errors.New("nothing comes over the connection")

// keeper does whatever on a connection has its time: it asks, notices silence,
// and knocks again. It runs in the goroutine that called Run.
type keeper struct {
	link  *Link
	out   outlet
	times *timetable // nil until there is anybody to ask
	began time.Duration

	// broken receives the reader's error, once. Nil if the connection cannot
	// break.
	broken <-chan error

	// patience is the silence after which the connection is given up. Zero is
	// never.
	patience time.Duration

	// lookups looks the desk up. Nil if its address is known.
	lookups *lookups

	knockAt time.Duration
	pause   time.Duration // between the next two knocks
	ripe    []oscmap.Ask  // kept between turns
}

// run returns nil when ctx ended, and otherwise why the connection did.
func (k *keeper) run(ctx context.Context) error {
	l := k.link
	k.began, k.pause = l.clock.Now(), l.opts.StaleAfter
	k.knockAt = k.began + k.pause
	k.lookups.ask()
	timer := time.NewTimer(0)
	defer timer.Stop()
	for {
		wake, err := k.turn(l.clock.Now())
		if err != nil {
			return err
		}
		// The clock is read again, because sending may have taken time.
		timer.Reset(l.clock.Real(wake - l.clock.Now()))
		select {
		case <-ctx.Done():
			return nil
		case err := <-k.broken:
			return err
		case addrs := <-k.lookups.found():
			if to, moved := l.moveTo(addrs); moved {
				k.meet(to)
			}
		case <-l.back:
		case <-timer.C:
		}
	}
}

// meet begins to ask at an address, from now on.
func (k *keeper) meet(to netip.AddrPort) {
	again := k.times != nil
	k.out.to = to
	k.times = k.link.timetable(again)
}

// timetable begins one that starts now.
func (l *Link) timetable(again bool) *timetable {
	return newTimetable(l.opts.Asks, l.clock.Now(), again, paceOf(l.opts.Asks, l.clock))
}

// turn does what is due and says when the next turn is.
func (k *keeper) turn(now time.Duration) (wake time.Duration, err error) {
	l := k.link
	l.noticeSilence(now)
	heard, hearing := l.lastHeard()
	// The desk may last have been heard over the connection before this one.
	if k.patience > 0 && now-max(heard, k.began) >= k.patience {
		return 0, errSilent
	}
	k.knock(now, heard, hearing)
	wake = k.knockAt
	if k.patience > 0 {
		wake = max(heard, k.began) + k.patience
	}
	if stale := heard + l.opts.StaleAfter; stale > now {
		wake = min(wake, stale)
	}
	if k.times == nil {
		return wake, nil
	}
	// Before ripe, so that a desk that came back is asked in this very turn.
	k.times.greet(now, l.takeOwed())
	k.ripe = k.times.ripe(k.ripe[:0], now, heard)
	for _, a := range k.ripe {
		if err := k.ask(a); err != nil {
			return 0, err
		}
	}
	return min(wake, k.times.wake(heard)), nil
}

// knock tries the opening asks again on a desk that is not heard: it may have
// been off when they were sent, and an ask that a map lists for connecting only
// would otherwise never reach it. Less and less often, down to once a minute. A
// stream needs none of this, for it is connected again.
func (k *keeper) knock(now, heard time.Duration, hearing bool) {
	if hearing {
		k.pause, k.knockAt = k.link.opts.StaleAfter, heard+k.link.opts.StaleAfter
		return
	}
	if now < k.knockAt {
		return
	}
	k.lookups.ask()
	if k.times != nil && k.patience == 0 {
		k.times.knock(now)
	}
	// Twice as long each time: a desk that is off until Sunday is not worth more, and
	// a port that is closed answers each knock with an error.
	k.pause = min(2*k.pause, max(maxKnock, k.link.opts.StaleAfter))
	k.knockAt = now + k.pause
}

// ask sends one ask. An error means that the connection is broken; trouble on
// the way of a datagram is noted only.
func (k *keeper) ask(a oscmap.Ask) error {
	err := k.out.send(a)
	if k.out.stream == nil && errors.Is(err, syscall.ECONNREFUSED) {
		// That was the answer to an ask before this one. It is delivered in
		// place of sending, and only once.
		k.link.note(problemOf(err, k.out.to))
		err = k.out.send(a)
	}
	k.link.asked(err)
	if err == nil {
		return nil
	}
	if k.out.stream != nil {
		return err // a stream that failed once has lost bytes, and its frames with them
	}
	k.link.note(problemOf(err, k.out.to))
	return nil
}
