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
type timetable struct {
	asks []oscmap.Ask
	due  []dueAsk // one for each ask
}

type dueAsk struct {
	once bool          // at the next opportunity, whatever else it waits for
	next time.Duration // for Every
	last time.Duration // when it was last sent, for AfterSilence
}

// newTimetable begins on a connection just made. Again is true if there was one
// before, and the desk may have forgotten what it was asked.
func newTimetable(asks []oscmap.Ask, now time.Duration, again bool) *timetable {
	t := &timetable{asks: asks, due: make([]dueAsk, len(asks))}
	for i, a := range asks {
		t.due[i] = dueAsk{once: a.OnConnect || again && a.OnReturn, next: never, last: now}
		if a.Every > 0 {
			t.due[i].next = now
		}
	}
	return t
}

// greet makes due what a desk that is heard again is owed.
func (t *timetable) greet(owed greeting) {
	for i, a := range t.asks {
		if owed >= owedReturn && a.OnReturn || owed == owedAll && a.OnConnect {
			t.due[i].once = true
		}
	}
}

// knock makes due what opens a connection: the desk may not have been there.
func (t *timetable) knock() {
	for i, a := range t.asks {
		t.due[i].once = t.due[i].once || a.OnConnect
	}
}

// ripe appends the asks to send now, in the order of the map, and counts them
// as sent. Heard is when the desk was last heard.
func (t *timetable) ripe(dst []oscmap.Ask, now, heard time.Duration) []oscmap.Ask {
	for i, a := range t.asks {
		d := &t.due[i]
		if !d.once && now < d.next && now < t.silence(i, heard) {
			continue
		}
		if a.Every > 0 && now >= d.next {
			// Keep to the beat, unless beats were missed altogether.
			if d.next += a.Every; d.next <= now {
				d.next = now + a.Every
			}
		}
		d.once, d.last = false, now
		dst = append(dst, a)
	}
	return dst
}

// wake is when something may next be due.
func (t *timetable) wake(heard time.Duration) time.Duration {
	at := never
	for i := range t.asks {
		if t.due[i].once {
			return 0
		}
		at = min(at, t.due[i].next, t.silence(i, heard))
	}
	return at
}

// silence is when ask i is due for want of an answer: that long after the desk
// was heard, or after it was last asked in vain.
func (t *timetable) silence(i int, heard time.Duration) time.Duration {
	if t.asks[i].AfterSilence <= 0 {
		return never
	}
	return max(heard, t.due[i].last) + t.asks[i].AfterSilence
}
