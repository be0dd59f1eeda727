package daemon

import (
	"time"

	"pawl/daemon/link"
	"pawl/dashboard"
	"pawl/rules"
)

// now is everything the screen shows now.
func (s *session) now(f *figures, l dashboard.Link) dashboard.Now {
	return dashboard.Now{Picture: f.picture, At: float64(f.made.UnixMilli()) / 1000, House: s.house.Name, Link: l, Notices: s.notices(f)}
}

// notices are the troubles that stay on the page until they are cured.
func (s *session) notices(f *figures) []dashboard.Notice {
	var out []dashboard.Notice
	if s.trouble.ID != "" {
		out = append(out, dashboard.Notice{Kind: "house", Says: s.trouble})
	}
	if fault := f.capture.Fault; fault != "" {
		out = append(out, dashboard.Notice{Kind: "capture", Says: because(rules.Say("notice.capture"), fault)})
	}
	if fault := f.record.Fault; fault != "" {
		out = append(out, dashboard.Notice{Kind: "record", Says: because(rules.Say("notice.record"), fault)})
	}
	if s.unprinted != "" {
		out = append(out, dashboard.Notice{Kind: "lines", Says: because(rules.Say("notice.lines"), s.unprinted)})
	}
	return out
}

// enoughToTell is how many messages may go unheard before the map is said to be
// another desk's.
const enoughToTell = 20

// linkOf says how the desk is heard, in a phrase that tells the operator what to do.
func linkOf(desk string, s link.Status, e *engine, now time.Duration) dashboard.Link {
	l := dashboard.Link{Desk: desk, Packets: s.Packets}
	if s.Packets > 0 {
		l.Age = max(0, (now - s.LastHeard).Seconds())
	}
	age := rules.Figure{Name: "age", Value: l.Age, Unit: rules.Seconds}
	switch c := e.hearer.Counts(); {
	case s.Phase == link.Waiting && s.Problem.Kind != link.NoProblem:
		l.Phase, l.Says = "waiting", Says(s.Problem)
	case s.Phase == link.Waiting:
		l.Phase, l.Says = "waiting", rules.Say("link.waiting").Quoting("desk", desk)
	case s.Phase == link.Quiet && s.Problem.Kind == link.OtherPort:
		l.Phase, l.Says = "quiet", Says(s.Problem)
	case s.Phase == link.Quiet:
		l.Phase, l.Says = "quiet", rules.Say("link.quiet", age)
	case s.Packets >= enoughToTell && e.messages == 0:
		l.Phase, l.Says = "not-understood", rules.Say("link.not-osc")
	case e.messages >= enoughToTell && c.Unmapped == e.messages:
		l.Phase, l.Example = "not-understood", e.hearer.LastUnmapped()
		l.Says = rules.Say("link.not-understood").Quoting("example", l.Example)
	case e.messages == c.Unmapped: // too few to tell, and none was understood
		l.Phase, l.Says = "waiting", rules.Say("link.listening").Quoting("desk", desk)
	default:
		l.Phase, l.Says = "hearing", rules.Say("link.heard", age)
	}
	return l
}
