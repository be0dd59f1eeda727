package rules

import "pawl/rules/desk"

// What every rule makes its facts of.

// fact is one about nobody in particular, as of now.
func fact(v *desk.View, p Phrase) Fact { return Fact{T: Moment(v.At), Phrase: p} }

// factOf is one about a mover, as of now. A phrase that names nobody yet names it.
func factOf(v *desk.View, m desk.Mover, p Phrase) Fact {
	who := v.Who(m)
	if p.Who == nil {
		p = p.Naming("who", who)
	}
	return Fact{T: Moment(v.At), About: &who, Phrase: p}
}

// moveFact is a raise, a lower or a return, as of when it came to rest.
func moveFact(v *desk.View, m desk.Move) Fact {
	f := factOf(v, m.Mover, Say("move."+m.Kind.String(), DB("by", m.Net().Abs()), DB("from", m.From), DB("to", m.To)))
	f.T = Moment(m.End)
	return f
}

// cast names movers, in their order.
func cast(v *desk.View, of []desk.Mover) []desk.Who {
	who := make([]desk.Who, 0, len(of))
	for _, m := range of {
		who = append(who, v.Who(m))
	}
	return who
}

func inputMover(i int) desk.Mover { return desk.Mover{Strip: desk.StripInput, Index: i} }
func dcaMover(k int) desk.Mover   { return desk.Mover{Strip: desk.StripDCA, Index: k} }
func groupMover(k int) desk.Mover { return desk.Mover{Strip: desk.StripGroup, Index: k} }
