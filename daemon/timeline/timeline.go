// Package timeline is one recorded service as a page draws it: what happened on one
// clock, and the curves of a span of it in as many points as the page is wide. It
// reads the record for that page and does what somebody asks of a service there.
//
// It judges nothing anew. What a service came to, in figures, is package review's.
package timeline

import (
	"cmp"
	"slices"

	"pawl/daemon/review"
	"pawl/daemon/store"
	"pawl/rules"
	"pawl/rules/desk"
	"pawl/rules/words"
)

// Timeline is one service as a page draws it, but for its curves. All its times, also
// those of its findings and their facts, are seconds since the service began.
type Timeline struct {
	Length   rules.Moment  `json:"length"`
	Segments []SegmentSpan `json:"segments"` // in order, without a hole between them
	Marks    []Measured    `json:"marks"`
	Gaps     []Gap         `json:"gaps"`
	Movers   []Staircase   `json:"movers"` // those that moved, the one with most moves first
	Still    []desk.Who    `json:"still"`  // the inputs that did not
	Groups   []Squeezed    `json:"groups"` // in the order of Curves.Squeeze
	Plenty   []Plenty      `json:"plenty"` // one, and another each time that the house's limits changed
	Told     []Told        `json:"told"`   // in the order in which they opened
}

// SegmentSpan is one segment of a service, from when it began until the next did.
type SegmentSpan struct {
	From   rules.Moment     `json:"from"`
	Until  rules.Moment     `json:"until"`
	Number int              `json:"number"` // within its run
	Kind   desk.SegmentKind `json:"kind"`   // "" for one of which nobody knew
	Name   string           `json:"name"`   // the house's own, or ""
	How    desk.Began       `json:"how"`
}

// Measured is a moment from which the figures are measured anew.
type Measured struct {
	T    rules.Moment `json:"t"`
	How  desk.How     `json:"how"`
	Says string       `json:"says"` // how it came to be, in a reader's language
}

// Gap is a time of which the record knows nothing: Pawl did not run, or the desk was
// away.
type Gap struct {
	From  rules.Moment `json:"from"`
	Until rules.Moment `json:"until"`
	Why   string       `json:"why" is:"desk,pawl"`
}

// Staircase is every move of one fader that counted, in order.
type Staircase struct {
	Who   desk.Who `json:"who"`
	Steps []Step   `json:"steps"`
}

// Step is one move: from rest to rest, with its exact times.
type Step struct {
	Began rules.Moment  `json:"began"`
	Ended rules.Moment  `json:"ended"`
	From  desk.DB       `json:"from_db"` // null for closed or muted
	To    desk.DB       `json:"to_db"`
	Kind  desk.MoveKind `json:"kind"`
}

// Squeezed is how hard one group's compressor worked over the whole service.
type Squeezed struct {
	Who   desk.Who `json:"who"`
	Known bool     `json:"known"`   // false if the desk never told; then the others are 0
	Most  desk.DB  `json:"most_db"` // the highest of its medians, upwards positive
	Over  float64  `json:"over"`    // share of the time that a median was known in which it was over Plenty
}

// Plenty is how much gain reduction on a group was enough from a moment on, by the limits of
// the house file of then: above it the rule about it begins to whisper.
type Plenty struct {
	From rules.Moment `json:"from"`
	Most desk.DB      `json:"most_db"`
}

// Told is one finding with its life.
type Told struct {
	Number int           `json:"number"` // in this timeline, from 1
	From   rules.Moment  `json:"from"`   // when it opened
	Until  *rules.Moment `json:"until"`  // when it eased; null if it was open to the end
	Said   rules.Finding `json:"said"`   // as it last opened or grew, with shown if it ever was
	Life   []Turn        `json:"life"`   // in order, from its opening
}

// Turn is one thing that happened to a finding.
type Turn struct {
	T    rules.Moment `json:"t"`
	What string       `json:"what" is:"open,grew,shown,held,eased,seen,not-now"`
	Says string       `json:"says"` // what it said then, in a reader's language; "" if nothing new

	said rules.Phrase // the same as facts
}

// In gives the timeline with the words of a reader's language. t itself is not changed.
func (t Timeline) In(s *words.Speaker) Timeline {
	t.Movers = each(t.Movers, func(m Staircase) Staircase { m.Who = s.Label(m.Who); return m })
	t.Still = each(t.Still, s.Label)
	t.Groups = each(t.Groups, func(g Squeezed) Squeezed { g.Who = s.Label(g.Who); return g })
	t.Told = each(t.Told, func(one Told) Told {
		one.Said = *s.Finding(&one.Said)
		one.Said.About = each(one.Said.About, s.Label)
		one.Life = each(one.Life, func(turn Turn) Turn { turn.Says = s.Say(turn.said); return turn })
		return one
	})
	t.Marks = each(t.Marks, func(m Measured) Measured { m.Says = s.Say(rules.Say("mark." + string(m.How))); return m })
	t.Segments, t.Gaps, t.Plenty = list(t.Segments), list(t.Gaps), list(t.Plenty)
	return t
}

