package rules

import "pawl/rules/desk"

// said says who went up, what it did, and the way back.
func (c *creep) said(l *ledger) Said {
	s := l.figures()
	over := Time("over", l.At-l.start)
	s.What = []Phrase{l.raisedAs("creep.up", l.ups, over), Say("creep.louder", append(splitFigures(l.split), DB("total", l.split.Total()))...), l.best(l.ups)}
	back := l.wayBack()
	c.way = back
	s.Try, s.Then = l.try(back)
	for _, m := range l.ups {
		s.Facts = append(s.Facts, factOf(l.View, m, Say("creep.rose", DB("by", l.net(m)), DB("from", l.base.Fader(m)), DB("to", l.now.Fader(m)))))
	}
	s.Facts = append(s.Facts, fact(l.View, l.totals()))
	s.Facts = append(s.Facts, fact(l.View, Say("creep.why", Number("movers", len(l.ups)), DB("up", c.limits.Up), DB("part", l.split.Faders), DB("limit", c.least(l)))))
	if l.Basis() == desk.OnFaders {
		s.Facts = append(s.Facts, fact(l.View, Say("ratchet.on-faders")))
	}
	s.Facts = append(s.Facts, l.backFacts(back)...)
	return s
}

func (c *creep) eased(l *ledger) Said {
	s := l.figures()
	s.What = []Phrase{Say("creep.eased", DB("faders", l.split.Faders))}
	return s
}

// afresh says that it is measured from elsewhere now.
func (c *creep) afresh() Said { return Said{What: []Phrase{Say("creep.afresh")}} }
