package store

import (
	"fmt"
	"time"
)

// clock notices when the time of day is set while Pawl runs: a machine without a
// battery starts in the past and is put right once it finds the network. The run's own
// clock is not moved by that, and where it stood at 0 is corrected.
type clock struct {
	wall    func() time.Time
	started time.Time     // by the machine's steady clock
	at      time.Time     // the time of day then
	known   time.Duration // of the corrections that the record has
	said    string
}

// step is the least change that is no drift.
const step = time.Second

// shift is by how much the time of day was set since it was last asked and kept.
func (c *clock) shift() time.Duration {
	now, day := time.Now(), c.wall().Round(0)
	if c.started.IsZero() {
		c.started, c.at = now, day
	}
	if by := day.Sub(c.at) - now.Sub(c.started) - c.known; by >= step || by <= -step {
		return by.Round(time.Millisecond)
	}
	return 0
}

// kept says that the record has a correction.
func (c *clock) kept(by time.Duration) {
	if by == 0 {
		return
	}
	c.known += by
	way := "on"
	if by < 0 {
		way, by = "back", -by
	}
	c.said = fmt.Sprintf("the clock was put %s by %v; the times of this service follow it", way, by.Round(time.Second))
}

func (c *clock) remark() string { return c.said }
