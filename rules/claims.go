package rules

import (
	"slices"
	"time"

	"pawl/rules/desk"
)

// claims makes findings of what one rule claims: it gives each a number, and says
// it when it opens, when it has grown, and when it has eased. A new rule is calm
// without trying, because this is where patience lives.
type claims struct {
	kind Kind
	rule Rule
	grew desk.DB
	open []*opened

	out    time.Duration // how long the service was in segments of other kinds
	outAt  time.Duration // as watched, when that was last counted
	left   time.Duration // as watched, when it came into the one that it is in
	absent bool          // it is in one now

	number *int // of the newest finding of all rules
	at     time.Duration
	fresh  []news
	claim  func(Claim) // take, bound once
}

func newClaims(k Kind, r Rule, l Limits, number *int) *claims {
	c := &claims{kind: k, rule: r, number: number}
	if k.Grew != nil {
		c.grew = k.Grew(l)
	}
	c.claim = c.take
	return c
}

// opened is a claim that has been said and still holds.
type opened struct {
	claim    Claim
	said     Said // the last facts
	rule     string
	number   int
	size     desk.DB // when last said
	weight   Weight
	at       time.Duration // when last said
	repeated bool          // in this view
	renewed  int           // how many times the words that stand were made anew
	anew     bool          // in this view
}

// news is one thing to say of a claim.
type news struct {
	of    *opened
	state State
}

// look shows the rule a view, and appends what is new to fresh. The view's clock of
// watching stands, for this rule, while the segment is not one of its own.
func (c *claims) look(v *desk.View, fresh []news) []news {
	if c.absent {
		c.out += v.Watched - c.outAt
	}
	was := c.absent
	c.outAt, c.absent = v.Watched, !c.kind.belongs(v.Segment)
	if c.absent {
		if !was {
			c.left = v.Watched
		}
		return c.forget(v, fresh)
	}
	watched := v.Watched
	v.Watched, v.Elsewhere = watched-c.out, c.out
	defer func() { v.Watched, v.Elsewhere = watched, 0 }()
	for _, o := range c.open {
		o.repeated = false
	}
	c.at, c.fresh = v.At, fresh
	c.rule.Judge(v, c.claim)
	c.open = slices.DeleteFunc(c.open, func(o *opened) bool {
		if o.repeated && !o.claim.Eased {
			return false
		}
		o.at = v.At
		c.fresh = append(c.fresh, news{o, Eased})
		return true
	})
	return c.fresh
}

// gone is after how long in a segment of another kind what was so before it is over:
// a few words within a song are shorter, and after longer ones comes another song.
const gone = time.Minute

// forget ends what was said of a segment that is over, with the last that was said.
func (c *claims) forget(v *desk.View, fresh []news) []news {
	if v.Watched-c.left < gone {
		return fresh
	}
	for _, o := range c.open {
		o.at = v.At
		fresh = append(fresh, news{o, Eased})
	}
	c.open = c.open[:0]
	return fresh
}

// take enters a claim, and notes it if there is something new to say of it.
func (c *claims) take(claim Claim) {
	o := c.find(claim.Key)
	switch {
	case o == nil && (claim.Eased || claim.Say == nil || claim.Weight == 0):
		return // it was over before it was worth a word, or there are no words to make anew
	case o == nil:
		*c.number++
		o = &opened{rule: c.kind.Name, number: *c.number}
		c.open = append(c.open, o)
		c.tell(o, claim, Open)
		return
	}
	o.repeated = true
	if claim.About != nil {
		o.claim.About = claim.About // more may have joined, though it is nothing to say
	}
	switch {
	case claim.Eased:
		o.claim.Eased = true
		if claim.Say != nil {
			o.said = claim.Say()
		}
	case claim.Say != nil && (claim.More || claim.Weight > o.weight || c.grew > 0 && (claim.Size-o.size).Reaches(c.grew)):
		c.tell(o, claim, Grew)
	case claim.Say != nil && claim.Anew:
		o.said, o.anew = claim.Say(), true
		o.renewed++
	}
}

func (c *claims) tell(o *opened, claim Claim, state State) {
	if claim.About == nil {
		claim.About = o.claim.About // it grew about the same
	}
	o.claim, o.repeated = claim, true
	o.size, o.weight = max(claim.Size, o.size), max(claim.Weight, o.weight)
	o.said, o.at = claim.Say(), c.at
	c.fresh = append(c.fresh, news{o, state})
}

func (c *claims) find(key int) *opened {
	for _, o := range c.open {
		if o.claim.Key == key {
			return o
		}
	}
	return nil
}
