package rules

import (
	"cmp"
	"slices"
	"time"

	"pawl/rules/desk"
)

// Screen is what the operator is shown of all that is open: at most one card and
// one line.
type Screen struct {
	Card, Line int // numbers of findings, 0 for none

	// Held says of everything else that is open why it is not shown, by number, until the
	// screen is chosen anew.
	Held map[int]HeldBack
}

// HeldBack is why a finding is not shown. It is found anew at every beat, and gets its figures
// only where it is told.
type HeldBack struct {
	why Phrase
	ago time.Duration // of what was shown, for what says so
}

func (h HeldBack) phrase(l CalmLimits) Phrase {
	p := h.why
	switch p.ID {
	case "held.budget":
		p.Figures = Figures{Number("most", l.Most), Time("every", l.Every)}
	case "held.burst":
		p.Figures = Figures{Number("times", l.Burst-1), Time("within", l.BurstIn)}
	case "held.again":
		p.Figures = Figures{Time("ago", h.ago)}
	}
	return p
}

// Shows reports whether a finding is on the screen.
func (s Screen) Shows(number int) bool { return number != 0 && (s.Card == number || s.Line == number) }

// candidate is a finding that is open.
type candidate struct {
	number int
	rule   string
	about  []desk.Mover
	weight Weight
	size   desk.DB
	at     time.Duration // when it was last said
	absent bool          // it belongs to another kind of segment than this
}

// show is one finding that reached the screen.
type show struct {
	candidate               // as it was last shown
	since     time.Duration // when it came
	counts    bool          // against the budget: it was not a now when it came
	on        bool          // it is there
	left      time.Duration // when it went, unless on
	displaced bool          // it made room for another, and may come back at no cost
	seen      bool          // somebody pressed that it was
}

// past is what choosing needs to know of before.
type past struct {
	shows    []*show // the newest last; those long gone are forgotten
	saved    float64 // shows that may be made, to limits.Most; one more every limits.Every
	savedAt  time.Duration
	silenced map[string]time.Duration // by rule, until when
	hold     bool                     // the coach holds whispers and nudges
	order    []candidate              // choose's own, which is asked at every beat
	held     map[int]HeldBack         // likewise
	off      takenOff                 // by the newest press
}

// choose finds what belongs on the screen at this moment. It is a pure function of
// all that is open and of what was shown: what was held back comes when there is room
// and it still holds, and what weighs more takes the place of what weighs less.
func choose(at time.Duration, open []candidate, p *past, l CalmLimits) Screen {
	if p.held == nil {
		p.held = map[int]HeldBack{}
	}
	clear(p.held)
	s := Screen{Held: p.held}
	// Of what weighs the same the one that is on the screen stays until it was read, so
	// that nothing is taken from under anybody's eyes; then the one said last comes.
	p.order = append(p.order[:0], open...)
	slices.SortStableFunc(p.order, func(a, b candidate) int {
		return cmp.Or(cmp.Compare(b.weight, a.weight), cmp.Compare(p.rank(at, b, l), p.rank(at, a, l)), cmp.Compare(b.at, a.at))
	})
	spent := 0
	for _, c := range p.order {
		place := &s.Card
		if c.weight == Whisper {
			place = &s.Line
		}
		if why, barred := p.bar(at, c, l); barred {
			s.Held[c.number] = why
			continue
		}
		if *place != 0 {
			s.Held[c.number] = HeldBack{why: Say("held.room")}
			continue
		}
		if c.weight != Now && !p.find(c.number).paid() {
			if !p.affords(at, c.weight, spent, l) {
				s.Held[c.number] = HeldBack{why: Say("held.budget")}
				continue
			}
			spent++
		}
		*place = c.number
	}
	return s
}

// rank is 2 for what is on the screen, 1 for what made room for another, 0 for what
// would be new, and less for what was there for long enough to be read.
func (p *past) rank(at time.Duration, c candidate, l CalmLimits) int {
	switch s := p.find(c.number); {
	case !s.paid():
		return 0
	case c.weight != Now && s.stood(at) >= l.Read:
		return -1
	case s.on:
		return 2
	}
	return 1
}

// stood is for how long it was on the screen.
func (s *show) stood(at time.Duration) time.Duration {
	if s.on {
		return at - s.since
	}
	return s.left - s.since
}

// paid reports whether to show it costs nothing: it is there, or was and may come back. nil
// was never there.
func (s *show) paid() bool { return s != nil && (s.on || s.displaced) }

// bar says why a finding may not be shown even if there is room.
func (p *past) bar(at time.Duration, c candidate, l CalmLimits) (HeldBack, bool) {
	if c.absent {
		return HeldBack{why: Say("held.segment")}, true
	}
	if p.hold && c.weight != Now {
		return HeldBack{why: Say("held.coach")}, true
	}
	if until, ok := p.silenced[c.rule]; ok && at < until {
		return HeldBack{why: Say("held.not-now")}, true
	}
	own := p.find(c.number)
	if own.paid() {
		return HeldBack{}, false
	}
	if own != nil && c.at <= own.left {
		return HeldBack{why: Say("held.seen")}, true // it has not been said again since
	}
	if p.burst(at, c.rule, l) {
		return HeldBack{why: Say("held.burst")}, true
	}
	if s := p.before(at, c, l); s != nil {
		return HeldBack{Say("held.again"), at - s.since}, true
	}
	return HeldBack{}, false
}

