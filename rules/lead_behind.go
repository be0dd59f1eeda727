package rules

import (
	"time"

	"pawl/rules/desk"
)

// leadBehind hears the lead voice lose ground: words that were clear at the mark are
// not any more, though nobody turned the voice down. What is measured is how the lead has
// changed at the main since the mark, while it sounds, less how all the rest together
// has: what it was then is that of the mark, or the first ten seconds of whoever came in
// later. That the lead is to keep its place is common practice; the figures are ours.
//
// So only those are compared who play now and played then. Somebody who joins changes the
// sum and nobody's place, or a song that builds up would be a lead that falls behind.
// Who sings the lead's words with it is not of the rest either.
type leadBehind struct {
	limits LeadBehindLimits
	over   time.Duration // of the mark's levels
	beats
	grounds []ground // by input
	segment int
	now     desk.Balance // scratch, as is the next
	then    desk.Balance
}

// ground is where one lead stands, and stood. Of the standing, ours is the lead and
// theirs by how much the rest has grown, 1 for not at all.
type ground struct {
	standing
	known  bool          // the rest of this was measured
	mark   time.Duration // of the mark that it belongs to
	lead   desk.DBFS     // then
	each   []desk.Power  // of the rest, what each put into the mix then; 0 if it did not play
	base   desk.Balance  // the mix then
	lost   desk.DB
	faders desk.DB // what of that the faders took
	told   bool    // it was said, and holds
}

// settled reports whether it is not on its way somewhere: what grows is said again once,
// and not at every step.
func (g *ground) settled(over time.Duration) bool {
	return (g.above(over) - g.above(desk.LongestBeats)).Abs() < 1
}

// LeadBehindLimits say when a lead that loses ground is worth a word.
type LeadBehindLimits struct {
	Behind desk.DB       `yaml:"behind" doc:"the lead against all the rest, this far below what it was at the mark" from:"ours"`
	Means  time.Duration `yaml:"means" doc:"by mean power over this much of its singing, at most 10s" from:"ours"`
	For    time.Duration `yaml:"for" doc:"for this long, while it sings" from:"ours"`
	Grew   desk.DB       `yaml:"grew" doc:"said again when it has grown by this" from:"ours"`
}

func defaultLeadBehindLimits() LeadBehindLimits {
	return LeadBehindLimits{Behind: 4, Means: 3 * time.Second, For: 10 * time.Second, Grew: 2}
}

var leadBehindKind = Kind{
	Name:    "lead-behind",
	Summary: "a lead voice that has lost ground to the rest since the mark",
	Needs:   []desk.Signal{desk.InputFader, desk.InputLevel},
	Helped:  []desk.Signal{desk.InputMute, desk.DCAFader, desk.GroupReduction},
	Says: []string{"lead-behind.lost", "lead-behind.faders", "lead-behind.stage", "lead-behind.up", "lead-behind.down",
		"lead-behind.then", "lead-behind.stood", "lead-behind.moved", "lead-behind.eased"},
	In:   []desk.SegmentKind{desk.Music},
	Grew: func(l Limits) desk.DB { return l.LeadBehind.Grew },
	New:  func(l Limits) Rule { return &leadBehind{limits: l.LeadBehind, over: l.Mix.JudgeOver} },
}

// Judge implements Rule. It holds at most one claim for each lead.
func (r *leadBehind) Judge(v *desk.View, claim func(Claim)) {
	if r.grounds == nil {
		r.grounds = make([]ground, v.Inputs())
	}
	r.begin(v)
	fell := r.fell(v)
	for i := range r.grounds {
		g := &r.grounds[i]
		was := g.on
		if fell {
			r.count(v, i)
		}
		g.told = g.told && g.on
		switch {
		case g.on:
			c := Claim{Key: i, About: []desk.Mover{inputMover(i)}, Weight: Nudge, Size: g.lost}
			if !v.Moving && (!g.told || g.settled(r.limits.Means)) { // once the hand has finished
				c.Say = func() Said { return r.said(v, i) }
			}
			claim(c)
		case was && g.idle == 0:
			claim(Claim{Key: i, Eased: true, Say: func() Said { return r.eased(v, i) }})
		}
	}
}

