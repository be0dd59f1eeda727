package rules

import "time"

// holder makes findings of one rule's claims: it gives each a number, and says it
// when it opens, when it has grown, and when it has eased. A new rule is calm
// without trying, because this is where patience lives.
type holder struct {
	kind Kind
	rule Rule
	grew DB
	open []held
}

// held is a claim that has been said and still holds.
type held struct {
	claim  Claim
	number int
	shown  bool
	size   DB // when last said
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
	kept := h.open[:0]
	for _, o := range h.open {
		switch {
		case o.seen && !o.claim.Eased:
			kept = append(kept, o)
		default:
			c.close(o.number)
			say(h.finding(f.At, o, Eased))
		}
	}
	h.open = kept
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
	if claim.Eased || claim.Weight <= o.weight && claim.Size < o.size+h.grew {
		return
	}
	heavier := claim.Weight > o.weight
	o.size, o.weight = max(claim.Size, o.size), max(claim.Weight, o.weight)
	f := h.finding(at, *o, Grew)
	if heavier || o.shown {
		f.HeldBy = c.admit(at, h.kind.Name, o.number, claim, o.weight)
	} else {
		f.HeldBy = "held back when it opened"
	}
	o.shown = f.HeldBy == ""
	f.Held = !o.shown
	say(f)
}

func (h *holder) begin(at time.Duration, claim Claim, c *calm, say func(Finding)) {
	o := held{claim: claim, number: c.next(), size: claim.Size, weight: claim.Weight, seen: true}
	f := h.finding(at, o, Open)
	f.HeldBy = c.admit(at, h.kind.Name, o.number, claim, o.weight)
	o.shown = f.HeldBy == ""
	f.Held = !o.shown
	h.open = append(h.open, o)
	say(f)
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
	s := o.claim.Say()
	return Finding{
		Number: o.number, At: at, Rule: h.kind.Name, Phase: p, Weight: o.weight, Held: !o.shown,
		Movers: o.claim.About, Rise: s.Rise, Faders: s.Faders, Stage: s.Stage, Text: s.Text, Try: s.Try,
		Evidence: s.Evidence, Accepted: s.Accepted && p == Eased,
	}
}
