package link

import (
	"math"
	"time"

	"pawl/oscmap"
)

// never is a time that does not come.
const never = time.Duration(math.MaxInt64)

// timetable says which asks are due. It is arithmetic only: all times are
// daemon time, and the keeper brings them.
//
// Asks of one period are spread evenly over it, and asks that are due together
// go one after the other, the longest due first: a desk that answers one question
// at a time must be left the time to answer it.
type timetable struct {
	asks []oscmap.Ask
	due  []dueAsk // one for each ask
	pace pace
	free time.Duration // when the next ask may go
}

type dueAsk struct {
	once time.Duration // since when it is owed, whatever else it waits for; never if it is not
	next time.Duration // for Every
	last time.Duration // when it was last sent, for AfterSilence
}

// newTimetable begins on a connection just made. Again is true if there was one
// before, and the desk may have forgotten what it was asked. Everything that is
// asked every so often is asked once at the beginning.
func newTimetable(asks []oscmap.Ask, now time.Duration, again bool, p pace) *timetable {
	t := &timetable{asks: asks, due: make([]dueAsk, len(asks)), pace: p, free: now}
	of, nth := map[time.Duration]int{}, map[time.Duration]int{}
	for _, a := range asks {
		of[a.Every]++
	}
	for i, a := range asks {
		t.due[i] = dueAsk{once: never, next: never, last: now}
		if a.OnConnect || again && a.OnReturn || a.Every > 0 {
			t.due[i].once = now
		}
		if a.Every > 0 {
			share := float64(nth[a.Every]) / float64(of[a.Every])
			t.due[i].next = now + a.Every + time.Duration(share*float64(a.Every))
			nth[a.Every]++
		}
	}
	return t
}

// greet makes due what a desk that is heard again is owed.
func (t *timetable) greet(now time.Duration, owed greeting) {
	for i, a := range t.asks {
		if owed >= owedReturn && a.OnReturn || owed == owedAll && a.OnConnect {
			t.due[i].once = min(t.due[i].once, now)
		}
	}
}

// knock makes due what opens a connection: the desk may not have been there.
func (t *timetable) knock(now time.Duration) {
	for i, a := range t.asks {
		if a.OnConnect {
			t.due[i].once = min(t.due[i].once, now)
		}
	}
}

// ripe appends the asks to send now and counts them as sent. Heard is when the
// desk was last heard.
func (t *timetable) ripe(dst []oscmap.Ask, now, heard time.Duration) []oscmap.Ask {
	for {
		i, due := t.first(heard)
		goes := max(due, t.free, now-t.pace.late)
		if goes > now {
			return dst
		}
		t.free = goes + t.pace.gap
		t.due[i].sent(now, t.asks[i].Every)
		dst = append(dst, t.asks[i])
	}
}

// sent notes that an ask was sent. It keeps to its beat, and beats that were
// missed are not made up for.
func (d *dueAsk) sent(now, every time.Duration) {
	d.once, d.last = never, now
	if now >= d.next {
		// In whole periods, so that asks which were spread over one stay spread.
		d.next += ((now-d.next)/every + 1) * every
	}
}

// wake is when something may next be sent.
func (t *timetable) wake(heard time.Duration) time.Duration {
	_, due := t.first(heard)
	return max(due, t.free)
}

// first is the ask that has been due the longest or will be due the soonest, and
// when that is; of several the first in the map. It is never if there is none.
func (t *timetable) first(heard time.Duration) (ask int, due time.Duration) {
	// All are looked at each time. A heap would have to be put in order again at each
	// packet, since what waits for silence is put off by every one.
	due = never
	for i := range t.due {
		if at := min(t.due[i].once, t.due[i].next, t.unanswered(i, heard)); at < due {
			ask, due = i, at
		}
	}
	return ask, due
}

// unanswered is when ask i is due because nothing answers: that long after the desk
// was heard, or after it was last asked without an answer.
func (t *timetable) unanswered(i int, heard time.Duration) time.Duration {
	if t.asks[i].AfterSilence <= 0 {
		return never
	}
	return max(heard, t.due[i].last) + t.asks[i].AfterSilence
}
