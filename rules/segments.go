package rules

import (
	"maps"
	"reflect"
	"strings"
	"time"

	"pawl/rules/desk"
)

// segments is which part of the service this is. A tap is believed before a scene of
// the running order, and a scene before what is heard: that changes only the kind of a
// part that somebody named, until it is over. All times but Since are as watched.
type segments struct {
	limits SegmentLimits
	order  desk.Order
	house  desk.Order // the order as the house file has it
	parts  []int      // by place: the number of each part, which it keeps wherever it goes
	newest int        // the highest of these that was given

	now     desk.Segment
	own     desk.SegmentKind // what a tap or the order says it is; AnyKind if nobody did
	numbers int              // the highest that was given
	reached int              // the last part of the order that began, counted from 1

	hearing hearing
	over    run // something of another kind than its own is heard

	tapped *beforeTap // what the newest tap ended; nil if this segment began otherwise

	scened bool // a scene was heard of, and which
	scene  float64
}

// beforeTap is what was so before a tap, so that the tap can be taken back.
type beforeTap struct {
	at       time.Duration
	now      desk.Segment
	own      desk.SegmentKind
	reached  int
	heard    [sounds]run
	silenced map[string]time.Duration
}

func newSegments(l SegmentLimits, r desk.Roster, o desk.Order) segments {
	s := segments{limits: l, house: o, now: desk.Segment{Number: 1}, numbers: 1, hearing: hearing{are: sources(r.Inputs)}}
	s.takeHouse()
	return s
}

// follow is the same part of the same service by another house file.
func (s *segments) follow(n segments) segments {
	was := *s
	was.limits, was.hearing.are, was.hearing.join, was.tapped = n.limits, n.hearing.are, joiners{}, nil
	if reflect.DeepEqual(was.house, n.house) {
		return was // and what was changed of it for this service stays
	}
	was.house = n.house
	was.takeHouse()
	was.reached = min(was.reached, len(was.order))
	i, found := was.find(s.now.Name)
	if !found || s.now.Part == 0 {
		was.now.Part, was.now.Primary, was.now.Elements = 0, nil, nil
		return was
	}
	p := was.planned(i)
	was.now.Part, was.now.Primary, was.now.Elements, was.reached = p.Part, p.Primary, p.Elements, p.Part
	return was
}

// tap begins the part that a press asks for.
func (s *segments) tap(p Press, at, watched time.Duration, silenced map[string]time.Duration) {
	next := desk.Segment{Kind: p.Kind, Name: p.Text}
	if i, found := s.find(p.Text); p.Next {
		next = s.planned(s.reached)
	} else if found {
		next = s.planned(i)
		if p.Kind != desk.AnyKind {
			next.Kind = p.Kind
		}
	}
	before := &beforeTap{watched, s.now, s.own, s.reached, s.hearing.heard, maps.Clone(silenced)}
	next.How = desk.Tapped
	s.begin(next, at)
	s.tapped = before
}

// refuses says why a press about segments cannot be taken, or nil.
func (s *segments) refuses(p Press, watched time.Duration) error {
	switch {
	case edits(p.Do):
		return s.refusesEdit(p)
	case p.Do == Back && !s.canUntap(watched):
		return ErrNoTap
	case p.Do == NewSegment && p.Next && len(s.order) == 0:
		return ErrNoOrder
	case p.Do == NewSegment && p.Next && s.reached >= len(s.order):
		return ErrNoNext
	}
	return nil
}

func (s *segments) canUntap(watched time.Duration) bool {
	return s.tapped != nil && watched-s.tapped.at <= s.limits.Back
}

// untap takes the newest tap back: what it ended goes on as though it had not been, and
// so does what was silenced for it.
func (s *segments) untap(silenced map[string]time.Duration) {
	b := s.tapped
	s.now, s.own, s.reached, s.over, s.tapped = b.now, b.own, b.reached, run{}, nil
	for k := range s.hearing.heard {
		if r := &s.hearing.heard[k]; r.since == b.heard[k].since {
			r.old = b.heard[k].old
		}
	}
	for rule, until := range b.silenced {
		silenced[rule] = max(until, silenced[rule])
	}
}

// recall takes the number of the desk's scene, and reports whether a part of the order
// began by it. A desk that repeats the number recalls nothing.
func (s *segments) recall(number float64, at, watched time.Duration) bool {
	if s.scened && s.scene == number {
		return false
	}
	s.scened, s.scene = true, number
	if t := s.tapped; t != nil && watched-t.at < s.limits.TapHolds {
		return false
	}
	for i, p := range s.order {
		if p.Scene != nil && float64(*p.Scene) == number && s.now.Part != i+1 {
			next := s.planned(i)
			next.How = desk.Recalled
			s.begin(next, at)
			return true
		}
	}
	return false
}

// listen looks at who plays, once a beat. It reports whether the kind changed, and
// whether with it another segment began.
func (s *segments) listen(v *desk.View) (changed, began bool) {
	so := s.hearing.take(v, s.limits)
	if s.now.Kind == desk.SoundCheck {
		return s.checkEnds(v)
	}
	s.over.take(v.Watched, so != desk.AnyKind && s.own != desk.AnyKind && so != s.own, s.limits.Break)
	if s.over.lasted(v.Watched) >= s.limits.Over {
		s.begin(desk.Segment{Kind: so, How: desk.Overheard, Sounding: v.At - s.over.lasted(v.Watched)}, v.At)
		return true, true
	}
	kind, lasts, ok := s.hearing.news(v.Watched, s.now.Kind, s.limits)
	if !ok {
		return false, false
	}
	if s.now.Name != "" || s.own != desk.AnyKind || s.now.Kind == desk.AnyKind {
		s.now.Kind, s.now.Sounding = kind, v.At-lasts
		return true, false
	}
	s.begin(desk.Segment{Kind: kind, How: desk.Overheard, Sounding: v.At - lasts}, v.At)
	return true, true
}

// begin makes next the segment. Of a kind that nobody said it is what it was, until
// something else is heard.
func (s *segments) begin(next desk.Segment, at time.Duration) {
	s.own = next.Kind
	if next.How == desk.Overheard {
		s.own = desk.AnyKind
	}
	if next.Kind == desk.AnyKind {
		next.Kind = s.now.Kind
	}
	s.numbers++
	next.Number, next.Since = s.numbers, at
	s.now, s.over, s.tapped = next, run{}, nil
	if next.Part != 0 {
		s.reached = next.Part
	}
	if next.How != desk.Overheard {
		s.now.Sounding = at
		s.hearing.discount()
	}
}

// planned is the part of the order at i, counted from 0, as a segment.
func (s *segments) planned(i int) desk.Segment {
	p := &s.order[i]
	return desk.Segment{Kind: p.Kind, Name: p.Name, Primary: p.Primary, Elements: p.Elements, Part: i + 1}
}

// find is the part of the order that has a name, in any case.
func (s *segments) find(name string) (i int, found bool) {
	for i, p := range s.order {
		if strings.EqualFold(p.Name, strings.TrimSpace(name)) {
			return i, true
		}
	}
	return 0, false
}

// next is the name of the part of the order that comes next, "" if none does.
func (s *segments) next() string {
	if s.reached < len(s.order) {
		return s.order[s.reached].Name
	}
	return ""
}
