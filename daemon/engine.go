package daemon

import (
	"time"

	"pawl/daemon/house"
	"pawl/oscmap"
	"pawl/oscmap/wire"
	"pawl/rules"
	"pawl/rules/desk"
)

// engine is the one path that every packet goes, live or from a capture: bytes to
// messages, messages to readings, readings to the judge. It owns all of the
// judging state and is used from one goroutine.
type engine struct {
	reader   wire.Reader
	hearer   *oscmap.Hearer
	judge    *rules.Judge
	readings []desk.Reading

	begun bool
	base  time.Duration // when the first packet came, on the caller's clock
	at    time.Duration // since then; never runs backwards

	levels bool   // asked of every judge
	known  *known // what the desk said of itself, or nil if nobody asks

	packets   uint64
	messages  uint64
	malformed map[wire.Reason]uint64
}

func newEngine(h *house.House) *engine { return newRecording(h, false) }

// newRecording is newEngine for somebody who takes the judge's levels, or not.
func newRecording(h *house.House, levels bool) *engine {
	return &engine{
		hearer: h.Map.NewHearer(), judge: rules.NewJudge(h.Roster, h.Limits, judging(h, levels)), levels: levels,
		malformed: map[wire.Reason]uint64{},
	}
}

func judging(h *house.House, levels bool) rules.Options {
	return rules.Options{Stale: h.Map.Link().StaleAfter, Steady: h.Map.TellsLevels(), Order: h.Order, Levels: levels}
}

// packet takes one packet that came at a time on the caller's clock. What is
// malformed in it is counted and dropped, and the rest is heard. The time at which
// it is judged is given back, because a packet that waited in a queue while time
// was let pass is judged later than it came.
func (e *engine) packet(at time.Duration, data []byte) time.Duration {
	if !e.begun {
		e.begun, e.base = true, at
	}
	e.at = max(e.at, at-e.base)
	e.packets++
	e.judge.Alive(e.at)
	e.reader.Reset(data)
	e.hearer.Packet()
	for e.reader.Next() {
		e.messages++
		before := len(e.readings)
		e.readings = e.hearer.Hear(e.readings, e.at, e.reader.Message())
		e.known.hear(e.readings[before:], e.reader.Bytes())
		if len(e.readings) >= atOnce {
			e.judgeReadings()
		}
	}
	e.judgeReadings()
	if n := e.reader.Skipped(); n > 0 {
		e.malformed[wire.UnknownTag] += uint64(n)
	}
	if reason, ok := e.reader.Err().(wire.Reason); ok {
		e.malformed[reason]++
	}
	return e.base + e.at
}

// atOnce is how many readings are gathered before they are judged. To read each one
// straight after it was written stalls the processor and made a bundle a tenth
// slower; to gather without bound would let one packet of patterns fill memory.
const atOnce = 256

func (e *engine) judgeReadings() {
	for i := range e.readings {
		e.judge.Hear(e.readings[i])
	}
	e.readings = e.readings[:0]
}

// advance lets time pass to at on the caller's clock. Before the first packet
// nothing passes: a service begins when the desk is heard.
func (e *engine) advance(at time.Duration) {
	if e.begun && at-e.base > e.at {
		e.at = at - e.base
		e.judge.Advance(e.at)
	}
}

// press takes a press at a time on the caller's clock, and gives the time that it
// counts as of. Before the desk was heard there is nothing to press about.
func (e *engine) press(at time.Duration, p rules.Press) (time.Duration, error) {
	if !e.begun {
		return 0, rules.ErrNotBegun
	}
	e.advance(at)
	return e.base + e.at, e.judge.Press(p)
}

// follow goes on by another house file of the same desk, at a time on the caller's
// clock, and gives the time that it counts as of.
func (e *engine) follow(at time.Duration, h *house.House) time.Duration {
	e.advance(at)
	e.hearer = h.Map.NewHearer()
	e.judge = e.judge.Follow(h.Name, h.Roster, h.Limits, judging(h, e.levels))
	return e.base + e.at
}

// next is when advance must be called though no packet comes, on the caller's
// clock, or false while the service has not begun.
func (e *engine) next() (time.Duration, bool) {
	return e.base + e.judge.Next(), e.begun
}
