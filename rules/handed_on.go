package rules

import "pawl/rules/desk"

// handedOn is to whom a hand gave the tune: who is raised in the same movement in which a lead is
// lowered, each by as much as is heard, or who had sung a line of it alone when a lead was lowered that rested:
// whoever comes in then is to go under that one. He has it until he is lowered, the lead comes up again,
// or another piece begins. The zero value has it with the lead.
type handedOn struct {
	raised, lowered desk.Move // the newest of a harmony, and of a lead
	given           bool
	under           bool // and the lead that was lowered is to sing under it
	segment         int
	alone           int // the harmony that sang last with no lead and no other
	sung            run // since when, as watched
}

// follow takes to whom the hands give the tune, of leads and of those that belong with them.
func (h *handedOn) follow(v *desk.View, belongs func(v *desk.View, input int) bool) {
	h.enter(v.Segment.Number)
	for _, m := range v.Moves {
		switch i := m.Mover.Index; {
		case m.Mover.Strip != desk.StripInput:
		case v.Element(i) == desk.Lead:
			h.take(m, true)
		case belongs(v, i):
			h.take(m, false)
		}
	}
}

// hear takes a beat: who has the tune alone.
func (h *handedOn) hear(v *desk.View) {
	who, n, led := 0, 0, false
	for i := range v.Inputs() {
		switch {
		case !v.Sounds(i):
		case v.Element(i) == desk.Lead:
			led = true
		case aVoice(v.Input(i)) && harmonises(v, i):
			who, n = i, n+1
		}
	}
	if led || n > 1 || n == 1 && who != h.alone {
		h.alone, h.sung = who, run{}
	}
	h.sung.take(v.Watched, !led && n == 1, phraseLong)
}

// harmonises reports whether an input is a harmony of anyone who may lead.
func harmonises(v *desk.View, input int) bool {
	for lead := range v.Inputs() {
		if v.Element(lead) == desk.Lead && isHarmony(v, input, lead) {
			return true
		}
	}
	return false
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
		if h.lowered = m; h.sung.going && h.sung.last-h.sung.since > phraseLong {
			h.raised, h.given, h.under = desk.Move{Mover: inputMover(h.alone)}, true, true
		}
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

// isOver reports whether the lead is to sing under this input.
func (h *handedOn) isOver(input int) bool { return h.under && h.has(input) }
