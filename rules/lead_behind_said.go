package rules

import "pawl/rules/desk"

func (r *leadBehind) said(v *desk.View, i int) Said {
	g, m := &r.grounds[i], inputMover(i)
	g.faders, g.told = r.byFaders(v, i), true
	who := v.Who(m)
	sings, grown := g.means(r.limits.Means)
	cause := "lead-behind.stage"
	if g.faders.Reaches(1) {
		cause = "lead-behind.faders"
	}
	s := Said{
		Figures: Figures{DB("lost", g.lost), DB("faders", g.faders)},
		What: []Phrase{
			Say("lead-behind.lost", DB("lost", g.lost), Time("for", r.limits.For)).Naming("who", who),
			Say(cause, DB("faders", g.faders)),
		},
		Facts: []Fact{factOf(v, m, Say("lead-behind.stood", DB("lead", desk.DB(sings.Level()-g.lead)), DB("rest", desk.DB(grown.Level()))))},
	}
	whom, rise := r.risen(v, i)
	if own := g.lowered(v, i); rise < 1 || own.Reaches(g.faders/2) {
		s.Try = Say("lead-behind.up", DB("by", downBy(max(own, g.lost)))).Naming("who", who)
	} else {
		s.Try = Say("lead-behind.down", DB("by", downBy(rise))).Naming("who", v.Who(whom))
	}
	s.Then = Say("lead-behind.then").Naming("who", who)
	g.eachFader(v, func(of desk.Mover, by desk.DB) {
		if by.Abs().Reaches(1) {
			s.Facts = append(s.Facts, factOf(v, of, Say("lead-behind.moved", DB("by", by))))
		}
	})
	return s
}

func (r *leadBehind) eased(v *desk.View, i int) Said {
	lost := r.grounds[i].lost
	return Said{
		Figures: Figures{DB("lost", lost)},
		What:    []Phrase{Say("lead-behind.eased", DB("lost", lost)).Naming("who", v.Who(inputMover(i)))},
	}
}

// byFaders is the ground that the faders took: what is played now, put through the
// faders of then with the groups answering, less what it is. Whoever was closed then is
// taken as open: to let somebody in is no raise.
func (r *leadBehind) byFaders(v *desk.View, lead int) desk.DB {
	g := &r.grounds[lead]
	v.Balance(&r.now, r.limits.Means)
	r.then.CopyFrom(&r.now)
	r.then.TakeFaders(&g.base)
	for i, was := range g.each {
		if was > 0 && g.base.Gain(i) == desk.Off {
			r.then.SetFader(inputMover(i), r.now.Fader(inputMover(i)))
		}
	}
	return g.stands(v, lead, &r.then) - g.stands(v, lead, &r.now)
}

// risen is the fader whose rise put most over the lead, and by how much it rose.
func (r *leadBehind) risen(v *desk.View, lead int) (whom desk.Mover, rise desk.DB) {
	var most desk.Power
	r.grounds[lead].eachFader(v, func(m desk.Mover, by desk.DB) {
		if by < 1 || v.Drives(m, lead) {
			return
		}
		added := desk.Power(1-(-by).Ratio()) * r.grounds[lead].rest(v, func(i int) desk.Power {
			if !v.Drives(m, i) {
				return 0
			}
			return r.now.Share(i)
		})
		if added > most {
			whom, rise, most = m, by, added
		}
	})
	return whom, rise
}
