package rules

import (
	"slices"

	"pawl/rules/desk"
)

// mostParts is more than any service has.
const mostParts = 200

// OrderPart is one part of the running order as it is for this service.
type OrderPart struct {
	Number  int              `json:"number"` // that presses about it give; it keeps it wherever it goes
	Name    string           `json:"name"`
	Kind    desk.SegmentKind `json:"kind"`
	Primary *desk.Who        `json:"primary"` // the instrument that carries it; null if none is named
	Now     bool             `json:"now"`     // it is on
	Next    bool             `json:"next"`    // it comes next
}

// takeHouse makes the order that of the house file. No number is given twice.
func (s *segments) takeHouse() {
	s.order, s.parts = slices.Clone(s.house), make([]int, len(s.house))
	for i := range s.parts {
		s.newest++
		s.parts[i] = s.newest
	}
}

// edits reports whether a press changes the running order.
func edits(d Do) bool {
	return slices.Contains([]Do{OrderAdd, OrderRemove, OrderMove, OrderRename, OrderKind, OrderReset}, d)
}

// refusesEdit says why the order cannot be changed so, or nil.
func (s *segments) refusesEdit(p Press) error {
	at := slices.Index(s.parts, p.Number)
	switch {
	case p.Do == OrderAdd && len(s.order) >= mostParts:
		return ErrFull
	case p.Do != OrderAdd && p.Do != OrderReset && at < 0:
		return ErrNoPart
	}
	if i, found := s.find(p.Text); found && (p.Do == OrderAdd || p.Do == OrderRename && i != at) {
		return ErrTaken
	}
	return nil
}

// edit changes the running order, for this service only, and reports whether the segment
// that is on is thereby another than it was said to be.
func (s *segments) edit(p Press) (changed bool) {
	at, before := slices.Index(s.parts, p.Number), slices.Clone(s.parts)
	here := at >= 0 && s.now.Part == at+1
	switch p.Do {
	case OrderAdd:
		s.newest++
		s.put(s.newest, desk.Planned{Name: p.Text, Kind: p.Kind}, p.Place)
	case OrderRemove:
		s.take(at)
	case OrderMove:
		s.put(p.Number, s.take(at), p.Place)
	case OrderRename:
		changed = here && s.now.Name != p.Text
		s.order[at].Name = p.Text
		if here {
			s.now.Name = p.Text
		}
	case OrderKind:
		changed = here && s.now.Kind != p.Kind
		s.order[at].Kind = p.Kind
		if here {
			s.now.Kind, s.own, s.over = p.Kind, p.Kind, run{}
		}
	case OrderReset:
		s.takeHouse()
		s.now.Part, s.reached, s.tapped = 0, 0, nil
		return false
	}
	s.follows(before)
	return changed
}

// put puts a part at a place from 1; 0, or one beyond the end, is the end.
func (s *segments) put(number int, part desk.Planned, place int) {
	if place == 0 || place > len(s.order) {
		place = len(s.order) + 1
	}
	s.order, s.parts = slices.Insert(s.order, place-1, part), slices.Insert(s.parts, place-1, number)
}

func (s *segments) take(at int) desk.Planned {
	part := s.order[at]
	s.order, s.parts = slices.Delete(s.order, at, at+1), slices.Delete(s.parts, at, at+1)
	return part
}

// follows finds the part that is on, and the one after which the next comes, where they
// are now. Of one that was taken out the one before stands for where it was.
func (s *segments) follows(before []int) {
	s.now.Part, s.reached = s.placeOf(before, s.now.Part), s.after(before, s.reached)
	if b := s.tapped; b != nil {
		b.now.Part, b.reached = s.placeOf(before, b.now.Part), s.after(before, b.reached)
	}
}

// placeOf is where the part is that was at a place; 0 for nowhere.
func (s *segments) placeOf(before []int, place int) int {
	if place == 0 {
		return 0
	}
	return slices.Index(s.parts, before[place-1]) + 1
}

// after is placeOf, or that of the nearest one before it that is still there.
func (s *segments) after(before []int, place int) int {
	for ; place > 0; place-- {
		if now := s.placeOf(before, place); now > 0 {
			return now
		}
	}
	return 0
}

// edited reports whether the order is another than that of the house file.
func (s *segments) edited() bool {
	return !slices.EqualFunc(s.order, s.house, func(a, b desk.Planned) bool { return a.Name == b.Name && a.Kind == b.Kind })
}

// orderParts is the running order for whoever looks at it.
func (s *segments) orderParts(who func(input int) desk.Who) []OrderPart {
	all := make([]OrderPart, len(s.order))
	for i, p := range s.order {
		all[i] = OrderPart{Number: s.parts[i], Name: p.Name, Kind: p.Kind, Now: s.now.Part == i+1, Next: s.reached == i}
		if p.Primary != nil {
			primary := who(*p.Primary)
			all[i].Primary = &primary
		}
	}
	return all
}
