package rules

import "pawl/rules/desk"

// Weight is how much a finding asks of the operator.
type Weight uint8

// The weights: a line on the page, a card, a card that stays until it is seen.
const (
	Whisper Weight = iota + 1
	Nudge
	Now
)

var weightWords = []string{"whisper", "nudge", "now"}

// String is the weight's word in frames and records.
func (w Weight) String() string { return weightWords[w-1] }

// MarshalText writes the word.
func (w Weight) MarshalText() ([]byte, error) { return []byte(w.String()), nil }

// UnmarshalText reads the word.
func (w *Weight) UnmarshalText(b []byte) error {
	i, err := desk.Word(weightWords, b)
	*w = Weight(i + 1)
	return err
}

// Words lists the words of all weights, for the schema of the frames.
func (Weight) Words() []string { return weightWords }

// State is where a finding is in its life.
type State uint8

// The states of a finding. Each is said once, when it begins. Shown and Held are
// said of one that is open already, when it comes to the screen or leaves it
// though nobody pressed anything.
const (
	Open State = iota + 1
	Grew
	Eased
	Shown
	Held
)

var stateWords = []string{"open", "grew", "eased", "shown", "held"}

// String is the state's word in frames and records.
func (s State) String() string { return stateWords[s-1] }

// MarshalText writes the word.
func (s State) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads the word.
func (s *State) UnmarshalText(b []byte) error {
	i, err := desk.Word(stateWords, b)
	*s = State(i + 1)
	return err
}

// Words lists the words of all states, for the schema of the frames.
func (State) Words() []string { return stateWords }

// Finding is something that a rule has to say, with the whole of why. The same
// Number is kept from its opening to its easing.
type Finding struct {
	Stamp
	Number int    `json:"number"` // counts from 1 within a service
	Rule   string `json:"rule"`   // the rule's name in Kinds
	State  State  `json:"state"`
	Weight Weight `json:"weight"`

	// Shown is true while it is on the operator's screen, or if it was until it eased.
	// HeldBack says why it is not, and is nil when it is or was.
	Shown    bool    `json:"shown"`
	HeldBack *Phrase `json:"held_back"`

	// Renewed counts how many times its words were made anew after they were said, as what
	// there is to try became another. It is 0 in an entry: that is what was said.
	Renewed int `json:"renewed,omitempty"`

	About  []desk.Who `json:"about"`  // the first mover first
	Inputs []string   `json:"inputs"` // their names in the words of the house, in the same order
	Said

	// Words are its phrases in some reader's language, put there when it leaves for
	// somebody who reads. The judge never does.
	Words *Words `json:"words,omitempty"`
}

// Said is a claim as facts.
type Said struct {
	Figures Figures  `json:"figures"` // what was measured, the total's rise and its causes first
	What    []Phrase `json:"what"`    // what happened and what it did, a sentence each, the first for a glance
	Try     Phrase   `json:"try"`     // one thing to try; none once eased
	Then    Phrase   `json:"then"`    // what that will do
	Facts   []Fact   `json:"facts"`   // what it was made from, in order of time

	// Accepted is true for an eased finding after which the level as it stands is
	// the one to measure from.
	Accepted bool `json:"accepted,omitempty"`
}

// Fact is one thing behind a finding: usually one move.
type Fact struct {
	T     Moment    `json:"t"`
	About *desk.Who `json:"about"` // nil for one about nobody in particular
	Phrase
}

// Words are what a Finding says, in one language.
type Words struct {
	What     []string `json:"what"` // a sentence each
	Try      string   `json:"try"`
	Then     string   `json:"then"`
	Facts    []string `json:"facts"`
	HeldBack string   `json:"held_back"`
}
