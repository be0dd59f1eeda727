package practice

import (
	"fmt"
	"math"
	"time"
)

// A performance goes in ticks of a sixtieth of a second. Meters are told every
// third tick and moving faders every second, which are 20 and 30 times a second.
const (
	ticksPerSecond = 60
	meterTicks     = 3
	faderTicks     = 2
)

func ticksIn(d time.Duration) int64 {
	return int64(math.Ceil(d.Seconds() * ticksPerSecond))
}

func tickTime(n int64) time.Duration {
	return time.Duration(n) * time.Second / ticksPerSecond
}

// performance is one playing of a script: the stage, the board and the hands on
// it, as they are at one tick. It is used from one goroutine.
type performance struct {
	script *Script
	seed   uint64
	loop   bool

	meterTicks int64 // meters are told each time so many have passed

	besides func(at time.Duration) string // see Playing.Hand; nil if nobody does anything besides

	tick  int64 // the one that is next
	began int64 // the tick at which this time round began
	next  int   // the next cue

	board   *board
	needles *needles
	stage   []player
	spills  []spill
	hands   []hand

	asleepUntil int64   // the desk is off before this tick
	due         []Topic // what this tick has to tell: what changed, and what is repeated
	idle        int     // which idle fader is repeated next, for a desk that repeats

	faults []scriptFault
}

// hand is one fader on its way. Travel is what moves evenly under a hand, not dB.
type hand struct {
	knob       knob
	from, to   float64
	start, end int64
	how        manner
}

func newPerformance(s *Script, seed uint64, loop bool) *performance {
	p := &performance{script: s, seed: seed, loop: loop && s.Loops, meterTicks: meterTicks, board: newBoard(s.hall), needles: newNeedles(s.hall)}
	p.stage = make([]player, s.hall.Strips(Inputs))
	for i := range p.stage {
		p.stage[i].hall, p.stage[i].since = s.hall, never
	}
	return p
}

// over reports that the script has come to its end and does not loop.
func (p *performance) over() bool {
	return !p.loop && p.tick-p.began >= ticksIn(p.script.Length)
}

// news is what one tick has brought. The topics are valid until the next.
type news struct {
	due    []Topic // what changed, or is repeated
	meters bool    // the meters are due
	asleep bool    // the desk is off
	woke   bool    // the desk has just come back
}

// step does one tick: what the script says, what the hands do, and the meters
// when they are due.
func (p *performance) step() news {
	at := p.tick
	p.silentTick()
	n := news{due: p.due, meters: at%p.meterTicks == 0, asleep: at < p.asleepUntil}
	n.woke = at > 0 && at == p.asleepUntil
	// Sound is most of the work, so it is made only when its meters are told.
	if n.meters || n.woke {
		p.sound(at)
	}
	return n
}

// sound sets every meter.
func (p *performance) sound(tick int64) {
	for i := range p.stage {
		p.needles.input[i] = p.stage[i].level(p.seed, i, tick)
	}
	for _, s := range p.spills {
		in := &p.needles.input[s.into]
		*in = (in.power() + p.stage[s.of].sound(p.seed, s.of, tick).plus(s.by).power()).level()
	}
	for i := range p.needles.input {
		// A converter has nothing above full scale to give.
		p.needles.input[i] = min(p.needles.input[i], 0)
	}
	p.needles.sum(p.board)
}

// everything is what a desk tells whoever asks for all of it, but for meters.
func (p *performance) everything() []Topic {
	return append(p.script.hall.Settings(), p.board.unusual()...)
}

// sleep turns the desk off for so many ticks, from the next on.
func (p *performance) sleep(ticks int64) { p.asleepUntil = p.tick + ticks }

// silentTick does all of one tick that is not sound.
func (p *performance) silentTick() {
	p.due = p.due[:0]
	if p.loop && p.tick-p.began >= ticksIn(p.script.Length) {
		// The ticks go on, and with them what each player sounds like: a second
		// round is the same service played again, not the same packets.
		p.began, p.next = p.tick, 0
	}
	for p.next < len(p.script.cues) && p.began+ticksIn(p.script.cues[p.next].at) <= p.tick {
		c := p.script.cues[p.next]
		p.next++
		if err := c.act.do(p); err != nil {
			p.faults = append(p.faults, scriptFault{c.line, err})
		}
	}
	if p.besides != nil {
		if line := p.besides(tickTime(p.tick)); line != "" {
			p.obey(line)
		}
	}
	moving := p.hands[:0]
	for _, h := range p.hands {
		if p.follow(h) {
			moving = append(moving, h)
		}
	}
	p.hands = moving
	for i := range p.stage {
		p.stage[i].hurry(p.tick)
	}
	if p.script.style == repeated && p.tick%6 == 0 {
		p.repeatIdle()
	}
	p.tick++
}

