package review

import (
	"cmp"
	"slices"
	"time"

	"pawl/rules"
)

// leastGap is the shortest hole worth a line: a restart takes a second or two.
const leastGap = rules.Moment(3 * time.Second)

// gaps is what the record does not have of the service.
func (c *course) gaps() []Gap {
	all := append(c.away(), c.stopped()...)
	all = append(all, c.holes(all)...)
	slices.SortStableFunc(all, func(a, b Gap) int { return cmp.Compare(a.From.T, b.From.T) })
	all = append(all, c.damage()...)
	if n := c.Service.Lost; n > 0 {
		all = append(all, Gap{Kind: Lost, From: c.when(0), Text: c.Speaker.Say(rules.Say("gap.lost", rules.Number("n", n)))})
	}
	return all
}

func (c *course) gap(kind GapKind, from, until rules.Moment, text rules.Phrase) Gap {
	return Gap{Kind: kind, From: c.when(from), Length: until - from, Text: c.Speaker.Say(text)}
}

// away is when the desk was not heard.
func (c *course) away() []Gap {
	all := []Gap{}
	add := func(from, until rules.Moment) {
		from = max(from, 0)
		if until-from >= leastGap {
			all = append(all, c.gap(Away, from, until, rules.Say("gap.desk-away", rules.Time("for", time.Duration(until-from)))))
		}
	}
	var since *rules.Moment
	in := 0
	for _, e := range c.entries {
		if since != nil && e.in != in {
			add(*since, c.ends(in))
			since = nil
		}
		l, ok := e.Entry.(*rules.Linked)
		switch {
		case !ok:
		case !l.Heard:
			since, in = &e.t, e.in
		default:
			add(e.t-l.Away, e.t)
			since = nil
		}
	}
	if since != nil {
		add(*since, c.ends(in))
	}
	return all
}

// stopped is when Pawl did not run.
func (c *course) stopped() (all []Gap) {
	for k := 1; k < len(c.Stretches); k++ {
		from, until := c.since(k-1, c.Stretches[k-1].Until), c.since(k, c.Stretches[k].From)
		if until-from >= leastGap {
			all = append(all, c.gap(Stopped, from, until, rules.Say("gap.pawl-away", rules.Time("for", time.Duration(until-from)))))
		}
	}
	return all
}

// holes are seconds without levels that nothing else explains.
func (c *course) holes(known []Gap) (all []Gap) {
	for k := range c.Stretches {
		levels := c.Stretches[k].Levels
		if len(levels) == 0 && len(c.Stretches[k].Entries) > 0 {
			all = append(all, c.gap(Lost, c.since(k, c.Stretches[k].From), c.ends(k), rules.Say("gap.no-levels")))
		}
		for i := 1; i < len(levels); i++ {
			from, until := c.since(k, levels[i-1].T), c.since(k, levels[i].T)
			explained := slices.ContainsFunc(known, func(g Gap) bool { return g.From.T < until && from < g.From.T+g.Length })
			if until-from > leastGap && !explained {
				all = append(all, c.gap(Lost, from, until, rules.Say("gap.levels", rules.Time("for", time.Duration(until-from)))))
			}
		}
	}
	return all
}
