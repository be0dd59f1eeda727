package review

import (
	"cmp"
	"slices"
	"time"

	"pawl/daemon/store"
	"pawl/rules"
	"pawl/rules/desk"
)

// course is a service on one clock: seconds since it began, by the time of day, whatever
// the runs that it was made of count from.
type course struct {
	*Material
	Options
	length  rules.Moment
	entries []entry
	pieces  []piece
	lives   []*life
	moves   []moved
	by      []*Judged // which limits each stretch was judged by
	unread  []unread  // in order of time
}

// entry is an entry with the stretch that it is of.
type entry struct {
	rules.Entry
	in int          // the stretch, from 0
	t  rules.Moment // since the service began
}

// piece is a span of one kind of segment.
type piece struct {
	rules.Parted
	from, until rules.Moment
}

// moved is a move with its times since the service began.
type moved struct {
	*rules.Moved
	in           int
	began, ended rules.Moment
}

func newCourse(m *Material, o Options) *course {
	c := &course{Material: m, Options: o.filled()}
	c.length = rules.Moment(max(m.Service.Ended.Sub(m.Service.Began), 0))
	for k := range m.Stretches {
		s := &m.Stretches[k]
		for _, e := range s.Entries {
			switch head := e.Head(); {
			case whole(e):
				c.entries = append(c.entries, entry{e, k, c.since(k, head.T)})
			case head.Entry != rules.SecondEntry:
				c.miss(k, store.Unread{What: store.UnreadEntry, From: head.T, Until: head.T, Count: 1, Kind: head.Entry})
			}
		}
		for _, u := range s.Unread {
			c.miss(k, u)
		}
	}
	slices.SortStableFunc(c.unread, func(a, b unread) int { return cmp.Compare(a.t, b.t) })
	c.judge()
	c.divide()
	c.live()
	for _, e := range c.entries {
		if m, ok := e.Entry.(*rules.Moved); ok && !m.First {
			c.moves = append(c.moves, moved{m, e.in, c.since(e.in, m.Began), c.since(e.in, m.Ended)})
		}
	}
	return c
}

// farthest is how far from a run's beginning a time may lie: no desk runs for longer.
const farthest = rules.Moment(20 * 365 * 24 * time.Hour)

// whole reports whether an entry is one that a review goes by. A file whose bytes were
// changed may still be read, with a word that is none or a time that no service has.
func whole(e rules.Entry) bool {
	within := func(times ...rules.Moment) bool {
		return !slices.ContainsFunc(times, func(t rules.Moment) bool { return t < -farthest || t > farthest })
	}
	if !within(e.Head().T) {
		return false
	}
	switch e := e.(type) {
	case *rules.Second:
		return false
	case *rules.Finding:
		return e.Weight != 0 && e.State != 0
	case *rules.Moved:
		return e.Kind != 0 && within(e.Began, e.Ended)
	case *rules.Linked:
		return within(e.Away)
	}
	return true
}

// since is a moment of a stretch on the service's clock.
func (c *course) since(stretch int, t rules.Moment) rules.Moment {
	s := &c.Stretches[stretch]
	return rules.Moment(s.Wall(t).Sub(c.Service.Began).Round(time.Millisecond))
}

func (c *course) when(t rules.Moment) When {
	return When{t, c.Service.Began.Add(time.Duration(t)).In(c.Zone)}
}

func (c *course) whenever(t *rules.Moment) *When {
	if t == nil {
		return nil
	}
	w := c.when(*t)
	return &w
}

// ends is when a stretch is over: the last ends with the service, because what is kept
// of the quiet after it is none of it.
func (c *course) ends(stretch int) rules.Moment {
	return min(c.since(stretch, c.Stretches[stretch].Until), c.length)
}

// divide makes the pieces: each until the next of its stretch. One that had begun before
// counts from where the stretch begins.
func (c *course) divide() {
	for k := range c.Stretches {
		s := &c.Stretches[k]
		first := len(c.pieces)
		begin := func(p *rules.Parted, at rules.Moment) {
			if n := len(c.pieces); n > first {
				c.pieces[n-1].until = at
			}
			c.pieces = append(c.pieces, piece{Parted: *p, from: at})
		}
		if s.Segment != nil {
			begin(s.Segment, c.since(k, s.From))
		}
		for _, e := range s.Entries {
			if p, ok := e.(*rules.Parted); ok && whole(e) {
				begin(p, c.since(k, p.T))
			}
		}
		if n := len(c.pieces); n > first {
			c.pieces[n-1].until = max(c.ends(k), c.pieces[n-1].from)
		}
	}
}

// lasted is how much of the service was of a kind.
func (c *course) lasted(kind desk.SegmentKind) (d rules.Moment) {
	for _, p := range c.pieces {
		if p.Kind == kind {
			d += p.until - p.from
		}
	}
	return d
}

// pieceAt is what went on at a moment; nil where nothing is known of it.
func (c *course) pieceAt(t rules.Moment) *piece {
	for i := len(c.pieces) - 1; i >= 0; i-- {
		if p := &c.pieces[i]; t >= p.from && t <= p.until {
			return p
		}
	}
	return nil
}

// music reports whether a moment is in music. A run without any segment is a desk of
// which nothing can be heard, where every rule speaks everywhere.
func (c *course) music(t rules.Moment) bool {
	p := c.pieceAt(t)
	return p != nil && p.Kind == desk.Music
}

// inService is the moves of the service itself: in a sound check a fader is up and down for
// reasons of its own.
func (c *course) inService(moves []Move) []Move {
	return slices.DeleteFunc(slices.Clone(moves), func(m Move) bool {
		p := c.pieceAt(m.Ended.T)
		return p != nil && p.Kind == desk.SoundCheck
	})
}

func (c *course) strips(stretch int) *store.Strips { return &c.Stretches[stretch].Run.Strips }
