package review

import (
	"cmp"
	"slices"

	"pawl/rules"
	"pawl/rules/desk"
)

// habit is something that may be worth practising, as often as it was in one service.
type habit struct {
	name    string
	about   string  // the group, for one that each has
	most    desk.DB // and the most of its window
	moments []Moment
}

// exercise is a habit that can be the one thing: so often in all, over the last services.
type exercise struct {
	name  string
	often int
	what  rules.Phrase
}

// exercises are all of them. What is to be chosen first of two that are as common
// stands first.
func exercises() []exercise {
	return []exercise{
		{"not-back", 2, rules.Say("practise.not-back")},
		{"ratchets", 3, rules.Say("practise.ratchets")},
		{"lead-behind", 3, rules.Say("practise.lead-behind")},
		{"solo-raises", 3, rules.Say("practise.solo-raises")},
		{"window", 2, rules.Say("practise.window")},
		{"swallowed", 6, rules.Say("practise.swallowed")},
	}
}

// mostOver is the share of a group's time over its window from which on it is a habit.
const mostOver = 0.25

// lastServices is over how many services the one thing is chosen, and inServices in how
// many of them a habit has to be: what was once is no habit.
const (
	lastServices = 4
	inServices   = 2
	mostMoments  = 6
)

// habits are what was in a service.
func (c *course) habits(r *Report) (all []habit) {
	moment := func(w When, text string) Moment { return Moment{r.Heading.ID, r.Heading.Title, w, text} }
	add := func(name, about string, m Moment) {
		i := slices.IndexFunc(all, func(h habit) bool { return h.name == name && h.about == about })
		if i < 0 {
			all, i = append(all, habit{name: name, about: about}), len(all)
		}
		all[i].moments = append(all[i].moments, m)
	}
	for i, l := range c.lives {
		f := &r.Findings[i]
		switch f.Rule {
		case "ratchet":
			add("ratchets", "", moment(f.Opened, c.glance(l)))
			if l.shown == nil {
				continue
			}
			if how, _ := c.wayBack(l); how == notBack {
				add("not-back", "", moment(*f.Shown, c.glance(l)))
			}
		case "lead-behind":
			add("lead-behind", "", moment(f.Opened, c.glance(l)))
		case "solo-raise":
			add("solo-raises", "", moment(f.Opened, c.glance(l)))
		}
	}
	for i := range r.Groups {
		if g := &r.Groups[i]; g.Over > mostOver && g.Played >= rules.Moment(c.Limits.Least) {
			add("window", g.Who.Name, moment(*g.At, c.Speaker.Say(rules.Say("practise.window-moment", rules.DB("worst", g.Worst), percent("percent", g.Over)).Naming("who", g.Who))))
			all[len(all)-1].most = c.last().Window.High
		}
	}
	for _, m := range swallowed(r.Moves) {
		add("swallowed", "", moment(m.Ended, c.Speaker.Say(rules.Say("practise.swallowed-moment",
			rules.DB("by", m.By), rules.DB("swallowed", m.Bought.Swallowed)).Naming("who", m.Who))))
	}
	return all
}

// mostly is how many raises have to be swallowed for it to be a habit, beside being most
// of all: where several are raised, the one or other is always overtaken.
const mostly = 3

// swallowed are the raises of which the others swallowed more than half, if that is what
// came of most raises.
func swallowed(moves []Move) (lost []*Move) {
	told := 0
	for i := range moves {
		if b := moves[i].Bought; b != nil {
			told++
			if b.Swallowed > b.Raised/2 {
				lost = append(lost, &moves[i])
			}
		}
	}
	if len(lost) < mostly || 2*len(lost) <= told {
		return nil
	}
	return lost
}

// glance is the first thing that a finding said.
func (c *course) glance(l *life) string {
	if len(l.worst.What) == 0 {
		return ""
	}
	return c.Speaker.Say(l.worst.What[0])
}

// common is an exercise that is common enough.
type common struct {
	exercise
	about    string
	most     desk.DB
	services int
	times    int
	moments  []Moment
}

// ChooseOneThing is the one thing to practise, from the newest of the services that had
// enough music: what was in the most of them, then what was there the most often against
// how often it takes. It is nil if nothing was common enough, which is no shame.
func ChooseOneThing(services []Listed, o Options) *OneThing {
	o = o.filled()
	services = slices.Clone(services)
	slices.SortStableFunc(services, func(a, b Listed) int { return b.Heading.Began.Compare(a.Heading.Began) })
	services = slices.DeleteFunc(services, func(l Listed) bool { return l.Heading.Music < rules.Moment(o.Limits.Least) })
	services = services[:min(len(services), lastServices)]
	best := choose(services, func(c *common) bool { return c.services >= inServices && c.times >= c.often })
	if best == nil {
		return nil
	}
	return best.say(o, len(services), rules.Say("practise.why",
		rules.Number("times", best.times), rules.Number("in", best.services), rules.Number("of", len(services))))
}

// nextTime is the same of one service alone, for which half as often is enough; it asks
// for no habit.
func (c *course) nextTime(r *Report) *OneThing {
	best := choose([]Listed{{Heading: r.Heading, habits: c.habits(r)}}, func(c *common) bool { return 2*c.times >= c.often })
	if best == nil {
		return nil
	}
	slices.Reverse(best.moments) // one evening is read from its beginning
	return best.say(c.Options, 1, rules.Say("practise.why-here", rules.Number("times", best.times)))
}

// choose is the most common thing of those that are common enough; nil for none.
func choose(services []Listed, enough func(*common) bool) (best *common) {
	for _, p := range exercises() {
		for _, c := range p.among(services) {
			if enough(&c) && (best == nil || c.before(best)) {
				best = &c
			}
		}
	}
	return best
}

func (c *common) say(o Options, services int, why rules.Phrase) *OneThing {
	what := c.what
	if c.about != "" {
		what = rules.Say(what.ID, rules.DB("most", c.most)).Quoting("group", c.about)
	}
	return &OneThing{
		Name: c.name, What: o.Speaker.Say(what), Why: o.Speaker.Say(why), Services: services,
		Moments: c.moments[:min(len(c.moments), mostMoments)],
	}
}

// among is the exercise in services, once for each whom it is about.
func (p exercise) among(services []Listed) (all []common) {
	for i := range services {
		for _, h := range services[i].habits {
			if h.name != p.name {
				continue
			}
			k := slices.IndexFunc(all, func(c common) bool { return c.about == h.about })
			if k < 0 {
				all, k = append(all, common{exercise: p, about: h.about, most: h.most}), len(all)
			}
			c := &all[k]
			c.services, c.times = c.services+1, c.times+len(h.moments)
			newest := slices.Clone(h.moments)
			slices.Reverse(newest)
			c.moments = append(c.moments, newest...)
		}
	}
	slices.SortFunc(all, func(a, b common) int { return cmp.Compare(a.about, b.about) })
	return all
}

// before reports whether c is chosen before another that stands before it.
func (c *common) before(o *common) bool {
	if c.services != o.services {
		return c.services > o.services
	}
	return c.times*o.often > o.times*c.often
}
