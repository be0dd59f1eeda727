package practice

// needles is what the desk's meters show at one instant.
type needles struct {
	input     []level // before the fader
	groupIn   []level // before the group's compressor
	group     []level // after the group's fader
	reduction []gain  // counted upwards
	main      level   // after the main fader
}

func newNeedles() *needles {
	return &needles{
		input:     make([]level, len(seats)),
		groupIn:   make([]level, len(groupNames)),
		group:     make([]level, len(groupNames)),
		reduction: make([]gain, len(groupNames)),
		main:      silent,
	}
}

// sum works out every meter behind the input meters, from those and the board.
func (n *needles) sum(b *board) {
	// Powers add, decibels and amplitudes of different players do not: they are not
	// in step with one another.
	var into [8]power
	var direct power
	for i, s := range seats {
		p := n.input[i].plus(b.through(i)).power()
		if s.group != none {
			into[s.group] += p
		}
		if b[Inputs][i].direct {
			direct += p
		}
	}
	for g, strip := range b[Groups] {
		s := strip.squeeze
		// A group is squeezed by what goes into it and not by what comes out of its
		// fader, so a lowered group fader does not loosen it.
		in := into[g].level()
		n.groupIn[g] = in
		n.reduction[g] = s.reduction(in)
		n.group[g] = in.plus(s.makeUp - n.reduction[g]).plus(strip.gain())
		direct += n.group[g].power()
	}
	n.main = direct.level().plus(b[Main][0].gain())
}
