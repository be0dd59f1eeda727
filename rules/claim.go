package rules

import (
	"slices"

	"pawl/rules/desk"
)

// Claim is what a rule holds to be so at this instant. A rule repeats its claim in
// every view for as long as it holds, and of that is made what is said: once when
// it opens, again when it has grown, once when it has eased.
type Claim struct {
	Key    int          // tells this rule's claims apart; the same from opening to easing
	About  []desk.Mover // whom it is about, the first mover first
	Weight Weight       // a heavier one than before is said again; a lighter one is not
	Size   desk.DB      // how bad; growth is measured in it, see Kind.Grew

	// Anew marks that what was said of it is no longer so, though it has not grown: what Say
	// then gives takes the place of the words that stand, and nobody is told. With neither a
	// Weight nor a Size it is nothing else.
	Anew bool

	// More says it again though it has not grown, because something is known of it that could not
	// be when it was last said. It is for the rule to claim that once.
	More bool

	// Eased ends the claim and says why. A claim that simply stops being made
	// ends too, with the last thing said.
	Eased bool

	// Say puts the claim in facts. It is called at most once and at once, if there is
	// something to say, so the view may be used in it. Without it the claim only goes
	// on: nothing new is said, whatever its size.
	Say func() Said
}

// standingClaim is what a claim needs that is made at every beat for as long as it holds: made
// once, it leaves no garbage.
type standingClaim struct {
	about []desk.Mover
	say   func() Said
}

// Rule finds one thing in what it is shown. It keeps what history it needs, is
// shown every view of a service in order of time, and is used from one goroutine.
type Rule interface {
	// Judge calls claim for each thing that holds at this instant.
	//
	// One with a method heed(Rule) is shown the rules above it in Kinds when it is made, and
	// may ask them what they have said: two rules need not speak of the same thing.
	Judge(v *desk.View, claim func(Claim))
}

// Kind is one row of the table of rules.
type Kind struct {
	Name    string        // as in the house file, findings and the manual
	Summary string        // what it notices, as the manual says it
	Needs   []desk.Signal // without these the rule is silent
	Helped  []desk.Signal // and with these it judges better
	Says    []string      // every phrase that it says, for the catalogues to be held against
	New     func(Limits) Rule

	// Or are other sets than Needs, each of which does as well.
	Or [][]desk.Signal

	// Seldom marks a rule whose needs few desks tell: a map without them is not
	// remarked upon.
	Seldom bool

	// Compares marks a rule that holds one input against others, or must know whose sound it is
	// that a microphone hears: it is silent while an input without a meter may sound that it
	// would have to know of, on a desk that meters others.
	Compares bool

	// In is the kinds of segment that the rule belongs to; nil for all but the sound check.
	// In others it is not asked, its clocks stand, and what it has said is kept from the
	// screen. A segment of which nobody said the kind belongs to every rule.
	In []desk.SegmentKind

	// Grew is by how much a claim must grow to be said again; nil if it never is.
	Grew func(Limits) desk.DB
}

// belongs reports whether a rule has a say in a segment.
func (k *Kind) belongs(s desk.Segment) bool {
	if k.In == nil {
		return s.Kind != desk.SoundCheck
	}
	return s.Kind == desk.AnyKind || slices.Contains(k.In, s.Kind)
}

// Kinds lists every rule, in the order the documentation shows them. A new rule is
// a file, a row here, a line in Limits, its phrases in each catalogue and a replay
// of the same name.
var Kinds = []Kind{
	ratchetKind, creepKind,
	mutedVoiceKind, strayCueKind, hotInputKind, hotMainKind, quietMainKind, quietDeskKind, soloRaiseKind, openMicsKind,
	squeezedGroupKind, squeezedInputKind, mainDownKind, roomLoudKind,
	leadBehindKind, harmonyForwardKind, fillOverLeadKind, secondOverFirstKind, crowdedKind, speechRemarkKind, wordsCoveredKind,
}
