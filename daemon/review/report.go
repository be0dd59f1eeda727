package review

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"pawl/rules"
	"pawl/rules/desk"
)

// Summarise reports one service.
func Summarise(m Material, o Options) *Report {
	c := newCourse(&m, o)
	r := c.summarise()
	for i, l := range c.lives {
		c.tell(&r.Findings[i], l)
	}
	r.Next = c.nextTime(r)
	return r
}

// summarise is a report but for what its findings said, which is half of the work, and of
// which a list needs little.
func (c *course) summarise() *Report {
	r := &Report{Heading: c.heading(), course: c}
	r.Limits = c.judged()
	r.Segments, r.Findings = c.segments(), c.findings()
	for _, f := range r.Findings {
		switch {
		case f.Carded != nil:
			r.Heading.Cards++
		case f.Shown != nil:
			r.Heading.Lines++
		}
	}
	r.Heading.Findings = len(r.Findings)
	r.Moves = c.allMoves()
	r.Movers = movers(c.inService(r.Moves))
	r.Groups = c.groups()
	r.Checks, r.Notes, r.Gaps = c.checks(), c.notes(), c.gaps()
	r.Figures = c.figures(r)
	return r
}

// List is a service for a list of them.
func List(m Material, o Options) Listed {
	c := newCourse(&m, o)
	r := c.summarise()
	return r.Listed()
}

func (c *course) heading() Heading {
	s := &c.Service
	h := Heading{
		ID: s.ID, Name: s.Name, Mixing: s.Mixing, House: s.House, Pawl: s.Pawl,
		Began: s.Began.In(c.Zone), Ended: s.Ended.In(c.Zone), GoesOn: s.GoesOn, Length: c.length,
		Music: c.lasted(desk.Music), Speech: c.lasted(desk.Speech), Quiet: c.lasted(desk.Quiet), Check: c.lasted(desk.SoundCheck),
		Moves: len(c.moves), Lost: s.Lost, Unread: c.unreadEntries(),
	}
	h.broken, h.damaged = c.Broken, c.Broken || len(c.unread) > 0
	h.Title = h.Name
	if h.Title == "" {
		h.Title = tongue{c.Speaker}.on(rules.Say("report.title"), h.Began)
	}
	return h
}

// segments are the pieces, those of one number and kind together: one that was of no
// known kind at first is what it turned out to be.
func (c *course) segments() []Segment {
	all := []Segment{}
	for i, p := range c.pieces {
		if n := len(all); n > 0 && i > 0 && all[n-1].Number == p.Number && c.pieces[i-1].until == p.from && (all[n-1].Kind == p.Kind || all[n-1].Kind == desk.AnyKind) {
			last := &all[n-1]
			last.Kind, last.Name, last.Length = p.Kind, cmp.Or(p.Name, last.Name), p.until-last.Began.T
			continue
		}
		all = append(all, Segment{Number: p.Number, Kind: p.Kind, Name: p.Name, How: p.How, Began: c.when(p.from), Length: p.until - p.from})
	}
	for i := range all {
		s := &all[i]
		s.Title = c.segmentTitle(s.Kind, s.Name)
		within := func(t rules.Moment) bool {
			return t >= s.Began.T && (t < s.Began.T+s.Length || i == len(all)-1 && t <= s.Began.T+s.Length)
		}
		for k := range c.moves {
			if m := &c.moves[k]; within(m.ended) {
				s.Moves++
				if m.Kind == desk.Raise {
					s.Raises++
				}
			}
		}
		for _, l := range c.lives {
			if l.carded != nil && within(*l.carded) {
				s.Cards++
			}
		}
	}
	return all
}

func (c *course) segmentTitle(kind desk.SegmentKind, name string) string {
	what := rules.Say("part.unknown")
	switch kind {
	case desk.Music:
		what = rules.Say("part.music")
	case desk.Speech:
		what = rules.Say("part.speech")
	case desk.Quiet:
		what = rules.Say("part.quiet")
	case desk.SoundCheck:
		what = rules.Say("part.sound-check")
	}
	if name == "" {
		return c.Speaker.Say(what)
	}
	return name + ", " + c.Speaker.Say(what)
}

func (c *course) allMoves() []Move {
	all := []Move{}
	for k := range c.moves {
		m := &c.moves[k]
		all = append(all, Move{
			Who: c.Speaker.Label(m.Who), Kind: m.Kind, Began: c.when(m.began), Ended: c.when(m.ended),
			From: m.From, To: m.To, By: m.By, Bought: c.bought(k),
		})
	}
	return all
}

