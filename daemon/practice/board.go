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

	squeeze squeeze // of a group; the others have none
}

func (s strip) gain() gain {
	if s.muted {
		return closed
	}
	return stepGain(s.step)
}

// board is every strip of the desk as it stands now. The zero value is not
// ready; newBoard is the desk with every fader at its mark.
type board [4][]strip

func newBoard() *board {
	var b board
	b[Inputs] = make([]strip, len(seats))
	b[DCAs] = make([]strip, len(dcaNames))
	b[Groups] = make([]strip, len(groupNames))
	b[Main] = make([]strip, 1)
	for i, s := range seats {
		b[Inputs][i].wanted, b[Inputs][i].direct = s.mark, s.main
	}
	for i, s := range squeezes {
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
		if s.direct != seats[i].main {
			about = append(about, Topic{InputMain, i})
		}
	}
	return about
}

// through is what input i's fader and its DCA do to it together.
func (b *board) through(i int) gain {
	g := b[Inputs][i].gain()
	if d := seats[i].dca; d != none {
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
