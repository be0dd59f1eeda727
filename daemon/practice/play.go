package practice

import (
	"iter"
	"time"
)

// Playing says how a script is to be played. The zero value plays it once.
type Playing struct {
	// Seed picks the players' small irregularities. The same seed gives the same bytes.
	Seed uint64

	// Loop plays the script over and over, for ever. One that does not say that
	// it loops is still played once: its raises would pile up.
	Loop bool

	// MeterEvery is after how many ticks, of a sixtieth of a second, meters are told
	// again; 0 is three.
	MeterEvery int

	// Hand, if there is one, is asked once a tick, at its time, what somebody beside the desk does
	// then: what a line of a script says after the time, or "". It is for those who answer the desk as it
	// plays. What is not understood, or cannot be done, is a fault of the caller's, and panics.
	Hand func(at time.Duration) string
}

// Play is the service as it reaches somebody who listens from the start: every
// packet with its time since the first. It begins with every value once, as
// after asking for all, and does so again when the desk comes back from a
// reboot. Times never run backwards. The caller may keep the packets.
func Play(s *Script, d Dialect, how Playing) iter.Seq2[time.Duration, []byte] {
	return func(yield func(time.Duration, []byte) bool) {
		p := newPerformance(s, how.Seed, how.Loop)
		p.besides = how.Hand
		if how.MeterEvery > 0 {
			p.meterTicks = int64(how.MeterEvery)
		}
		rounds, asked := d.(Asker)
		for n := int64(0); !p.over(); n++ {
			news := p.step()
			if news.asleep {
				continue
			}
			// An iterator that was told to stop must not yield again, and a dialect does
			// not know that it was.
			more := true
			say := func(packet []byte) { more = more && yield(tickTime(n), packet) }
			switch {
			case asked:
				news.due = rounds.Rota(n)
			case n == 0 || news.woke:
				news.due, news.meters = p.everything(), true
			}
			v := View{s.hall, p.board, p.needles}
			d.Tell(v, news.due, say)
			if news.meters {
				d.Meters(v, say)
			}
			if !more {
				return
			}
		}
	}
}
