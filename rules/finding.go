package rules

import (
	"time"

	"pawl/rules/desk"
)

// Weight is how much a finding asks of the operator.
type Weight uint8

// The weights: a line on the page, a card, a card that stays until it is seen.
const (
	Whisper Weight = iota + 1
	Nudge
	Now
)

// String is the weight's word in frames and records.
func (w Weight) String() string { return [...]string{"", "whisper", "nudge", "now"}[w] }

// MarshalText writes the word.
func (w Weight) MarshalText() ([]byte, error) { return []byte(w.String()), nil }

// Phase is where a finding is in its life.
type Phase uint8

// The phases of a finding. Each is said once, when it begins.
const (
	Open Phase = iota + 1
	Grew
	Eased
)

// String is the phase's word in frames and records.
func (p Phase) String() string { return [...]string{"", "open", "grew", "eased"}[p] }

// MarshalText writes the word.
func (p Phase) MarshalText() ([]byte, error) { return []byte(p.String()), nil }

// Finding is something a rule has to say, with the whole of why. The same
// Number is kept from its opening to its easing.
type Finding struct {
	Number int           // counts from 1 within a service
	At     time.Duration // since the first packet
	Rule   string        // the rule's name in Kinds
	Phase  Phase
	Weight Weight

	// Held is true when the calm policy kept it from the operator's screen.
	// HeldBy says why in plain words.
	Held   bool
	HeldBy string

	Movers []desk.Mover // whom it is about, the first mover first
	Inputs []string     // their names, in the same order

	Rise   desk.DB // what the total has gained; with Faders and Stage its two main causes
	Faders desk.DB
	Stage  desk.DB

	// Accepted is true for an eased finding after which the level as it stands is
	// the one to measure from.
	Accepted bool

	Text string // what happened, and what it did to the whole, in numbers
	Try  string // one thing to try; empty once eased

	Evidence []Evidence // what it was made from, in order of time
}

// Evidence is one fact behind a finding: usually one move.
type Evidence struct {
	At   time.Duration
	What string // a plain sentence: "piano up 2.0 dB, to -4.0 dB"
	Who  string // the mover's name, or ""
	From desk.DB
	To   desk.DB
}
