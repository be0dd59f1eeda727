package rules

import (
	"time"

	"pawl/rules/desk"
)

// Frame is what a rule is shown: at every beat, and at the instant a move comes
// to rest.
type Frame struct {
	At    time.Duration
	Mix   *Mix
	Moves []Move // that have ended since the last frame, the earliest first

	// Moving is true while some mover is in motion: what is so now may not be so
	// once the hand has finished.
	Moving bool
}

// Claim is what a rule holds to be so at this instant. A rule repeats its claim
// in every frame for as long as it holds, and the shared holder makes of it what
// is said: once when it opens, again when it has grown, once when it has eased.
type Claim struct {
	Key    int // tells this rule's claims apart; the same from opening to easing
	About  []desk.Mover
	Weight Weight
	Size   desk.DB // how bad; growth is measured in it

	// Eased ends the claim and says why. A claim that simply stops being made
	// ends too, with the last thing said.
	Eased bool

	// Say puts the claim in words. It is called only when something is said.
	Say func() Said
}

// Said is a claim in words and numbers.
type Said struct {
	Rise, Faders, Stage desk.DB
	Text, Try           string
	Evidence            []Evidence
	Accepted            bool // see Finding.Accepted
}

// Rule turns frames into claims. It keeps what history it needs, is shown every
// frame of a service in order of time, and is used from one goroutine.
type Rule interface {
	Observe(Frame) []Claim
}

// Kind is one row of the table of rules.
type Kind struct {
	Name    string // as in the house file, findings and the manual
	Summary string
	Needs   []desk.Signal // without these the rule is silent
	Helped  []desk.Signal // and with these it judges better
	Grew    func(Limits) desk.DB
	New     func(desk.Roster, Limits) Rule
}

// Kinds lists every rule, in the order the documentation shows them. A new rule
// is a file, a row here and a replay of the same name.
var Kinds = []Kind{
	{
		Name:    "ratchet",
		Summary: "several faders raised one after another until everything is loud and nothing is clearer",
		Needs:   []desk.Signal{desk.InputFader},
		Helped:  []desk.Signal{desk.InputLevel, desk.InputMute, desk.DCAFader, desk.GroupFader, desk.GroupReduction, desk.MainFader},
		Grew:    func(l Limits) desk.DB { return l.Ratchet.Grew },
		New:     func(r desk.Roster, l Limits) Rule { return newRatchet(r, l) },
	},
}
