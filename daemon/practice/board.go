package practice

import "slices"

// strip is one fader and what stands beside it.
type strip struct {
	step   int
	muted  bool
	solo   bool // an input is listened to alone, in the headphones and not in the hall
	direct bool // an input feeds the main without a group between

	// wanted is where the hand last meant the fader to be. The fader stands at
	// the nearest step to it, and moves by so many dB start from here, so that
	// a raise and an equal lowering end on the same step.
	wanted gain

	squeeze squeeze // of a group, or of an input in a hall that has them; the others have none

	seat *seat // of an input
}

func (s strip) gain() gain {
	if s.muted {
		return closed
	}
	return stepGain(s.step)
}

// board is every strip of the desk as it stands now. The zero value is not
// ready; newBoard is a hall's desk with every fader at its mark.
type board [4][]strip

func newBoard(h *Hall) *board {
	var b board
	for bank := range b {
		b[bank] = make([]strip, h.Strips(Bank(bank)))
	}
	for i := range h.seats {
		s := &h.seats[i]
		b[Inputs][i] = strip{wanted: s.mark, direct: s.main, seat: s}
		if h.squeezed {
			b[Inputs][i].squeeze = inputSqueeze
		}
	}
	for i, s := range h.squeezes {
		b[Groups][i].squeeze = s
	}
	for _, bank := range b {
		for i := range bank {
			// A mark need not lie on a step, and a fader cannot stand between two.
			bank[i].step = nearestStep(travelTo(bank[i].wanted))
		}
	}
	return &b
}

// unusual lists the switches that a desk tells only while they are not as they
// usually are: solos, and inputs that feed the main or do not against their seat.
func (b *board) unusual() (about []Topic) {
	for i, s := range b[Inputs] {
		if s.solo {
			about = append(about, Topic{InputSolo, i})
		}
		if s.direct != s.seat.main {
			about = append(about, Topic{InputMain, i})
		}
	}
	return about
}

// through is what input i's fader and its DCA do to it together.
func (b *board) through(i int) gain {
	g := b[Inputs][i].gain()
	if d := b[Inputs][i].seat.dca; d != none {
		g += b[DCAs][d].gain()
	}
	return g
}

func (b *board) clone() *board {
	var c board
	for i, bank := range b {
		c[i] = slices.Clone(bank)
	}
	return &c
}

func (b *board) same(c *board) bool {
	return slices.EqualFunc(b[:], c[:], slices.Equal[[]strip])
}
