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
// What a microphone hears of others before its player's first note is nothing that was played
// then: held against that, whoever comes in has grown by twenty decibels.
// Who sings the lead's words with it is not of the rest either. And what the hand took from
// a lead while another voice is in front is given away and not lost.
type leadBehind struct {
	limits LeadBehindLimits
	over   time.Duration // of the mark's levels
	beats
	grounds []ground        // by input
	claims  []standingClaim // likewise
	heard   []time.Duration // likewise: when it last brought only what its microphone hears of others, as watched
	view    *desk.View      // that is judged
	segment int
	gave    handedOn
	now     desk.Balance // scratch, as is the next
	then    desk.Balance
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
	Name:     "lead-behind",
	Summary:  "a lead voice that has lost ground to the rest since the mark",
	Needs:    []desk.Signal{desk.InputFader, desk.InputLevel},
	Helped:   []desk.Signal{desk.InputMute, desk.DCAFader, desk.GroupReduction},
	Compares: true,
	Says: []string{"lead-behind.lost", "lead-behind.faders", "lead-behind.stage", "lead-behind.up", "lead-behind.down",
		"lead-behind.then", "lead-behind.stood", "lead-behind.moved", "lead-behind.eased"},
	In:   []desk.SegmentKind{desk.Music},
	Grew: func(l Limits) desk.DB { return l.LeadBehind.Grew },
	New:  func(l Limits) Rule { return &leadBehind{limits: l.LeadBehind, over: l.Mix.JudgeOver} },
}

// Judge implements Rule. It holds at most one claim for each lead.
func (r *leadBehind) Judge(v *desk.View, claim func(Claim)) {
	if r.grounds == nil {
		r.grounds, r.claims, r.heard = make([]ground, v.Inputs()), make([]standingClaim, v.Inputs()), make([]time.Duration, v.Inputs())
		for i := range r.claims {
			r.claims[i] = standingClaim{[]desk.Mover{inputMover(i)}, func() Said { return r.said(r.view, i) }}
		}
	}
	r.view = v
	r.begin(v)
	fell := r.fell(v)
	if fell {
		r.gave.hear(v)
	}
	for i := range r.grounds {
		g := &r.grounds[i]
		if fell && v.Overhears(i) {
			r.heard[i] = v.Watched
		}
		was := g.on
		if fell {
			r.count(v, i)
		}
		g.told = g.told && g.on
		switch {
		case g.on:
			c := Claim{Key: i, About: r.claims[i].about, Weight: Nudge, Size: g.lost}
			if !v.Moving && (!g.told || g.settled(r.limits.Means)) { // once the hand has finished
				c.Say = r.claims[i].say
			}
			claim(c)
		case was && g.idle == 0:
			claim(Claim{Key: i, Eased: true, Say: func() Said { return r.eased(v, i) }})
		}
	}
}

// speaksOf reports whether a lead is said to have lost ground.
func (r *leadBehind) speaksOf(lead int) bool {
	return lead < len(r.grounds) && r.grounds[lead].on && r.grounds[lead].told
}

// begin forgets what was measured in another scene, or in another part of the service
// if nobody set the mark by hand.
func (r *leadBehind) begin(v *desk.View) {
	elsewhere := v.Segment.Number != r.segment && v.Mark.How != desk.ByHand
	r.segment = v.Segment.Number
	r.gave.follow(v, harmonises)
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
	grown := g.grown(v)
	g.beat(lead && v.Sounds(i) && grown > 0 && !hallIn(v, i) && !maySound(v, anybody), v.Moment().Share(i), grown)
	if g.idle > 0 {
		return
	}
	r.refer(v, g, i)
	if !g.known || g.full == 0 {
		return
	}
	g.lost = desk.DB(g.lead) - g.above(r.limits.Means)
	if own := g.lowered(v, i); own > 0 && g.lost.Reaches(r.limits.Behind-1) && r.outsung(v, i) {
		g.lost -= own
	}
	g.keeps(g.lost, r.limits.Behind, r.limits.Behind-1, r.limits.For, 2*time.Second)
}

// outsung reports whether a voice that is none of its harmonies, or that a lead is to go under, is as loud as it: the song
// is somebody else's then, and a lead that was lowered for it was put behind on purpose.
func (r *leadBehind) outsung(v *desk.View, lead int) bool {
	v.Balance(&r.now, r.limits.Means)
	sung := r.now.Share(lead).Level()
	for i := range v.Inputs() {
		in := v.Input(i)
		another := in.Voice && !in.Cue && in.Element != desk.Lead && (!isHarmony(v, i, lead) || r.gave.isOver(i))
		if another && plays(v, i) && r.now.Share(i).Level().Above(sung).Reaches(0) {
			return true
		}
	}
	return false
}

// refer measures where a lead stands at a new mark, as soon as it has sung for long
// enough, and where each of the rest does, as soon as it has played for so long with a sound of
// its own.
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
		if was == 0 && min(v.PlayingFor(i), v.Watched-r.heard[i]) >= r.over && v.Element(i) != desk.Lead && !isHarmony(v, i, lead) {
			v.Balance(&r.now, r.over)
			if p := r.now.Share(i); g.played(v, i, p) {
				g.each[i] = p
			}
		}
	}
}