// begin forgets what was measured in another scene, or in another part of the service
// if nobody set the mark by hand.
func (r *leadBehind) begin(v *desk.View) {
	elsewhere := v.Segment.Number != r.segment && v.Mark.How != desk.ByHand
	r.segment = v.Segment.Number
	for _, m := range v.Moves {
		elsewhere = elsewhere || m.Kind == desk.Scene || m.Kind == desk.Reroute
	}
	if elsewhere {
		clear(r.grounds)
	}
}

func (r *leadBehind) count(v *desk.View, i int) {
	g := &r.grounds[i]
	lead := v.Element(i) == desk.Lead
	if !lead && g.full == 0 {
		return // as nearly all are
	}
	grown := g.grown(v, i)
	g.beat(lead && v.Sounds(i) && grown > 0, v.Moment().Share(i), grown)
	if g.idle > 0 {
		return
	}
	r.refer(v, g, i)
	if !g.known || g.full == 0 {
		return
	}
	g.lost = desk.DB(g.lead) - g.above(r.limits.Means)
	g.keeps(g.lost, r.limits.Behind, r.limits.Behind-1, r.limits.For, 2*time.Second)
}

// grown is by how much all of the rest have grown who play now and played then; 0 if
// nobody does.
func (g *ground) grown(v *desk.View, lead int) desk.Power {
	if !g.known {
		return 1
	}
	var then, now desk.Power
	for i, was := range g.each {
		if was > 0 && v.Playing(i) {
			then, now = then+was, now+v.Moment().Share(i)
		}
	}
	if then == 0 {
		return 0
	}
	return now / then
}

// refer measures where a lead stands at a new mark, as soon as it has sung for long
// enough, and where each of the rest does, as soon as it has played for so long.
func (r *leadBehind) refer(v *desk.View, g *ground, lead int) {
	if !v.Mark.Set || g.full < int(r.over/desk.Beat) {
		return
	}
	if !g.known || g.mark != v.Mark.At {
		sung, _ := g.means(r.over)
		g.standing, g.lost = standing{}, 0
		g.known, g.mark, g.lead, g.each = true, v.Mark.At, sung.Level(), make([]desk.Power, v.Inputs())
		v.Balance(&g.base, r.over)
	}
	for i, was := range g.each {
		if was == 0 && v.PlayingFor(i) >= r.over && v.Element(i) != desk.Lead && !isHarmony(v, i, lead) {
			v.Balance(&r.now, r.over)
			g.each[i] = r.now.Share(i)
		}
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

// stands is how far the lead is above all that it is compared to, in a mix.
func (g *ground) stands(v *desk.View, lead int, b *desk.Balance) desk.DB {
	return b.Share(lead).Level().Above(g.rest(v, b.Share).Level())
}

// rest is the sum of this of all that the lead is compared to now.
func (g *ground) rest(v *desk.View, of func(i int) desk.Power) (p desk.Power) {
	for i, was := range g.each {
		if was > 0 && v.Playing(i) {
			p += of(i)
		}
	}
	return p
}

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
	if own := g.base.Gain(i).Above(v.Gain(i)); rise < 1 || own.Reaches(g.faders/2) {
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

// eachFader is every input and DCA that plays now and was open then, with how far its
// fader stands from where it stood.
func (g *ground) eachFader(v *desk.View, f func(of desk.Mover, by desk.DB)) {
	for _, bank := range []struct {
		strip desk.Strip
		n     int
	}{{desk.StripInput, v.Inputs()}, {desk.StripDCA, v.DCAs()}} {
		for k := range bank.n {
			m := desk.Mover{Strip: bank.strip, Index: k}
			if was, is := g.base.Fader(m), v.Stands(m); v.Active(m) && was > desk.Off && is > desk.Off {
				f(m, is-was)
			}
		}
	}
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

func (r *leadBehind) eased(v *desk.View, i int) Said {
	lost := r.grounds[i].lost
	return Said{
		Figures: Figures{DB("lost", lost)},
		What:    []Phrase{Say("lead-behind.eased", DB("lost", lost)).Naming("who", v.Who(inputMover(i)))},
	}
}
