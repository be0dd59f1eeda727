package review

import (
	"slices"

	"pawl/rules"
	"pawl/rules/desk"
)

// life is a finding from its opening on. Times are since the service began.
type life struct {
	in          int
	first       *rules.Finding // as it opened
	worst       *rules.Finding // as it was last said while it was open
	last        *rules.Finding // as it eased; nil if it did not
	weight      rules.Weight
	opened      rules.Moment
	carded      *rules.Moment // when it first was on the screen as a card
	grew, held  []rules.Moment
	shown, seen *rules.Moment
	eased       *rules.Moment
	until       rules.Moment // eased, or when its stretch or the service ended
	heldBecause *rules.Phrase
}

// live follows every finding that opened in the service. One that had opened before it
// belongs to another service.
func (c *course) live() {
	byNumber := map[int]*life{}
	for i, e := range c.entries {
		if i > 0 && e.in != c.entries[i-1].in && !sameJudge(c, e.in, c.entries[i-1].in) {
			c.stop(byNumber, c.entries[i-1].in)
		}
		switch f := e.Entry.(type) {
		case *rules.Finding:
			if f.State == rules.Open {
				byNumber[f.Number] = &life{in: e.in, first: f, worst: f, weight: f.Weight, opened: e.t}
				c.lives = append(c.lives, byNumber[f.Number])
			}
			if l := byNumber[f.Number]; l != nil {
				l.take(f, e.t)
			}
		case *rules.Pressed:
			if l := byNumber[f.Number]; l != nil && (f.Do == rules.Seen || f.Do == rules.NotNow) && l.seen == nil {
				l.seen = &e.t
			}
		}
	}
	if n := len(c.entries); n > 0 {
		c.stop(byNumber, c.entries[n-1].in)
	}
}

// sameJudge reports whether two stretches are of one judge, whose findings count on.
func sameJudge(c *course, a, b int) bool {
	return c.Stretches[a].Run.Zero.Equal(c.Stretches[b].Run.Zero)
}

// stop ends what is open when a judge stops, which is with the last of its stretches.
func (c *course) stop(byNumber map[int]*life, in int) {
	for in+1 < len(c.Stretches) && sameJudge(c, in, in+1) {
		in++
	}
	for _, l := range byNumber {
		if l.eased == nil {
			l.until = max(c.ends(in), l.opened)
		}
	}
	clear(byNumber)
}

func (l *life) take(f *rules.Finding, t rules.Moment) {
	l.weight = max(l.weight, f.Weight)
	if f.Shown && l.shown == nil {
		l.shown = &t
	}
	if f.Shown && f.Weight > rules.Whisper && l.carded == nil {
		l.carded = &t
	}
	l.heldBecause = f.HeldBack
	switch f.State {
	case rules.Grew:
		l.grew, l.worst = append(l.grew, t), f
	case rules.Held:
		l.held = append(l.held, t)
	case rules.Eased:
		l.last, l.eased, l.until = f, &t, t
	}
}

// card reports whether it is one, or a line.
func (l *life) card() bool { return l.weight > rules.Whisper }

// named is whom it is about and whom it asks to move.
func (l *life) named() []desk.Who {
	all := slices.Clone(l.worst.About)
	for _, who := range l.worst.Try.Who {
		all = append(all, who...)
	}
	return all
}

// asksUp are the things to try that are a raise or an opening; all others are the
// opposite.
var asksUp = []string{
	"muted-voice.try", "quiet-main.try", "quiet-main.try-closed", "quiet-main.try-voice", "main-down.try", "main-down.try-dca", "lead-behind.up",
}

// answers reports whether a move is what the finding asks for: of somebody named, or of
// what carries them or is carried, in the way that it wants.
func (c *course) answers(l *life, m *moved) bool {
	up := slices.Contains(asksUp, l.worst.Try.ID)
	switch m.Kind {
	case desk.Raise, desk.BringIn, desk.Return:
		if !up {
			return false
		}
	case desk.Lower, desk.TakeOut, desk.GainSet:
		if up {
			return false
		}
	default:
		return false
	}
	named := l.named()
	return len(named) == 0 || slices.ContainsFunc(named, func(who desk.Who) bool { return c.touches(m.in, m.Who, who) })
}

// touches reports whether two movers are one, or one carries the other.
func (c *course) touches(stretch int, a, b desk.Who) bool {
	if a.Mover() == b.Mover() {
		return true
	}
	return c.carries(stretch, a, b) || c.carries(stretch, b, a)
}

// carries reports whether an input goes by a DCA, a group or the main.
func (c *course) carries(stretch int, over, input desk.Who) bool {
	inputs := c.strips(stretch).Inputs
	if input.Strip != desk.StripInput || input.Index < 0 || input.Index >= len(inputs) {
		return false
	}
	switch in := inputs[input.Index]; over.Strip {
	case desk.StripDCA:
		return slices.Contains(in.DCAs, over.Index)
	case desk.StripGroup:
		return slices.Contains(in.Groups, over.Index)
	}
	return false
}

// followed is what came of a finding once it was shown, as a card if it ever was one.
func (c *course) followed(l *life) Followed {
	if l.shown == nil {
		return ""
	}
	since := *l.shown
	if l.carded != nil {
		since = *l.carded
	}
	until := since + rules.Moment(c.Limits.Follow)
	what := NoAnswer
	for i := range c.moves {
		m := &c.moves[i]
		if m.ended <= since || m.began > until {
			continue
		}
		if c.answers(l, m) {
			return Back
		}
		if m.Kind == desk.Raise {
			what = Another
		}
	}
	return what
}

// way is how a ratchet that was shown ended.
type way int

const (
	notBack way = iota
	takenBack
	byItself  // the faders add nothing any more, and nobody took anything down
	kept      // its level became the one to measure from
	elsewhere // the desk went to another scene or routing
)

// wayBack is how a ratchet that was shown ended, and how long after it was shown.
func (c *course) wayBack(l *life) (way, rules.Moment) {
	switch {
	case l.last == nil:
		return notBack, 0
	case l.last.Accepted:
		return kept, 0
	}
	faders, ok := l.last.Figures.Of("faders")
	if !ok || len(l.last.What) > 0 && l.last.What[0].ID == "ratchet.elsewhere" {
		return elsewhere, 0
	}
	if desk.DB(faders).Shown() > c.limits(l.in).Ratchet.Eased {
		return notBack, 0
	}
	for i := range c.moves {
		m := &c.moves[i]
		if m.ended > *l.shown && m.began <= *l.eased && (m.Kind == desk.Lower || m.Kind == desk.TakeOut) && c.answers(l, m) {
			return takenBack, *l.eased - *l.shown
		}
	}
	return byItself, 0
}
