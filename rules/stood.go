package rules

import "pawl/rules/desk"

// stood is what raises gain nothing by going over again: where each mover stood before
// its last lowering in this segment. A descent in several strokes is one lowering.
type stood map[desk.Mover]descent

type descent struct {
	from desk.DB
	on   bool // nothing has gone up again since
}

// counts fills in what a move adds, which for a raise is how far it goes above where its
// mover stood at the mark or before its last lowering, however long ago that was; one that
// adds less than counts as a move is a return.
func (s stood) counts(m *desk.Move, mark desk.Mark, least desk.DB) {
	was, lowered := s[m.Mover]
	switch m.Kind {
	case desk.Scene, desk.Reroute:
		clear(s)
	case desk.GainSet:
		if lowered {
			was.from -= m.Gain
			s[m.Mover] = was
		}
	case desk.Lower, desk.TakeOut:
		if !was.on {
			s[m.Mover] = descent{from: m.From, on: true}
		}
	case desk.BringIn:
		s.rise(m.Mover)
	case desk.Raise, desk.Return:
		from := m.From
		if lowered {
			from = max(from, was.from)
		}
		if mark.Set {
			from = max(from, mark.Base.Fader(m.Mover))
		}
		if m.Adds = max(m.To.Above(from), 0); !m.Adds.Reaches(least) {
			m.Kind = desk.Return
		}
		s.rise(m.Mover)
	}
}

// rise ends a descent.
func (s stood) rise(m desk.Mover) {
	if was, lowered := s[m]; lowered {
		was.on = false
		s[m] = was
	}
}
