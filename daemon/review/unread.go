package review

import (
	"strings"
	"time"

	"pawl/daemon/store"
	"pawl/rules"
	"pawl/rules/desk"
)

// unread is something that the record has and that cannot be read, on the service's clock.
type unread struct {
	store.Unread
	t, until rules.Moment
}

// miss notes what cannot be read of a stretch. A time that no service has is taken for the
// beginning of the stretch.
func (c *course) miss(stretch int, u store.Unread) {
	within := func(t rules.Moment) rules.Moment {
		if t < -farthest || t > farthest {
			t = c.Stretches[stretch].From
		}
		return max(0, min(c.since(stretch, t), c.length))
	}
	c.unread = append(c.unread, unread{u, within(u.From), within(u.Until)})
}

// unreadEntries is how many entries cannot be read.
func (c *course) unreadEntries() (n int) {
	for _, u := range c.unread {
		n += u.Entries()
	}
	return n
}

// mostUnread is how much of what cannot be read is told one by one.
const mostUnread = 6

// damage says what of the service cannot be read, as far as that is known; nil if all can.
func (c *course) damage() []Gap {
	if c.Broken {
		return []Gap{{Kind: Damaged, From: c.when(0), Text: c.Speaker.Say(rules.Say("damage.all"))}}
	}
	if len(c.unread) == 0 {
		return nil
	}
	var told []string
	for _, u := range c.unread[:min(len(c.unread), mostUnread)] {
		told = append(told, c.Speaker.Say(c.unreadIs(u)))
	}
	list := strings.Join(told, "; ")
	if more := len(c.unread) - len(told); more > 0 {
		list += "; " + c.Speaker.Say(rules.Say("damage.more", rules.Number("n", more)))
	}
	return []Gap{{Kind: Damaged, From: c.when(c.unread[0].t), Text: c.Speaker.Say(rules.Say("damage.some").Quoting("list", list))}}
}

// unreadIs is what one is about.
func (c *course) unreadIs(u unread) rules.Phrase {
	at := clock(c.when(u.t))
	switch u.What {
	case store.UnreadEntries:
		return rules.Say("damage.span").Quoting("from", at).Quoting("to", clock(c.when(u.until)))
	case store.UnreadLevels:
		return rules.Say("damage.levels", rules.Time("for", time.Duration(u.Count)*time.Second)).Quoting("at", at)
	case store.UnreadStrips:
		return rules.Say("damage.strips").Quoting("at", at)
	}
	switch u.Kind {
	case rules.FindingEntry:
		if u.Rule == "" {
			return rules.Say("damage.finding").Quoting("at", at)
		}
		return rules.Say("damage.opening").Quoting("at", at).Quoting("rule", c.ruleCalled(u.Rule))
	case rules.MoveEntry:
		if u.Who.Strip == desk.NoStrip {
			return rules.Say("damage.move").Quoting("at", at)
		}
		return rules.Say("damage.move-of").Quoting("at", at).Naming("who", c.Speaker.Label(u.Who))
	case rules.SegmentEntry:
		return rules.Say("damage.segment").Quoting("at", at)
	case rules.PressEntry:
		return rules.Say("damage.press").Quoting("at", at)
	}
	return rules.Say("damage.entry").Quoting("at", at)
}

// ruleCalled is what a rule is called, or its own name for one that this Pawl does not know.
func (c *course) ruleCalled(rule string) string {
	for _, k := range rules.Kinds {
		if k.Name == rule {
			return tongue{c.Speaker}.rule(rule)
		}
	}
	return rule
}
