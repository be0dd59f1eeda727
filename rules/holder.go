package rules

import (
	"slices"
	"time"

	"pawl/rules/desk"
)

// holder makes findings of one rule's claims: it gives each a number, and says it
// when it opens, when it has grown, and when it has eased. A new rule is calm
// without trying, because this is where patience lives.
type holder struct {
	kind Kind
	rule Rule
	grew desk.DB
	open []held
}

// held is a claim that has been said and still holds.
type held struct {
	claim  Claim
	said   Said // the last words
	number int
	shown  bool
	heldBy string  // why it is not shown
	size   desk.DB // when last said
	weight Weight
	seen   bool // in this frame
}

// observe shows the rule a frame and says what is new through say.
func (h *holder) observe(f Frame, c *calm, say func(Finding)) {
	for i := range h.open {
		h.open[i].seen = false
	}
	for _, claim := range h.rule.Observe(f) {
		h.take(f.At, claim, c, say)
	}
	h.open = slices.DeleteFunc(h.open, func(o held) bool {
		if o.seen && !o.claim.Eased {
			return false
		}
		if o.claim.Eased {
			o.said = o.claim.Say()
		}
		c.close(f.At, o.number)
		say(h.finding(f.At, o, Eased))
		return true
	})
}

func (h *holder) take(at time.Duration, claim Claim, c *calm, say func(Finding)) {
	o := h.find(claim.Key)
	if o == nil {
		if !claim.Eased {
			h.begin(at, claim, c, say)
		}
		return
	}
	o.seen, o.claim = true, claim
	if claim.Eased || claim.Weight <= o.weight && !(claim.Size-o.size).Reaches(h.grew) {
		return
	}
	o.size, o.weight = max(claim.Size, o.size), max(claim.Weight, o.weight)
	h.admit(at, o, c)
	o.said = claim.Say()
	say(h.finding(at, *o, Grew))
}

func (h *holder) begin(at time.Duration, claim Claim, c *calm, say func(Finding)) {
	o := held{claim: claim, said: claim.Say(), number: c.next(), size: claim.Size, weight: claim.Weight, seen: true}
	h.admit(at, &o, c)
	h.open = append(h.open, o)
	say(h.finding(at, o, Open))
}

// admit asks the calm policy whether this may be on the screen.
func (h *holder) admit(at time.Duration, o *held, c *calm) {
	o.heldBy = c.admit(at, h.kind.Name, o.number, o.claim, o.weight)
	o.shown = o.heldBy == ""
}

func (h *holder) find(key int) *held {
	for i := range h.open {
		if h.open[i].claim.Key == key {
			return &h.open[i]
		}
	}
	return nil
}

func (h *holder) finding(at time.Duration, o held, p Phase) Finding {
	s := o.said
	return Finding{
		Number: o.number, At: at, Rule: h.kind.Name, Phase: p, Weight: o.weight, Held: !o.shown, HeldBy: o.heldBy,
		Movers: o.claim.About, Rise: s.Rise, Faders: s.Faders, Stage: s.Stage, Text: s.Text, Try: s.Try,
		Evidence: s.Evidence, Accepted: s.Accepted && p == Eased,
	}
}
