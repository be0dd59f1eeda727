package link

import "time"

// Clock tells the daemon's time: how long it has been running, on a clock that
// no change of the wall clock can move. Everything in the daemon that waits
// (asks, staleness, the practice desk's script) waits on this clock, so that
// one number makes a scripted service pass faster. The zero value is not
// useful: set Started to time.Now(). It is a value, safe from any goroutine.
type Clock struct {
	// Started is when the daemon began, read with time.Now so that it carries
	// the monotonic clock.
	Started time.Time

	// Speed is how many seconds of daemon time pass in one on the wall. 0 (and
	// anything below) means 1.
	Speed float64
}

// Now is the daemon time since Started. It never runs backwards.
func (c Clock) Now() time.Duration { return c.scale(time.Since(c.Started)) }

// Wall is the time of day to write beside something that happened at the given
// daemon time. The time is not divided by Speed: a record of a service played
// at four times its speed shows the service's own pace.
func (c Clock) Wall(at time.Duration) time.Time { return c.Started.Add(at) }

// Real is how long d of daemon time takes on the wall, for timers.
func (c Clock) Real(d time.Duration) time.Duration {
	if c.Speed <= 0 || c.Speed == 1 {
		return d
	}
	return time.Duration(float64(d) / c.Speed)
}

// scale turns wall time into daemon time. At speed 1 it touches no floating
// point: a nanosecond lost to rounding would be a finding that replays
// differently.
func (c Clock) scale(d time.Duration) time.Duration {
	if c.Speed <= 0 || c.Speed == 1 {
		return d
	}
	return time.Duration(float64(d) * c.Speed)
}
