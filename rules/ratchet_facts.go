package rules

import "pawl/rules/desk"

// facts are the whole arithmetic of a finding: the moves in their order, what each
// raise bought, the change of the total and its split, what the groups took back,
// why it weighs what it does, and the way back.
func (l *ledger) facts(back wayBack) []Fact {
	out := l.moveFacts()
	for _, m := range l.ups {
		out = append(out, factOf(l.View, m, l.bought(m)))
		if took := l.tookBack(m); took >= audible {
			out = append(out, factOf(l.View, m, Say("ratchet.group-took", DB("by", took))))
		}
	}
	out = append(out, fact(l.View, l.totals()))
	out = append(out, l.groupFacts()...)
	out = append(out, fact(l.View, l.why()))
	switch l.Basis() {
	case desk.OnFaders:
		out = append(out, fact(l.View, Say("ratchet.on-faders")))
	case desk.Partly:
		out = append(out, fact(l.View, Say("ratchet.partly")))
	}
	return append(out, l.backFacts(back)...)
}

// moveFacts are the moves that the episode is made of.
func (l *ledger) moveFacts() []Fact {
	var out []Fact
	for _, m := range l.moves {
		out = append(out, moveFact(l.View, m))
	}
	return out
}

// tookBack is what the groups of an input, if it feeds the main by groups alone,
// took of its raise: how much more their compressors hold it down.
func (l *ledger) tookBack(m desk.Mover) desk.DB {
	if m.Strip != desk.StripInput {
		return 0
	}
	return l.base.HeldOf(m.Index).Above(l.now.HeldOf(m.Index))
}

// totals are both ends. Without meters there is a change and no level.
func (l *ledger) totals() Phrase {
	if l.Basis() == desk.OnFaders {
		return Say("ratchet.change", append(splitFigures(l.split), DB("total", l.split.Total()))...)
	}
	return Say("ratchet.totals", append(splitFigures(l.split), Level("then", l.base.Total()), Level("now", l.now.Total()))...)
}

// groupFacts is what each group's compressor did about the raises.
func (l *ledger) groupFacts() []Fact {
	var out []Fact
	for k := range l.Groups() {
		m := groupMover(k)
		switch back := l.base.Held(k).Above(l.now.Held(k)); {
		case back >= audible:
			out = append(out, factOf(l.View, m, Say("ratchet.group-holds", DB("by", back))))
		case back <= -audible:
			out = append(out, factOf(l.View, m, Say("ratchet.group-lets", DB("by", -back))))
		}
	}
	return out
}

// why is the limit that gave the finding its weight.
func (l *ledger) why() Phrase {
	raised, lowered := l.tally()
	of := func(id string, limit desk.DB) Phrase {
		return Say(id, Number("movers", len(l.ups)), DB("up", l.limits.Up), DB("raised", raised), DB("lowered", lowered),
			DB("part", l.split.Faders), DB("limit", limit))
	}
	again, two := l.reRaised(), l.vying()
	switch f := l.split.Faders; {
	case f.Reaches(l.limits.Nudge):
		return of("ratchet.why", l.limits.Nudge)
	case len(again) > 0 && f.Reaches(l.limits.ReRaise):
		return of("ratchet.why-again", l.limits.ReRaise).Naming("who", l.Who(again[0]))
	case len(two) > 0 && f.Reaches(l.limits.ReRaise):
		return of("ratchet.why-vies", l.limits.ReRaise).Naming("who", cast(l.View, two)...)
	case len(two) > 0 && l.turns() < l.limits.Movers:
		return of("ratchet.why-vies", l.limits.Again).Naming("who", cast(l.View, two)...)
	case !f.Reaches(l.limits.Whisper):
		return of("ratchet.why", l.limits.Again)
	}
	return of("ratchet.why", l.limits.Whisper)
}

func (l *ledger) backFacts(w wayBack) []Fact {
	var out []Fact
	for _, t := range w.trims {
		from := l.now.Fader(t.who)
		out = append(out, factOf(l.View, t.who, Say("ratchet.back", DB("by", t.by), DB("from", from), DB("to", from-t.by))))
	}
	if len(w.trims) > 0 {
		out = append(out, fact(l.View, Say("ratchet.back-total", DB("part", w.part), DB("lower", w.total.now.Above(w.total.then)))))
	}
	return out
}
