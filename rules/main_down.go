package rules

import (
	"fmt"
	"time"

	"pawl/rules/desk"
)

// mainDown finds a whole that was turned down while it plays. The voices go with it, and
// the ear loses low notes sooner than the rest: it gets thin rather than only quieter.
// How much sooner is ISO 226:2023's, from the level that the house says it listens at. That
// the accompanying instruments are the better place to begin is common practice.
//
// A fade goes on, a slip is put back at once, and at the end of a song nobody plays: what
// stays down for a while, not far down, with music in it, is left. A hall that claps into the
// microphones that stand open is no music.
type mainDown struct {
	limits MainDownLimits
	over   time.Duration // levels are mean power over this

	music played
	count int
	drop  *drop
	view  *desk.View // that is judged
	now   desk.Balance
}

// drop is the main below where it was before it was first lowered.
type drop struct {
	key     int
	from    desk.DB
	since   time.Duration // of playing, when it last came to rest
	took    time.Duration // the hand, the longest of its moves
	claimed bool
	say     func() Said
}

// MainDownLimits say when a lowered main is worth a word.
type MainDownLimits struct {
	Whisper   desk.DB       `yaml:"whisper" doc:"main lowered by this is a whisper" from:"ours"`
	Faded     desk.DB       `yaml:"faded" doc:"below this it is a fade"`
	Stays     time.Duration `yaml:"stays" doc:"it has stayed there for this long of music, and for as long as the hand took" from:"ours: a slip is put back sooner, and a slow hand fades"`
	Back      desk.DB       `yaml:"back" doc:"this near to where it was it is back" from:"ours"`
	Accepted  time.Duration `yaml:"accepted" doc:"after this long of music it is where the main belongs now" from:"ours"`
	Grew      desk.DB       `yaml:"grew" doc:"said again when it has grown by this" from:"ours"`
	Listening desk.SPL      `yaml:"listening-level" doc:"how loud the music is where people listen, for the loss by ISO 226; 0 dB(A) is not stated, and then it is told in words" from:"the house's own"`
}

func defaultMainDownLimits() MainDownLimits {
	return MainDownLimits{Whisper: 2, Faded: -20, Stays: 10 * time.Second, Back: 1, Accepted: 3 * time.Minute, Grew: 2}
}

// Check finds limits that make no sense.
func (l MainDownLimits) Check() []desk.WrongLimit {
	wrong := disorders(order{"back", l.Back, "whisper", l.Whisper})
	if l.Listening != 0 && (l.Listening < 50 || l.Listening > desk.SPL(mostPhon)) {
		wrong = append(wrong, desk.WrongLimit{Name: "listening-level", Text: fmt.Sprintf(
			"found %v; want one between 50 and 90 dB(A), for which ISO 226 has numbers, or 0 dB(A) for none stated", l.Listening)})
	}
	return wrong
}

var mainDownKind = Kind{
	Name:    "main-down",
	Summary: "the whole turned down by the main while it plays, of which the low end goes first",
	Needs:   []desk.Signal{desk.MainFader, desk.InputLevel},
	Helped:  []desk.Signal{desk.DCAFader},
	Says: []string{"main-down.lowered", "main-down.thin", "main-down.ear", "main-down.try-dca", "main-down.try", "main-down.then",
		"main-down.back", "main-down.kept", "main-down.phons", "move.lower"},
	In:   []desk.SegmentKind{desk.Music},
	Grew: func(l Limits) desk.DB { return l.MainDown.Grew },
	New:  func(l Limits) Rule { return &mainDown{limits: l.MainDown, over: l.Mix.JudgeOver} },
}

// Judge implements Rule, with at most one claim.
func (r *mainDown) Judge(v *desk.View, claim func(Claim)) {
	r.view = v
	plays := v.Music() && (r.drop == nil || !hallAlone(v)) // which is asked only while it matters
	if !r.music.pass(v, plays) || v.Basis() == desk.OnFaders {
		r.drop = nil // another song begins at a level of its own
	}
	for _, m := range v.Moves {
		r.take(v, m)
	}
	d := r.drop
	if d == nil {
		return
	}
	at := v.Fader(desk.Main)
	down, quiet := d.from.Above(at), r.music.total-d.since
	switch {
	case v.InMotion(desk.Main):
		r.goesOn(claim)
	case r.limits.Back.Reaches(down):
		r.end(claim, "main-down.back", down)
	case quiet >= r.limits.Accepted:
		r.end(claim, "main-down.kept", down)
	case d.claimed:
		claim(Claim{Key: d.key, Size: down, Weight: Whisper, Say: d.say})
	case down.Reaches(r.limits.Whisper) && at.Reaches(r.limits.Faded) && quiet >= max(r.limits.Stays, d.took) && plays && v.KnownMusic():
		d.claimed = true
		claim(Claim{Key: d.key, About: []desk.Mover{desk.Main}, Size: down, Weight: Whisper, Say: d.say})
	}
}

// take enters a move of the main, and forgets all of it at a change of scene.
func (r *mainDown) take(v *desk.View, m desk.Move) {
	switch {
	case m.Kind == desk.Scene || m.Kind == desk.Reroute:
		r.drop = nil
	case m.Mover != desk.Main:
	case m.Kind == desk.BringIn || m.Kind == desk.TakeOut:
		r.drop = nil
	case r.drop != nil:
		r.drop.since, r.drop.took = r.music.total, max(r.drop.took, m.End-m.Start)
	case m.Kind == desk.Lower && r.music.begun:
		r.count++
		d := &drop{key: r.count, from: m.From, since: r.music.total, took: m.End - m.Start}
		if v.Mark.Set { // what only takes a raise back is no pulling down
			d.from = min(m.From, v.Mark.Base.Fader(desk.Main))
		}
		d.say = func() Said { return r.said(r.view, d.from, r.view.Fader(desk.Main)) }
		r.drop = d
	}
}

func (r *mainDown) goesOn(claim func(Claim)) {
	if r.drop.claimed {
		claim(Claim{Key: r.drop.key})
	}
}

// end forgets the drop, and says this if it was spoken of.
func (r *mainDown) end(claim func(Claim), id string, down desk.DB) {
	if d := r.drop; d.claimed {
		claim(Claim{Key: d.key, Eased: true, Say: func() Said {
			return Said{Figures: Figures{DB("down", down)}, What: []Phrase{Say(id, DB("down", down), Time("for", r.limits.Accepted))}}
		}})
	}
	r.drop = nil
}
