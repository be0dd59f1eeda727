package practice

// needles is what the desk's meters show at one instant.
type needles struct {
	input     []level // what the microphones bring, before all else
	ahead     []level // after the input's compressor, before its fader
	taken     []gain  // by the inputs' compressors, counted upwards
	groupIn   []level // before the group's compressor
	group     []level // after the group's fader
	reduction []gain  // counted upwards
	main      level   // after the main fader
}

func newNeedles(h *Hall) *needles {
	inputs, groups := h.Strips(Inputs), h.Strips(Groups)
	return &needles{
		input:     make([]level, inputs),
		ahead:     make([]level, inputs),
		taken:     make([]gain, inputs),
		groupIn:   make([]level, groups),
		group:     make([]level, groups),
		reduction: make([]gain, groups),
		main:      silent,
	}
}

// sum works out every meter behind the input meters, from those and the board.
func (n *needles) sum(b *board) {
	// Powers add, decibels and amplitudes of different players do not: they are not
	// in step with one another.
	var into [8]power
	var direct power
	for i, s := range b[Inputs] {
		n.taken[i] = s.squeeze.reduction(n.input[i])
		n.ahead[i] = n.input[i].plus(s.squeeze.makeUp - n.taken[i])
		p := n.ahead[i].plus(b.through(i)).power()
		if s.seat.group != none {
			into[s.seat.group] += p
		}
		if s.direct {
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
