package daemon

import (
	"fmt"
	"time"

	"pawl/daemon/house"
	"pawl/daemon/link"
	"pawl/dashboard"
	"pawl/rules"
)

// page keeps what the operator's screen shows between one frame and the next. It
// belongs to the engine loop.
type page struct {
	house   *house.House
	onTop   []rules.Finding // open and visible, as last said, oldest first
	eased   *rules.Finding  // the last that eased while it was visible
	notices []dashboard.Notice
	tideAt  time.Duration // the next second that has no tide point yet
}

// lingers is how long the line about a finding that eased stays: long enough to
// be read at the next glance.
const lingers = 12 * time.Second

// said takes what the judge said and reports whether the screen must change now.
func (p *page) said(findings []rules.Finding, visible func(int) bool) (urgent bool) {
	for _, f := range findings {
		shown := p.remove(f.Number)
		switch {
		case f.Phase == rules.Eased && shown:
			p.eased, urgent = &f, true
		case f.Phase != rules.Eased && visible(f.Number):
			p.onTop, urgent = append(p.onTop, f), true
		}
	}
	return urgent || p.prune(visible)
}

// prune takes off what is no longer visible: it was seen, or gave way to
// something heavier.
func (p *page) prune(visible func(int) bool) (changed bool) {
	kept := p.onTop[:0]
	for _, f := range p.onTop {
		if visible(f.Number) {
			kept = append(kept, f)
		}
	}
	changed = len(kept) != len(p.onTop)
	p.onTop = kept
	return changed
}

func (p *page) remove(number int) (was bool) {
	for i, f := range p.onTop {
		if f.Number == number {
			p.onTop = append(p.onTop[:i], p.onTop[i+1:]...)
			return true
		}
	}
	return false
}

// find is the finding that a press of a button is about.
func (p *page) find(number int) (rules.Finding, bool) {
	for _, f := range p.onTop {
		if f.Number == number {
			return f, true
		}
	}
	return rules.Finding{}, false
}

// card is the heaviest finding on the screen that is more than a whisper, the
// newest of equals; line is the newest whisper, or what has just eased.
func (p *page) card(at time.Duration) (card, line *dashboard.Card) {
	var heaviest rules.Weight
	for _, f := range p.onTop {
		switch {
		case f.Weight == rules.Whisper:
			line = cardOf(f)
		case f.Weight >= heaviest:
			heaviest, card = f.Weight, cardOf(f)
		}
	}
	if line == nil && p.eased != nil && at-p.eased.At < lingers {
		line = cardOf(*p.eased)
	}
	return card, line
}

func cardOf(f rules.Finding) *dashboard.Card {
	c := &dashboard.Card{
		Number: f.Number, Rule: f.Rule, Weight: f.Weight.String(), Phase: f.Phase.String(),
		T: f.At.Seconds(), Text: f.Text, Try: f.Try,
	}
	for _, e := range f.Evidence {
		c.Evidence = append(c.Evidence, dashboard.Evidence{T: e.At.Seconds(), What: e.What, Who: e.Who})
	}
	return c
}

// state is everything the screen shows now.
func (p *page) state(g rules.Glance, now time.Time, l dashboard.Link) dashboard.State {
	s := dashboard.State{
		T: g.At.Seconds(), TimeOfDay: now.Format("15:04:05"), House: p.house.Name, Basis: string(g.Basis), Link: l,
		Total: g.Total, Sentence: g.Sentence(), Notices: p.notices,
	}
	if !g.Explained {
		s.Confidence = "The map does not explain the main level: an input may be missing from it."
	}
	if g.Marked {
		s.Mark = dashboard.Mark{T: g.MarkedAt.Seconds(), Total: g.MarkTotal, How: g.MarkedHow}
		s.Split = dashboard.Split(g.Split)
		s.Rise = g.Split.Total()
	}
	s.Card, s.Line = p.card(g.At)
	for _, q := range g.Squeezes {
		s.Groups = append(s.Groups, squeezeOf(q))
	}
	for _, e := range g.Parts {
		s.Elements = append(s.Elements, dashboard.Part{Element: e.Element.String(), Primary: e.Primary, Present: e.Present})
	}
	return s
}

func squeezeOf(q rules.Squeeze) dashboard.Squeeze {
	if !q.Known {
		return dashboard.Squeeze{Name: q.Group, Active: q.Active}
	}
	return dashboard.Squeeze{
		Name: q.Group, Active: q.Active, Source: "reported", Reduction: &q.Median, Low: &q.Low, High: &q.High,
	}
}

// tide is the point that is due, if a second has begun that has none yet. Until
// there is a mark there is nothing to measure from and no point.
func (p *page) tide(g rules.Glance) []dashboard.Tide {
	if !g.Marked || g.At < p.tideAt {
		return nil
	}
	p.tideAt = g.At.Truncate(time.Second) + time.Second
	return []dashboard.Tide{{
		T: g.At.Seconds(), Total: g.Total, Rise: g.Split.Total(), Faders: g.Split.Faders, Stage: g.Split.Stage,
	}}
}

func stepsOf(steps []rules.Step) []dashboard.Step {
	var out []dashboard.Step
	for _, s := range steps {
		out = append(out, dashboard.Step{T: s.At.Seconds(), Who: s.Who, By: s.By})
	}
	return out
}

// enoughToTell is how many messages may go unheard before the map is said to be
// another desk's.
const enoughToTell = 20

// linkOf says how the desk is heard, in words that tell the operator what to do.
func linkOf(desk string, s link.Status, e *engine, now time.Duration) dashboard.Link {
	l := dashboard.Link{Desk: desk, Packets: s.Packets}
	if s.Packets > 0 {
		l.Age = max(0, (now - s.LastHeard).Seconds())
	}
	switch c := e.hearer.Counts(); {
	case s.Phase == link.Waiting:
		l.Phase, l.Text = "waiting", waitingText(desk, s)
	case s.Phase == link.Quiet:
		l.Phase = "quiet"
		l.Text = fmt.Sprintf("Nothing from the desk for %.0f s. The numbers are from then.", l.Age)
	case s.Packets >= enoughToTell && e.messages == 0:
		l.Phase = "not-understood"
		l.Text = "Packets arrive, none of them is OSC: look at the desk's port and transport in the map."
	case e.messages >= enoughToTell && c.Unmapped == e.messages:
		l.Phase, l.Example = "not-understood", e.hearer.LastUnmapped()
		l.Text = fmt.Sprintf("Packets arrive, none are understood: the map does not hear %s. It may be another desk's.", l.Example)
	default:
		l.Phase = "hearing"
		l.Text = fmt.Sprintf("heard %.1f s ago", l.Age)
	}
	return l
}

func waitingText(desk string, s link.Status) string {
	if s.Problem != "" {
		return s.Problem
	}
	return fmt.Sprintf("Waiting for the desk at %s.", desk)
}
