package dashboard

import (
	"pawl/rules/desk"
)

// State is everything a screen shows, at one instant. Numbers that are minus
// infinity leave as null, nil lists as empty ones.
type State struct {
	T         float64 `json:"t"`         // seconds on the daemon's clock; Tide and Step count on the same one
	TimeOfDay string  `json:"timeOfDay"` // "19:32:05" where the daemon stands
	House     string  `json:"house"`     // the house file's own name for the place

	// Basis is what the judgement stands on: "meters", "partly", "faders", or ""
	// when not yet known. Confidence qualifies it in plain words, or is "".
	Basis      string `json:"basis"`
	Confidence string `json:"confidence"`

	Link  Link      `json:"link"`
	Total desk.DBFS `json:"total"`
	Mark  Mark      `json:"mark"`
	Rise  desk.DB   `json:"rise"` // total against the mark
	Split Split     `json:"split"`

	// Sentence says Rise and Split in words: "+2.6 dB since the mark: 2.1 from the
	// faders, 0.5 from the stage."
	Sentence string `json:"sentence"`

	Card *Card `json:"card"` // the one nudge or now, or nil
	Line *Card `json:"line"` // the one whisper, or nil

	Groups   []Squeeze `json:"groups"`
	Elements []Part    `json:"elements"`
	Notices  []Notice  `json:"notices"`
}

// Link is how the desk is heard.
type Link struct {
	// Phase is "waiting" (nothing heard yet), "hearing", "quiet" (heard before,
	// not now) or "not-understood" (packets arrive and the map knows none).
	Phase   string  `json:"phase"`
	Age     float64 `json:"age"`  // seconds since the last packet; 0 while waiting
	Desk    string  `json:"desk"` // its address or name
	Text    string  `json:"text"` // the phase in plain words; "" lets the page choose them
	Packets uint64  `json:"packets"`
	Example string  `json:"example"` // an address that arrived and is not in the map, or ""
}

// Mark is the mix that the operator means to be at: the water line of the tide.
type Mark struct {
	T     float64   `json:"t"`
	Total desk.DBFS `json:"total"`
	How   string    `json:"how"` // in words that follow "mark:", such as rules.MarkedByHand; "" before the first
}

// Split is who made the total's change since the mark. The four add up to it.
type Split struct {
	Faders desk.DB `json:"faders"`
	Stage  desk.DB `json:"stage"`
	Groups desk.DB `json:"groups"`
	Main   desk.DB `json:"main"`
}

// Card is a finding as the operator reads it.
type Card struct {
	Number   int        `json:"number"` // what Command.Number names
	Rule     string     `json:"rule"`
	Weight   string     `json:"weight"` // "whisper", "nudge" or "now"
	Phase    string     `json:"phase"`  // "open", "grew" or "eased"
	T        float64    `json:"t"`
	Text     string     `json:"text"` // what happened and what it did, in numbers
	Try      string     `json:"try"`  // one thing to try, or ""
	Evidence []Evidence `json:"evidence"`
}

// Evidence is one fact behind a Card.
type Evidence struct {
	T    float64 `json:"t"`
	What string  `json:"what"`
	Who  string  `json:"who"`
}

// Squeeze is the gain reduction on one group, counted upwards. A nil number is
// not known.
type Squeeze struct {
	Name      string   `json:"name"`
	Reduction *desk.DB `json:"reduction"` // the current median
	Low       *desk.DB `json:"low"`       // the last minute's range
	High      *desk.DB `json:"high"`
	Source    string   `json:"source"` // "reported", "measured", "computed", or "" when not known
	Active    bool     `json:"active"` // sound is passing
}

// Part is one of the five elements of the mix.
type Part struct {
	Element string `json:"element"`
	Primary string `json:"primary"` // the instrument that carries it, or ""
	Present bool   `json:"present"`
}

// Notice is something wrong that stays on the page until it is cured, such as the
// faults of a house file that could not be reloaded.
type Notice struct {
	Kind string `json:"kind"` // one word, such as "house"
	Text string `json:"text"` // may have several lines
}

// listed replaces nil lists, so that a page never meets null for one.
func (st State) listed() State {
	st.Card, st.Line = st.Card.listed(), st.Line.listed()
	st.Groups = list(st.Groups)
	st.Elements = list(st.Elements)
	st.Notices = list(st.Notices)
	return st
}

func (c *Card) listed() *Card {
	if c == nil || c.Evidence != nil {
		return c
	}
	whole := *c
	whole.Evidence = []Evidence{}
	return &whole
}

func list[T any](s []T) []T {
	if s == nil {
		return []T{}
	}
	return s
}
