package rules

import "pawl/rules/desk"

// handedOn is to whom a hand gave the tune: who is raised in the same movement in which a lead is
// lowered, each by as much as is heard. He has it until he is lowered, the lead comes up again,
// or another piece begins. The zero value has it with the lead.
type handedOn struct {
	raised, lowered desk.Move // the newest of a harmony, and of a lead
	given           bool
	segment         int
}

// heardMove is about the least move that is heard in a mix. Ours, as in creep.
const heardMove = desk.DB(1)

// take follows a move of a harmony or of a lead.
func (h *handedOn) take(m desk.Move, lead bool) {
	up := m.Kind == desk.Raise || m.Kind == desk.Return
	switch {
	case lead && up, h.given && m.Kind == desk.Lower && m.Mover == h.raised.Mover:
		*h = handedOn{segment: h.segment}
	case lead && m.Kind == desk.Lower && (-m.Net()).Reaches(heardMove):
		h.lowered = m
		h.meet()
	case !lead && !h.given && m.Kind == desk.Raise && m.Net().Reaches(heardMove):
		h.raised = m
		h.meet()
	}
}

// meet asks whether the newest raise and the newest lowering were one movement.
func (h *handedOn) meet() {
	h.given = h.given || h.raised.Kind != 0 && h.lowered.Kind != 0 && apart(h.raised, h.lowered) <= oneLift
}

// enter forgets it in another piece.
func (h *handedOn) enter(segment int) {
	if segment != h.segment {
		*h = handedOn{segment: segment}
	}
}

// has reports whether this input was given the tune.
func (h *handedOn) has(input int) bool { return h.given && h.raised.Mover == inputMover(input) }
