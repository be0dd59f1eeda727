package rules

import "pawl/rules/desk"

// ratchetPhrases is every phrase of the ratchet. What each says stands in the catalogues.
var ratchetPhrases = []string{
	"ratchet.raised", "ratchet.raised-little", "ratchet.split", "ratchet.same", "ratchet.nobody", "ratchet.up", "ratchet.stands",
	"ratchet.on-faders", "ratchet.try", "ratchet.try-back", "ratchet.try-back-also", "ratchet.try-whole", "ratchet.try-and-down", "ratchet.try-far", "ratchet.try-later", "ratchet.try-each",
	"ratchet.then", "ratchet.then-held", "ratchet.then-listen", "ratchet.then-whole", "ratchet.then-rest", "ratchet.then-each",
	"ratchet.eased", "ratchet.accepted", "ratchet.elsewhere",
	"move.raise", "move.lower", "move.return",
	"ratchet.group-took", "ratchet.totals", "ratchet.change", "ratchet.group-holds", "ratchet.group-lets", "ratchet.why", "ratchet.why-again", "ratchet.why-vies",
	"ratchet.partly", "ratchet.back", "ratchet.back-total",
}

// opened says what happened, what it did, and the way back.
func (l *ledger) opened() Said {
	s := l.figures()
	about := l.who()
	s.What = []Phrase{l.raised(about), l.splitPhrase(), l.best(about)}
	if l.Basis() == desk.OnFaders {
		s.What = append(s.What, Say("ratchet.on-faders"))
	}
	back := l.wayBack()
	l.way = back
	s.Try, s.Then = l.try(back)
	s.Facts = l.facts(back)
	return s
}

// figures are what every finding of the ratchet measures.
func (l *ledger) figures() Said {
	return Said{Figures: append(Figures{DB("rise", l.split.Total())}, splitFigures(l.split)...)}
}

// raised is who went up, by how much, and over how long.
func (l *ledger) raised(about []desk.Mover) Phrase {
	over := Time("over", l.last-l.start)
	if len(about) == 0 {
		return Say("ratchet.raised-little", over)
	}
	return l.raisedAs("ratchet.raised", about, over)
}

// raisedAs is the phrase of that name on who went up and by how much.
func (l *ledger) raisedAs(id string, about []desk.Mover, over Figure) Phrase {
	least, most := l.net(about[0]), l.net(about[0])
	for _, m := range about[1:] {
		least, most = min(least, l.net(m)), max(most, l.net(m))
	}
	return Say(id, DB("least", least), DB("most", most), over).Naming("who", cast(l.View, about)...)
}

// splitPhrase is the change of the total and its causes.
func (l *ledger) splitPhrase() Phrase {
	return Say("ratchet.split", append(splitFigures(l.split), DB("total", l.split.Total()), Time("since", l.At-l.start))...)
}

// best is what was bought: by everybody, if all went up alike, or else by the one
// that was raised most.
func (l *ledger) best(about []desk.Mover) Phrase {
	if mean, same := l.sameBalance(); same {
		return Say("ratchet.same", DB("by", mean))
	}
	var best desk.Mover
	for _, m := range about {
		if movesGains(m) && (best == desk.Mover{} || l.net(m).Shown() > l.net(best).Shown()) {
			best = m
		}
	}
	if best == (desk.Mover{}) {
		return Say("ratchet.nobody")
	}
	return l.bought(best)
}

// movesGains reports whether a mover's part in a rise is counted among the
// faders: a group's is counted among the groups, and the main is on its own.
func movesGains(m desk.Mover) bool { return m.Strip == desk.StripInput || m.Strip == desk.StripDCA }

// bought is what a mover's raise did for it: how much it gained on the mix, and
// how much went to sheer volume.
func (l *ledger) bought(m desk.Mover) Phrase {
	raised := l.net(m)
	if !movesGains(m) {
		return Say("ratchet.up", DB("raised", raised)).Naming("who", l.Who(m))
	}
	clearer, ok := l.clearer(m)
	if !ok {
		return Say("ratchet.up", DB("raised", raised)).Naming("who", l.Who(m)) // there is nothing else to stand out of
	}
	// Swallowed is taken from what is shown, so that the numbers in a sentence add up.
	return Say("ratchet.stands", DB("raised", raised), DB("clearer", clearer), DB("swallowed", raised.Shown()-clearer.Shown())).Naming("who", l.Who(m))
}

