package rules

import (
	"time"

	"pawl/rules/desk"
)

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

// grown is by how much all of the rest have grown who play now and played then; 0 if
// nobody does.
func (g *ground) grown(v *desk.View) desk.Power {
	if !g.known {
		return 1
	}
	then := g.rest(v, func(i int) desk.Power { return g.each[i] })
	if then == 0 {
		return 0
	}
	return g.rest(v, v.Moment().Share) / then
}

// played reports whether what an input put into the mix was no room in a microphone, far below the lead, neither in
// its power nor for most of the time: who was only that did not play, and has not grown once it does.
func (g *ground) played(v *desk.View, i int, share desk.Power) bool {
	mostly, metered := v.LevelQuantile(i, desk.Passage, 0.5)
	return !metered || !g.lead.Above(min(share.Level(), mostly+desk.DBFS(v.Gain(i)))).Reaches(roomUnder)
}

// stands is how far the lead is above all that it is compared to, in a mix.
func (g *ground) stands(v *desk.View, lead int, b *desk.Balance) desk.DB {
	return b.Share(lead).Level().Above(g.rest(v, b.Share).Level())
}

// rest is the sum of this of all that the lead is compared to now.
func (g *ground) rest(v *desk.View, of func(i int) desk.Power) (p desk.Power) {
	for i, was := range g.each {
		if was > 0 && v.Playing(i) && !v.Overhears(i) {
			p += of(i)
		}
	}
	return p
}

// eachFader is every input and DCA that plays now and was open then, with how far its
// fader stands from where it stood.
func (g *ground) eachFader(v *desk.View, f func(of desk.Mover, by desk.DB)) {
	for m := range faders(v) {
		if was, is := g.base.Fader(m), v.Stands(m); v.Active(m) && was > desk.Off && is > desk.Off {
			f(m, is-was)
		}
	}
}

// lowered is by how much the lead's own faders stand lower than then; below 0 for higher.
func (g *ground) lowered(v *desk.View, lead int) desk.DB {
	return g.base.Gain(lead).Above(v.Gain(lead))
}
