package rules

import (
	"fmt"
	"slices"
	"time"

	"pawl/rules/desk"
)

// calm decides what reaches the operator's screen. All that it keeps back is
// still a finding and still in the record, with the reason.
type calm struct {
	limits CalmLimits
	count  int

	tokens   float64 // shows saved up, to limits.Most; one more every limits.Every
	filledAt time.Duration
	shows    []show
	silenced map[string]time.Duration // by rule, until when
}

// show is one whisper, nudge or now that reached the screen.
type show struct {
	number  int
	rule    string
	weight  Weight
	about   []desk.Mover
	size    desk.DB
	at      time.Duration
	counts  bool          // against the budget: it was not a now when it was shown
	visible bool          // neither eased nor seen
	left    time.Duration // when it left the screen, unless visible
}

func newCalm(l CalmLimits) *calm {
	return &calm{limits: l, tokens: float64(l.Most), silenced: map[string]time.Duration{}}
}

// next is a number for a new finding.
func (c *calm) next() int {
	c.count++
	return c.count
}

// admit answers "" if the claim may be shown now, and otherwise why not. One that
// is on the screen already may always grow there.
func (c *calm) admit(at time.Duration, rule string, number int, claim Claim, w Weight) string {
	if s := c.find(number); s != nil && s.visible {
		s.weight, s.size = w, max(s.size, claim.Size)
		return ""
	}
	c.refill(at)
	if until, ok := c.silenced[rule]; ok && at < until {
		return "not now, the operator said"
	}
	if c.burst(at, rule) {
		return fmt.Sprintf("it has opened %d times within %s", c.limits.Burst-1, spell(c.limits.BurstIn))
	}
	if s := c.before(at, rule, claim); s != nil {
		return fmt.Sprintf("said %s ago of the same faders", spell(at-s.at))
	}
	if w != Now {
		if !c.affords(at, w) {
			return fmt.Sprintf("no more than %d in %s, and the last of them is kept for more than a whisper",
				c.limits.Most, spell(c.limits.Every))
		}
		c.tokens--
	}
	c.shows = append(c.shows, show{number, rule, w, slices.Clone(claim.About), claim.Size, at, w != Now, true, 0})
	return ""
}

// refill saves up shows with time, and forgets those too old to matter.
func (c *calm) refill(at time.Duration) {
	c.tokens += float64(at-c.filledAt) / float64(max(c.limits.Every, 1))
	c.tokens = min(c.tokens, float64(c.limits.Most))
	c.filledAt = at
	keep := max(c.limits.Every, c.limits.Reopen, c.limits.BurstIn)
	c.shows = slices.DeleteFunc(c.shows, func(s show) bool { return !s.visible && at-s.left > keep })
}

func (c *calm) burst(at time.Duration, rule string) bool {
	n := 0
	for _, s := range c.shows {
		if s.rule == rule && at-s.at < c.limits.BurstIn {
			n++
		}
	}
	return n >= c.limits.Burst-1
}

// before is an earlier show of the same rule about the same movers that left the
// screen too recently to repeat, unless things are worse now by limits.Worse.
func (c *calm) before(at time.Duration, rule string, claim Claim) *show {
	for i := range c.shows {
		s := &c.shows[i]
		if s.rule == rule && (s.visible || at-s.left < c.limits.Reopen) && sameMovers(s.about, claim.About) &&
			!(claim.Size - s.size).Reaches(c.limits.Worse) {
			return s
		}
	}
	return nil
}

// sameMovers reports whether one list holds the other, in any order: the same
// few faders with one more among them are still the same few.
func sameMovers(a, b []desk.Mover) bool {
	if len(a) > len(b) {
		a, b = b, a
	}
	for _, m := range a {
		if !slices.Contains(b, m) {
			return false
		}
	}
	return true
}

// affords reports whether the budget has a show left, both within the last
// limits.Every and on average. What was shown cannot be unsaid, so the heaviest
// wins by keeping the last show for it: a whisper may not take that one.
func (c *calm) affords(at time.Duration, w Weight) bool {
	keep := 0
	if w == Whisper && c.limits.Most > 1 {
		keep = 1
	}
	n := keep
	for _, s := range c.shows {
		if s.counts && at-s.at < c.limits.Every {
			n++
		}
	}
	return n < c.limits.Most && c.tokens >= float64(1+keep)
}

// close takes a finding off the screen: it has eased, or was seen.
func (c *calm) close(at time.Duration, number int) {
	if s := c.find(number); s != nil && s.visible {
		s.visible, s.left = false, at
	}
}

// silence keeps a rule quiet until then.
func (c *calm) silence(rule string, until time.Duration) { c.silenced[rule] = until }

// visible reports whether a finding is on the operator's screen.
func (c *calm) visible(number int) bool {
	s := c.find(number)
	return s != nil && s.visible
}

// find is the latest show of a finding: one that was seen may be shown again.
func (c *calm) find(number int) *show {
	for i := len(c.shows) - 1; i >= 0; i-- {
		if c.shows[i].number == number {
			return &c.shows[i]
		}
	}
	return nil
}

// unsilence lets every rule speak again.
func (c *calm) unsilence() { clear(c.silenced) }