// each is a new list of what f makes of every element; of none it is empty, which JSON
// tells from null.
func each[A, B any](of []A, f func(A) B) []B {
	out := make([]B, 0, len(of))
	for _, one := range of {
		out = append(out, f(one))
	}
	return out
}

func list[T any](of []T) []T { return each(of, func(one T) T { return one }) }

// drawn is a service read and put on one clock.
type drawn struct {
	Timeline
	seconds []second
}

// draw makes the timeline of a service. Stretches whose times of day run into one
// another, as when a clock was set back between them, are put end to end.
func draw(s store.Service, stretches []store.Stretch) drawn {
	d := drawn{}
	p := plot{drawn: &d, stairs: map[desk.Mover]int{}, groups: map[string]int{}, inputs: map[int]desk.Who{}}
	for i := range stretches {
		p.stretch(s, &stretches[i])
	}
	d.Length = max(p.end, rules.Moment(s.Ended.Sub(s.Began)))
	p.finish()
	return d
}

// plot puts the stretches of a service into its timeline, one after another.
type plot struct {
	*drawn
	end    rules.Moment // of what was put so far
	ahead  rules.Moment // from the run's clock to the service's
	open   map[int]int  // of this run: the place of each finding in Told, by its number
	stairs map[desk.Mover]int
	groups map[string]int
	inputs map[int]desk.Who
}

func (p *plot) stretch(s store.Service, one *store.Stretch) {
	p.ahead = rules.Moment(one.Wall(0).Sub(s.Began))
	if from := one.From + p.ahead; from < p.end || from < 0 {
		p.ahead += max(p.end, 0) - from
	}
	from, until := one.From+p.ahead, one.Until+p.ahead
	if from-p.end > gapOf {
		p.Gaps = append(p.Gaps, Gap{p.end, from, "pawl"})
	}
	p.open = map[int]int{}
	p.strips(one.Run.Strips)
	if most := review.WindowBy(one.Run.HouseText).High; len(p.Plenty) == 0 || p.Plenty[len(p.Plenty)-1].Most != most {
		p.Plenty = append(p.Plenty, Plenty{from, most})
	}
	goesOn := SegmentSpan{From: from, Number: 1}
	if e := one.Segment; e != nil {
		goesOn = SegmentSpan{From: from, Number: e.Number, Kind: e.Kind, Name: e.Name, How: e.How}
	}
	p.Segments = append(p.Segments, goesOn)
	for _, e := range one.Entries {
		p.entry(e)
	}
	p.levels(one)
	p.end = max(p.end, until)
}

// gapOf is how much longer than a second nothing may be known before that is said.
const gapOf = 5 * rules.Moment(1e9)

// strips notes who could have moved, and whose squeeze there may be.
func (p *plot) strips(s store.Strips) {
	for i, in := range s.Inputs {
		p.inputs[i] = desk.Who{Strip: desk.StripInput, Index: i, Name: in.Name}
	}
	for k, name := range s.Groups {
		if _, known := p.groups[name]; !known {
			p.groups[name] = len(p.Groups)
			p.Groups = append(p.Groups, Squeezed{Who: desk.Who{Strip: desk.StripGroup, Index: k, Name: name}})
		}
	}
}

// entry puts one thing that happened into its place.
func (p *plot) entry(e rules.Entry) {
	t := e.Head().T + p.ahead
	switch e := e.(type) {
	case *rules.Finding:
		p.finding(t, e)
	case *rules.Moved:
		p.move(e)
	case *rules.Marked:
		if e.Back {
			p.Marks = p.Marks[:max(len(p.Marks)-1, 0)]
			return
		}
		p.Marks = append(p.Marks, Measured{T: t, How: e.How})
	case *rules.Parted:
		p.parted(t, e)
	case *rules.Pressed:
		if i, known := p.open[e.Number]; known && (e.Do == rules.Seen || e.Do == rules.NotNow) {
			p.Told[i].Life = append(p.Told[i].Life, Turn{T: t, What: string(e.Do)})
		}
	case *rules.Linked:
		if e.Heard && e.Away > gapOf {
			p.Gaps = append(p.Gaps, Gap{max(0, t-e.Away), t, "desk"})
		}
	}
}