// obey does what a line says.
func (p *performance) obey(line string) {
	words := newPhrase(p.script.hall, line)
	act, err := parseAction(words)
	if err == nil {
		err = words.end()
	}
	if err == nil {
		err = act.do(p)
	}
	if err != nil {
		panic(fmt.Sprintf("practice: %s: %v", line, err))
	}
}

// move puts a hand on a fader, from the tick start on.
func (p *performance) move(k knob, to gain, start int64, how manner) error {
	s := &p.board[k.bank][k.index]
	if top := throw[len(throw)-1].mark; to > top || to != closed && to < throw[1].mark {
		return fmt.Errorf("%s would go to %.1f dB; its travel ends at %v dB and %v dB", p.script.hall.named(k), float64(to), float64(throw[1].mark), float64(top))
	}
	for _, h := range p.hands {
		if h.knob == k {
			return fmt.Errorf("%s is still moving from the line before", p.script.hall.named(k))
		}
	}
	if how.style == 0 {
		how.style = p.script.style
	}
	s.wanted = to
	// From where it stands and not from where the last hand wanted it: the first
	// step of a move must not be a jump.
	p.hands = append(p.hands, hand{k, float64(s.step) / steps, travelTo(to), start, start + ticksIn(how.over), how})
	return nil
}

// follow moves the fader under a hand and reports whether the hand stays on it.
func (p *performance) follow(h hand) bool {
	done := p.tick >= h.end
	// The last step is told on its own tick, or a move would end up to a
	// thirtieth of a second late.
	if p.tick < h.start || !done && p.tick%faderTicks != 0 {
		return true
	}
	travel := h.to
	if !done {
		x := float64(p.tick-h.start) / float64(h.end-h.start)
		path := ease(x)
		if h.how.uneven {
			path = unevenly(x)
		}
		travel = min(max(h.from+(h.to-h.from)*path, 0), 1)
	}
	s := &p.board[h.knob.bank][h.knob.index]
	before := s.step
	s.step = nearestStep(travel)
	switch {
	case h.how.style == endOnly && !done:
	case h.how.style == inSteps && s.step == before:
	default:
		p.note(Topic{faderOf[h.knob.bank], h.knob.index})
	}
	return !done
}

// repeatIdle tells of one fader that nobody touched, each in its turn.
func (p *performance) repeatIdle() {
	n := p.idle
	p.idle++
	for b, strips := range p.board {
		if n < len(strips) {
			p.note(Topic{faderOf[b], n})
			return
		}
		n -= len(strips)
	}
	p.idle = 0
}

func (p *performance) note(t Topic) { p.due = append(p.due, t) }

// away lists whatever is not as it was before the first tick, in plain words.
func (p *performance) away() []string {
	var out []string
	hall := p.script.hall
	start := newBoard(hall)
	for b, strips := range p.board {
		for i, s := range strips {
			was, name := start[b][i], hall.named(knob{Bank(b), i})
			if a, b := s.squeeze.threshold, was.squeeze.threshold; a != b {
				out = append(out, fmt.Sprintf("the threshold of %s is at %v dBFS, not %v dBFS", name, a, b))
			}
			if a, b := s.squeeze.ratio, was.squeeze.ratio; a != b {
				out = append(out, fmt.Sprintf("the ratio of %s is %v:1, not %v:1", name, a, b))
			}
			if a, b := s.squeeze.makeUp, was.squeeze.makeUp; a != b {
				out = append(out, fmt.Sprintf("the make-up of %s is %v dB, not %v dB", name, float64(a), float64(b)))
			}
			if s.solo != was.solo || s.direct != was.direct {
				out = append(out, fmt.Sprintf("%s has a switch that is not as it was", name))
			}
			s.squeeze, s.solo, s.direct = was.squeeze, was.solo, was.direct
			if s != was {
				out = append(out, fmt.Sprintf("%s is at %.2f dB (muted %v), not %.2f dB",
					name, float64(s.wanted), s.muted, float64(was.wanted)))
			}
		}
	}
	for i, s := range p.stage {
		if s.playing {
			out = append(out, hall.seats[i].name+" still plays")
		}
		// Gains that were added and taken away leave a rounding, which nobody hears.
		if math.Abs(float64(s.lift.to)) > 1e-9 {
			out = append(out, fmt.Sprintf("%s is %+.1f dB on the stage", hall.seats[i].name, float64(s.lift.to)))
		}
		if math.Abs(float64(s.room.to)) > 1e-9 {
			out = append(out, fmt.Sprintf("the room is %+.1f dB at %s", float64(s.room.to), hall.seats[i].name))
		}
		if math.Abs(float64(s.pace.to)) > 1e-9 {
			out = append(out, fmt.Sprintf("%s plays %+.0f%% faster", hall.seats[i].name, float64(s.pace.to)))
		}
	}
	for _, s := range p.spills {
		if s.by != closed {
			out = append(out, fmt.Sprintf("%s bleeds into %s", hall.seats[s.of].name, hall.seats[s.into].name))
		}
	}
	if len(p.hands) > 0 {
		out = append(out, "a fader still moves")
	}
	return out
}