// movers sums up the moves by who was moved.
func movers(moves []Move) []Mover {
	all := []Mover{}
	type key struct {
		strip desk.Strip
		name  string
	}
	place := map[key]int{}
	told := map[key]int{}
	for _, m := range moves {
		k := key{m.Who.Strip, m.Who.Name}
		i, ok := place[k]
		if !ok {
			i = len(all)
			place[k] = i
			all = append(all, Mover{Who: m.Who})
		}
		o := &all[i]
		switch m.Kind {
		case desk.Raise:
			o.Raises, o.Raised = o.Raises+1, o.Raised+m.By
		case desk.Lower:
			o.Lowers, o.Lowered = o.Lowers+1, o.Lowered-m.By
		default:
			o.Others++
		}
		if b := m.Bought; b != nil {
			n := desk.DB(told[k])
			told[k]++
			o.Clearer, o.Swallowed = mean(o.Clearer, b.Clearer, n), mean(o.Swallowed, b.Swallowed, n)
		}
	}
	slices.SortStableFunc(all, func(a, b Mover) int { return cmp.Compare(b.Raised.Shown(), a.Raised.Shown()) })
	return all
}

// mean takes one more value into a mean of n.
func mean(was *desk.DB, v, n desk.DB) *desk.DB {
	if was != nil {
		v = (*was*n + v) / (n + 1)
	}
	return &v
}

func (c *course) findings() []Finding {
	all := []Finding{}
	for _, l := range c.lives {
		all = append(all, c.finding(l))
	}
	return all
}

func (c *course) finding(l *life) Finding {
	f := Finding{
		Number: l.first.Number, Rule: l.first.Rule, Weight: l.weight, Card: l.card(),
		Opened: c.when(l.opened), Grew: []When{}, Held: []When{}, Shown: c.whenever(l.shown), Carded: c.whenever(l.carded), Seen: c.whenever(l.seen), Eased: c.whenever(l.eased),
		Open: l.until - l.opened, Followed: c.followed(l), About: []desk.Who{}, Figures: l.worst.Figures,
	}
	for _, t := range l.grew {
		f.Grew = append(f.Grew, c.when(t))
	}
	for _, t := range l.held {
		f.Held = append(f.Held, c.when(t))
	}
	for _, who := range l.worst.About {
		f.About = append(f.About, c.Speaker.Label(who))
	}
	f.Accepted = l.last != nil && l.last.Accepted
	if l.first.Rule == "ratchet" && l.shown != nil {
		if how, after := c.wayBack(l); how == takenBack {
			f.WayBack = &after
		}
	}
	return f
}

// tell puts a finding in words.
func (c *course) tell(f *Finding, l *life) {
	said := c.Speaker.Finding(l.worst).Words
	f.What, f.Try, f.Then, f.Facts = said.What, said.Try, said.Then, said.Facts
	if l.shown == nil && l.heldBecause != nil {
		f.HeldBack = c.Speaker.Say(*l.heldBecause)
	}
	if l.last != nil {
		f.Ended = strings.Join(c.Speaker.Finding(l.last).Words.What, " ")
	}
	f.Life = c.lifeInWords(l, f)
}

// lifeInWords tells a finding's life in a sentence.
func (c *course) lifeInWords(l *life, f *Finding) string {
	after := func(t *rules.Moment) rules.Figure { return span("after", *t-l.opened) }
	parts := []rules.Phrase{rules.Say("life.opened").Quoting("at", f.Opened.At.Format(time.TimeOnly))}
	switch {
	case l.shown == nil && f.HeldBack != "":
		parts = append(parts, rules.Say("life.never-because").Quoting("why", f.HeldBack))
	case l.shown == nil:
		parts = append(parts, rules.Say("life.never"))
	case *l.shown-l.opened < rules.Moment(time.Second):
		parts = append(parts, rules.Say("life.shown-at-once"))
	default:
		parts = append(parts, rules.Say("life.shown", after(l.shown)))
	}
	if n := len(l.grew); n > 0 {
		parts = append(parts, rules.Say("life.grew", rules.Number("n", n)))
	}
	if l.seen != nil {
		parts = append(parts, rules.Say("life.seen", after(l.seen)))
	} else if len(l.held) > 0 {
		parts = append(parts, rules.Say("life.held"))
	}
	switch {
	case l.eased == nil:
		parts = append(parts, rules.Say("life.open", span("after", f.Open)))
	case f.Accepted:
		parts = append(parts, rules.Say("life.kept", after(l.eased)))
	default:
		parts = append(parts, rules.Say("life.eased", after(l.eased)))
	}
	texts := make([]string, len(parts))
	for i, p := range parts {
		texts[i] = c.Speaker.Say(p)
	}
	return strings.Join(texts, ", ") + "."
}

func (c *course) notes() []Note {
	all := []Note{}
	for _, n := range c.Notes {
		at := rules.Moment(n.At.Sub(c.Service.Began).Round(time.Millisecond))
		all = append(all, Note{When: c.when(at), Text: n.Text, Added: n.Added.In(c.Zone), After: n.ID != 0, Question: n.Question})
	}
	return all
}
