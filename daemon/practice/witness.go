package practice

import (
	"slices"
	"time"
)

// Witness is one playing of a service as the desk itself knows it: what every
// microphone picked up, and how every fader stood. No packet and no meter lies
// between, so a judgement can be held against it. It is made by Watch and never
// changed; the zero value has seen nothing.
type Witness struct {
	hall  *Hall
	stage [][]level // what the microphones brought, one row each time they are told
	ticks []moment
}

// moment is the desk after one tick.
type moment struct {
	board  *board // shared by all ticks at which it was the same
	moving bool   // a hand was on some fader
	asleep bool
}

// Watch plays a service once.
func Watch(s *Script, seed uint64) *Witness {
	w := &Witness{hall: s.hall}
	p := newPerformance(s, seed, false)
	last := p.board.clone()
	for !p.over() {
		n := p.step()
		if !p.board.same(last) {
			last = p.board.clone()
		}
		w.ticks = append(w.ticks, moment{last, len(p.hands) > 0, n.asleep})
		if n.meters {
			w.stage = append(w.stage, append([]level(nil), p.needles.input...))
		}
	}
	if len(p.faults) > 0 {
		panic(p.faults[0].err) // a script that was read has none; what was added to it has
	}
	return w
}

// Mix is how every fader, switch and compressor of the desk was set at a moment.
type Mix struct{ board *board }

// Mix is how the desk was set just before a moment of the service. Before its
// beginning it is the first setting, after its end the last.
func (w *Witness) Mix(at time.Duration) Mix { return Mix{w.before(at).board} }

// SetAs reports whether the compressors of inputs and groups are set as in another mix.
func (m Mix) SetAs(o Mix) bool {
	same := func(a, b strip) bool { return a.squeeze == b.squeeze }
	return slices.EqualFunc(m.board[Inputs], o.board[Inputs], same) && slices.EqualFunc(m.board[Groups], o.board[Groups], same)
}

// Same reports whether every strip is as in another mix.
func (m Mix) Same(o Mix) bool { return m.board.same(o.board) }

// Blend is the desk with inputs and DCAs as in one mix, the inputs' compressors, which
// belong to what the stage sends, as in a second, groups with theirs as in a third, and
// the main as in a fourth.
func Blend(faders, stage, groups, main Mix) Mix {
	inputs := slices.Clone(faders.board[Inputs])
	for i := range inputs {
		inputs[i].squeeze = stage.board[Inputs][i].squeeze
	}
	return Mix{&board{Inputs: inputs, DCAs: faders.board[DCAs], Groups: groups.board[Groups], Main: main.board[Main]}}
}

// before is the desk after the last tick before a moment.
func (w *Witness) before(at time.Duration) moment {
	return w.ticks[min(max(ticksBefore(at)-1, 0), len(w.ticks)-1)]
}

// Steady reports whether the desk was on all through the time over before a moment,
// and no fader was on its way at the end of it.
func (w *Witness) Steady(at, over time.Duration) bool {
	end := min(ticksBefore(at), len(w.ticks))
	start := min(ticksBefore(max(at-over, 0)), end)
	asleep := slices.ContainsFunc(w.ticks[start:end], func(m moment) bool { return m.asleep })
	return !asleep && !w.before(at).moving
}

// Main is the level at the main, in dBFS: mean power over the time before a moment,
// of what the stage played then through a mix that need not be the one it went
// through. Meters that are told at the moment itself are not in it. With the mix
// that stood all the while it is the mean of what the desk's main meter showed.
func (w *Witness) Main(at, over time.Duration, through Mix) float64 {
	var sum power
	n := w.each(at, over, through, func(n *needles) { sum += n.main.power() })
	return float64((sum / power(n)).level())
}

// Heard is how many inputs were louder than a gate in dBFS, before the fader and in the
// mean power over the time before a moment, that a mix lets through.
func (w *Witness) Heard(at, over time.Duration, through Mix, gate float64) (count int) {
	sum := make([]power, w.hall.Strips(Inputs))
	n := w.each(at, over, through, func(n *needles) {
		for i, l := range n.ahead {
			sum[i] += l.power()
		}
	})
	for i := range sum {
		way := through.board[Inputs][i].direct
		if g := through.board[Inputs][i].seat.group; g != none {
			way = way || !through.board[Groups][g].muted
		}
		open := way && through.board.through(i) > closed
		if open && float64((sum[i]/power(n)).level()) > gate {
			count++
		}
	}
	return count
}

// Reduction is how far a group's compressor held back what the stage played in the
// time before a moment, in dB counted upwards: power in over power out, make-up
// apart. It is 0 for a group that nothing goes into.
func (w *Witness) Reduction(group int, at, over time.Duration, through Mix) float64 {
	var in, out power
	w.each(at, over, through, func(n *needles) {
		in += n.groupIn[group].power()
		out += n.groupIn[group].plus(-n.reduction[group]).power()
	})
	if in == 0 {
		return 0
	}
	return float64(in.level() - out.level())
}

// each calls f with the needles of every time at which meters are told, from over
// before a moment up to it, and gives how many those are.
func (w *Witness) each(at, over time.Duration, through Mix, f func(*needles)) (count int) {
	n := newNeedles(w.hall)
	end := min(metersBefore(at), len(w.stage))
	for i := min(metersBefore(max(at-over, 0)), end); i < end; i++ {
		copy(n.input, w.stage[i])
		n.sum(through.board)
		f(n)
		count++
	}
	return count
}

// ticksBefore is how many ticks of a service lie before a moment. In whole numbers: a
// tick more by rounding would be a meter more.
func ticksBefore(at time.Duration) int {
	return int((at*ticksPerSecond + time.Second - 1) / time.Second)
}

// metersBefore is how often meters are told before a moment.
func metersBefore(at time.Duration) int { return (ticksBefore(at) + meterTicks - 1) / meterTicks }