// try proposes the way back, and says where it leads.
func (l *ledger) try(w wayBack) (try, then Phrase) {
	if len(w.trims) == 0 {
		return Say("ratchet.try-each"), Say("ratchet.then-each")
	}
	by := DB("by", mostOfAll(w.trims))
	whom := cast(l.View, whomOf(w.trims))
	if l.split.Stage <= -audible && l.split.Total() < l.limits.Eased {
		return Say("ratchet.try-later", by).Naming("who", whom...), Phrase{}
	}
	lower, part := DB("lower", w.total.now.Above(w.total.then)), DB("part", w.part)
	above := DB("above", w.total.then.Above(l.base.Total()))
	try = Say("ratchet.try", by).Naming("who", whom...)
	if w.whole {
		if try = l.tryWhole(w); w.back < len(w.trims) {
			then = Say("ratchet.then-whole", lower, above)
			if !w.leads() {
				then = Say("ratchet.then-rest", lower, part)
			}
			return try, then
		}
	}
	then = Say("ratchet.then", lower, above)
	if !w.leads() {
		then = Say("ratchet.then-listen", lower, part)
	}
	if !l.now.Answers() {
		// Reduction is held as it is in this prediction, and a compressor that is fed
		// less lets more through: the true way down is shorter.
		then = Say("ratchet.then-held", lower)
	}
	return try, then.Naming("who", whom...).Naming("alongside", l.alongside(w.trims[0].who)...)
}

// tryWhole proposes to put faders back where they were, or some of them towards it.
func (l *ledger) tryWhole(w wayBack) Phrase {
	var there, towards []trim
	for _, t := range w.trims {
		if l.net(t.who) > t.by+audible {
			towards = append(towards, t)
		} else {
			there = append(there, t)
		}
	}
	who := func(of []trim) []desk.Who { return cast(l.View, whomOf(of)) }
	by := DB("by", mostOfAll(towards))
	switch {
	case len(towards) == 0 && w.back == len(w.trims):
		return Say("ratchet.try-back").Naming("who", who(there)...)
	case len(towards) == 0 && w.back > 0 && w.back == len(there)-1:
		return Say("ratchet.try-back-also").Naming("who", who(there[:w.back])...).Naming("also", who(there[w.back:])...)
	case len(towards) == 0:
		return Say("ratchet.try-whole").Naming("who", who(there)...)
	case len(there) > 0 && len(towards) == 1:
		return Say("ratchet.try-and-down", by).Naming("who", who(there)...).Naming("also", who(towards)...)
	}
	return Say("ratchet.try-far", by).Naming("who", who(w.trims)...)
}

// whomOf is the movers of trims, in their order.
func whomOf(trims []trim) (whom []desk.Mover) {
	for _, t := range trims {
		whom = append(whom, t.who)
	}
	return whom
}

// mostOfAll is the largest of trims.
func mostOfAll(trims []trim) (most desk.DB) {
	for _, t := range trims {
		most = max(most, t.by)
	}
	return most
}

// alongside is who comes down with a DCA though it was not raised.
func (l *ledger) alongside(m desk.Mover) []desk.Who {
	who := []desk.Who{}
	l.eachPlaying(func(i int, _ desk.Power) {
		if m.Strip == desk.StripDCA && l.Drives(m, i) && !l.gained(i).Reaches(l.limits.Up) {
			who = append(who, l.Who(inputMover(i)))
		}
	})
	return who
}

// eased says that the faders no longer add anything that matters. It does not say
// why: an input that stopped playing eases the whole as well as one taken back.
func (l *ledger) eased() Said {
	s := l.figures()
	s.What, s.Facts = []Phrase{Say("ratchet.eased", DB("faders", l.split.Faders))}, l.moveFacts()
	return s
}

// accepted says that the new level stands.
func (l *ledger) accepted() Said {
	s := l.figures()
	s.Accepted = true
	s.What, s.Facts = []Phrase{Say("ratchet.accepted", Time("for", l.limits.Accepted), DB("faders", l.split.Faders))}, l.moveFacts()
	return s
}

// elsewhere says that the mix has become another one.
func (e *episode) elsewhere() Said {
	return Said{
		Figures: append(Figures{DB("rise", e.split.Total())}, splitFigures(e.split)...),
		What:    []Phrase{Say("ratchet.elsewhere")},
	}
}