// parted begins another segment, says more of the newest, or goes back to an earlier
// one because what ended it was taken back.
func (p *plot) parted(t rules.Moment, e *rules.Parted) {
	last := &p.Segments[len(p.Segments)-1]
	if e.How == desk.TakenBack {
		for i := len(p.Segments) - 1; i > 0 && p.Segments[i].Number > e.Number; i-- {
			p.Segments = p.Segments[:i]
			last = &p.Segments[i-1]
		}
	} else if last.Number != e.Number {
		p.Segments = append(p.Segments, SegmentSpan{From: t})
		last = &p.Segments[len(p.Segments)-1]
	}
	last.Number, last.Kind, last.Name = e.Number, e.Kind, e.Name
	if e.How != desk.TakenBack {
		last.How = e.How
	}
}

func (p *plot) move(e *rules.Moved) {
	who := e.Who.Mover()
	i, known := p.stairs[who]
	switch {
	case who.Strip == desk.NoStrip:
		return // a scene that the desk announced moved nobody in particular
	case e.First:
		return // where it stood
	}
	if !known {
		i = len(p.Movers)
		p.stairs[who] = i
		p.Movers = append(p.Movers, Staircase{Who: e.Who})
	}
	m := &p.Movers[i]
	m.Steps = append(m.Steps, Step{max(0, e.Began+p.ahead), max(0, e.Ended+p.ahead), e.From, e.To, e.Kind})
}

func (p *plot) finding(t rules.Moment, e *rules.Finding) {
	i, known := p.open[e.Number]
	if !known {
		i = len(p.Told)
		p.open[e.Number] = i
		p.Told = append(p.Told, Told{Number: i + 1, From: t, Said: p.shifted(e)})
	}
	told := &p.Told[i]
	turn := Turn{T: t, What: e.State.String()}
	shown := told.Said.Shown || e.Shown
	switch e.State {
	case rules.Open, rules.Grew:
		told.Said = p.shifted(e)
	case rules.Eased:
		told.Until = &t
	}
	told.Said.Shown = shown
	if len(e.What) > 0 && e.State != rules.Shown && e.State != rules.Held {
		turn.said = e.What[0]
	}
	told.Life = append(told.Life, turn)
}

// shifted is a finding on the service's clock.
func (p *plot) shifted(e *rules.Finding) rules.Finding {
	f := *e
	f.T += p.ahead
	f.Facts = slices.Clone(e.Facts)
	for i := range f.Facts {
		f.Facts[i].T += p.ahead
	}
	return f
}

// sum says of each group what it came to.
func (p *plot) sum() {
	for k := range p.Groups {
		g, known, over := &p.Groups[k], 0, 0
		at := 0
		for _, s := range p.seconds {
			if k >= len(s.squeeze) || !s.squeeze[k].Known {
				continue
			}
			for at+1 < len(p.Plenty) && s.t >= p.Plenty[at+1].From {
				at++
			}
			known++
			g.Most = max(g.Most, s.squeeze[k].Median)
			if s.squeeze[k].Median > p.Plenty[at].Most {
				over++
			}
		}
		if g.Known = known > 0; g.Known {
			g.Over = float64(over) / float64(known)
		}
	}
}

// endSegments lets each segment last until the next. One that was over at once is none,
// and one that a split and a join cut through is whole again.
func (p *plot) endSegments() {
	kept := p.Segments[:0]
	for i, s := range p.Segments {
		if i+1 < len(p.Segments) && p.Segments[i+1].From <= s.From {
			continue
		}
		if n := len(kept); n > 0 && kept[n-1].Number == s.Number && kept[n-1].Kind == s.Kind && kept[n-1].Name == s.Name {
			continue
		}
		kept = append(kept, s)
	}
	for i := range kept {
		kept[i].Until = p.Length
		if i > 0 {
			kept[i-1].Until = kept[i].From
		}
	}
	p.Segments = kept
}

// finish closes what is open and puts all in order.
func (p *plot) finish() {
	p.sum()
	p.endSegments()
	slices.SortStableFunc(p.Gaps, func(a, b Gap) int { return cmp.Compare(a.From, b.From) })
	slices.SortStableFunc(p.Movers, func(a, b Staircase) int { return cmp.Compare(len(b.Steps), len(a.Steps)) })
	for i := range len(p.inputs) {
		if _, moved := p.stairs[desk.Mover{Strip: desk.StripInput, Index: i}]; !moved {
			p.Still = append(p.Still, p.inputs[i])
		}
	}
}