func (p *past) burst(at time.Duration, rule string, l CalmLimits) bool {
	n := 0
	for _, s := range p.shows {
		if s.rule == rule && at-s.since < l.BurstIn {
			n++
		}
	}
	return n >= l.Burst-1
}

// before is an earlier show of the same rule about the same movers that left the
// screen too recently to repeat, unless things are worse now by limits.Worse. What cannot
// wait may be repeated at once unless somebody pressed that it was seen: a reader who is
// muted again three minutes later is heard by nobody again.
func (p *past) before(at time.Duration, c candidate, l CalmLimits) *show {
	for _, s := range p.shows {
		if c.weight == Now && !s.seen {
			continue
		}
		if s.rule == c.rule && (s.on || at-s.left < l.Reopen) && sameMovers(s.about, c.about) && !(c.size - s.size).Reaches(l.Worse) {
			return s
		}
	}
	return nil
}

// sameMovers reports whether one list holds the other, in any order: the same
// few faders with one more among them are still the same few.
func sameMovers(a, b []desk.Mover) bool {
	if len(a) > len(b) {
		a, b = b, a
	}
	for _, m := range a {
		if !slices.Contains(b, m) {
			return false
		}
	}
	return true
}

// affords reports whether the budget has a show left after as many as are spent at
// this moment, both within the last limits.Every and on average. What was shown
// cannot be unsaid, so the heaviest wins by keeping the last show for it: a whisper
// may not take that one.
func (p *past) affords(at time.Duration, w Weight, spent int, l CalmLimits) bool {
	n := spent
	if w == Whisper && l.Most > 1 {
		n++
	}
	left := p.savedBy(at, l) - float64(n)
	for _, s := range p.shows {
		if s.counts && at-s.since < l.Every {
			n++
		}
	}
	return n < l.Most && left >= 1
}

// savedBy is how many shows have been saved up by then.
func (p *past) savedBy(at time.Duration, l CalmLimits) float64 {
	return min(p.saved+float64(at-p.savedAt)/float64(l.Every), float64(l.Most))
}

// find is the latest show of a finding: one that was seen may be shown again.
func (p *past) find(number int) *show {
	for i := len(p.shows) - 1; i >= 0; i-- {
		if p.shows[i].number == number {
			return p.shows[i]
		}
	}
	return nil
}

// note makes what was chosen the past, and forgets what is too old to matter.
func (p *past) note(at time.Duration, open []candidate, s Screen, l CalmLimits) {
	for _, c := range open {
		old := p.find(c.number)
		switch on := s.Shows(c.number); {
		case on && old.paid():
			// It keeps the size at which it was worst: the same is news again only from there.
			size := max(c.size, old.size)
			old.candidate, old.size, old.on, old.displaced = c, size, true, false
		case on:
			if c.weight != Now {
				p.saved, p.savedAt = p.savedBy(at, l)-1, at
			}
			p.shows = append(p.shows, &show{candidate: c, since: at, counts: c.weight != Now, on: true})
		case old != nil && old.on:
			old.on, old.left, old.displaced = false, at, true
		}
	}
	keep := max(l.Every, l.Reopen, l.BurstIn)
	p.shows = slices.DeleteFunc(p.shows, func(s *show) bool {
		return !s.on && at-s.left > keep && !slices.ContainsFunc(open, func(c candidate) bool { return c.number == s.number })
	})
}

// close takes a finding off the screen for good: it has eased, or was seen.
func (p *past) close(at time.Duration, number int, seen bool) {
	if s := p.find(number); s.paid() {
		s.on, s.displaced, s.left, s.seen = false, false, at, seen
	}
}

// takenOff is what a press took off the screen, to be brought back.
type takenOff struct {
	number int // 0 for none
	at     time.Duration
	rule   string
	until  time.Duration // when its rule was to be silent before; zero for not
}

// bringBackFor is how long a press may be taken back: a stray touch is noticed at once.
const bringBackFor = 10 * time.Second

// takeOff takes a finding off the screen because somebody pressed so, and keeps its rule
// silent for a while if that is not 0.
func (p *past) takeOff(at time.Duration, number int, silent time.Duration) {
	rule := p.find(number).rule
	p.off = takenOff{number, at, rule, p.silenced[rule]}
	p.close(at, number, true)
	if silent > 0 {
		p.silenced[rule] = at + silent
	}
}

// canBringBack reports whether a finding is the newest that was taken off, and freshly so.
func (p *past) canBringBack(at time.Duration, number int) bool {
	return number != 0 && number == p.off.number && at-p.off.at <= bringBackFor
}

// bringBack undoes the newest takeOff: the finding comes back as if it had made room for
// another, and so at no cost.
func (p *past) bringBack() {
	if s := p.find(p.off.number); s != nil {
		s.displaced, s.seen = true, false
	}
	delete(p.silenced, p.off.rule)
	if p.off.until > 0 {
		p.silenced[p.off.rule] = p.off.until
	}
	p.off = takenOff{}
}
