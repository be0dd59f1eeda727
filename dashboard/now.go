package dashboard

import (
	"time"

	"pawl/rules"
)

// Now is everything a screen shows at one instant: what the judge sees, and what
// the daemon knows besides. Numbers that are minus infinity leave as null.
type Now struct {
	rules.Picture
	At      float64  `json:"at"`    // the time of day at T: seconds since 1970. Publish fills it in where it is 0
	House   string   `json:"house"` // the house file's own name for the place
	Link    Link     `json:"link"`
	Notices []Notice `json:"notices"`
	Words   NowWords `json:"words"` // in the reader's language; put there by the server
}

// NowWords are what a screen says of Now besides its card and its line.
type NowWords struct {
	Lead   string `json:"lead"`   // what the change is called, or why there is none
	Rest   string `json:"rest"`   // what made most of it, or ""
	Causes string `json:"causes"` // the figures of its causes, or "" while nothing is measured
	Mark   string `json:"mark"`   // since when, and how that mark came to be; "{at}" stands for the time of day. "" for no mark
	Basis  string `json:"basis"`  // what qualifies the figures, or ""
}

// Link is how the desk is heard.
type Link struct {
	Phase   Phase        `json:"phase"`
	Age     float64      `json:"age"`  // seconds since the last packet; 0 while waiting
	Desk    string       `json:"desk"` // its address or name
	Packets uint64       `json:"packets"`
	Example string       `json:"example"` // an address that arrived and is not in the map, or ""
	Says    rules.Phrase `json:"says"`
	Text    string       `json:"text"` // Says in words
}

// Phase is how far the desk is heard.
type Phase string

// The phases.
const (
	Waiting       Phase = "waiting"        // nothing heard yet
	Hearing       Phase = "hearing"        // now
	Quiet         Phase = "quiet"          // heard before, not now
	NotUnderstood Phase = "not-understood" // packets arrive and the map knows none
)

// Notice is something wrong that stays on the page until it is cured, such as the
// faults of a house file that could not be reloaded.
type Notice struct {
	Kind string       `json:"kind"` // one word, such as "house"
	Says rules.Phrase `json:"says"`
	Text string       `json:"text"` // Says in words; may have several lines
}

// dated fills in what the time is, unless it is known.
func (n Now) dated() Now {
	if n.At == 0 {
		n.At = float64(time.Now().UnixMilli()) / 1000
	}
	return n
}

// in gives Now in a reader's language. n itself is not changed.
func (n Now) in(s *voice) Now {
	n.Card, n.Line = s.finding(n.Card), s.finding(n.Line)
	n.Words = NowWords{Lead: s.Say(n.Lead), Rest: s.Say(n.Rest), Causes: s.Say(n.Causes), Basis: s.Basis(n.Basis, n.Explained)}
	if n.Mark.Set {
		n.Words.Mark = s.Say(rules.Say("mark." + string(n.Mark.How)))
	}
	n.Link.Text = s.Say(n.Link.Says)
	n.Notices = each(n.Notices, func(o Notice) Notice {
		o.Text = s.Say(o.Says)
		return o
	})
	n.Groups = each(n.Groups, func(g rules.GroupPicture) rules.GroupPicture {
		g.Who = s.label(g.Who)
		return g
	})
	n.Parts = each(n.Parts, func(p rules.Part) rules.Part {
		if p.Lead != nil {
			who := s.label(*p.Lead)
			p.Lead = &who
		}
		return p
	})
	return n
}

// each is a copy of a list with something done to each; of none it is an empty one,
// so that a page never meets null for a list.
func each[T, U any](list []T, do func(T) U) []U {
	out := make([]U, 0, len(list))
	for _, v := range list {
		out = append(out, do(v))
	}
	return out
}
