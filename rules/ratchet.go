package rules

import (
	"slices"
	"time"

	"pawl/rules/desk"
)

// ratchet finds a rise that nobody meant as a whole. Each raise is fair by itself:
// it answers what stood above it at that moment. So no single raise is judged, only
// their sum: the part of the total's rise that the faders made since the first raise
// of the episode, with how little of it any one input stands out.
//
// That fair raises add up to a louder mix of the same balance is common practice
// among those who teach mixing, with no published source; the limits are ours.
type ratchet struct {
	limits RatchetLimits
	over   time.Duration // levels are mean power over this

	episode *episode
	about   []desk.Mover  // of the last claim
	until   time.Duration // when it was last made, as played
	count   int
	returns [8]desk.Move // the newest, round and round, that came while no episode was on
	back    int          // how many there were
	sums    ledger       // of the episode, in memory that is used again
	now     desk.Balance
	was     desk.Balance
}

var ratchetKind = Kind{
	Name:    "ratchet",
	Summary: "raises that are fair one by one, and whose sum is a louder mix in which little stands out more",
	Needs:   []desk.Signal{desk.InputFader},
	Helped:  []desk.Signal{desk.InputLevel, desk.InputMute, desk.DCAFader, desk.GroupFader, desk.GroupReduction, desk.MainFader},
	Says:    ratchetPhrases,
	Grew:    func(l Limits) desk.DB { return l.Ratchet.Grew },
	New:     func(l Limits) Rule { return &ratchet{limits: l.Ratchet, over: l.Mix.JudgeOver} },
}

// Judge implements Rule. It holds at most one claim at a time.
func (r *ratchet) Judge(v *desk.View, claim func(Claim)) {
	for _, m := range v.Moves {
		r.take(v, m, claim)
	}
	if r.episode != nil {
		r.judge(v, claim)
	}
}

// judge sums the episode up, when that may tell anything new.
func (r *ratchet) judge(v *desk.View, claim func(Claim)) {
	e := r.episode
	quiet, returned := v.Played-e.kept, e.returned(v, r.limits.Stands)
	stood := !e.claimed && !v.Moving && len(v.Moves) == 0 && e.stands(quiet, r.limits.Stands)
	switch {
	case !e.claimed && quiet > r.limits.Quiet && !v.Moving:
		r.episode = nil
		return
	case !e.claimed && len(v.Moves) == 0 && (!returned && !stood || v.Moving):
		return // what is new is only the stage, and that opens nothing
	case e.claimed && v.Moving && len(v.Moves) == 0:
		claim(Claim{Key: e.key}) // judged when the hand has finished
		return
	}
	l := r.ledger(v)
	if e.claimed {
		r.until = v.Played
	}
	switch {
	case e.claimed && !l.split.Faders.Reaches(r.limits.Eased):
		r.end(l.eased, claim)
	case e.claimed && quiet >= r.limits.Accepted:
		r.end(l.accepted, claim)
	case e.claimed && (len(v.Moves) == 0 || v.PlayingCount() == 0):
		claim(Claim{Key: e.key}) // the stage makes nothing worse, and neither does who mutes an empty one
	case e.claimed || l.isRatchet():
		anew := e.claimed && !e.way.same(l.wayBack())
		e.claimed, e.split, e.about = true, l.split, slices.Clone(l.who())
		r.about, r.until = e.about, v.Played
		weight := l.weight()
		if stood {
			weight = min(weight, e.waited)
		}
		claim(Claim{Key: e.key, About: e.about, Weight: weight, Size: l.split.Faders, Anew: anew, Say: l.opened})
	}
}

// lastSaid is whom the last claim was about, when it was last made in the time of music,
// and whether it still is.
func (r *ratchet) lastSaid() (about []desk.Mover, ended time.Duration, now bool) {
	return r.about, r.until, r.episode != nil && r.episode.claimed
}

// climbing reports whether an episode is under way of which nothing was said yet, with a
// raise that was heard. Where most go up by steps that nobody hears it will never be one.
func (r *ratchet) climbing() bool {
	e := r.episode
	if e == nil || e.claimed {
		return false
	}
	heard, unheard := 0, 0
	for n, m := range e.moves {
		again := func(o desk.Move) bool { return o.Kind == desk.Raise && o.Mover == m.Mover }
		switch {
		case m.Kind != desk.Raise || slices.ContainsFunc(e.moves[:n], again):
		case e.reach(m.Mover).Reaches(r.limits.Up):
			heard++
		default:
			unheard++
		}
	}
	return heard > 0 && heard >= unheard
}

// end closes the episode, and says this of the claim if one was made.
func (r *ratchet) end(say func() Said, claim func(Claim)) {
	claim(Claim{Key: r.episode.key, Eased: true, Say: say})
	r.episode = nil
}

// take enters a move into the episode, opening one at a raise.
func (r *ratchet) take(v *desk.View, m desk.Move, claim func(Claim)) {
	active := v.Active(m.Mover) && (m.Kind != desk.Raise || v.Music())
	if e := r.episode; e != nil && !e.claimed && m.Kind == desk.Raise && v.PlayedAt(m.Start)-e.kept > r.limits.Quiet {
		r.episode = nil
	}
	e := r.episode
	if e == nil {
		switch {
		case m.Kind == desk.Raise && active:
			r.begin(v, m)
		case m.Kind == desk.Return && active:
			r.returns[r.back%len(r.returns)] = m
			r.back++
		}
		return
	}
	switch m.Kind {
	case desk.Scene, desk.Reroute:
		r.end(e.elsewhere, claim)
	case desk.BringIn, desk.TakeOut:
		e.forget(v, m.Mover)
	case desk.GainSet:
		e.regain(m)
	case desk.Return:
		e.enter(v, m)
	case desk.Raise, desk.Lower:
		// What is done to an input that nobody hears counts for nothing, unless it
		// is only pausing between two phrases, or what was raised is taken back.
		if !active && !e.moved(m.Mover) && !(m.Kind == desk.Lower && e.concerns(v, m.Mover)) {
			e.forget(v, m.Mover)
			return
		}
		e.enter(v, m)
	}
}

// putBack is who was put back up shortly before this.
func (r *ratchet) putBack(at time.Duration) (who []desk.Mover) {
	for _, m := range r.returns[:min(r.back, len(r.returns))] {
		if at-m.End <= r.limits.Quiet {
			who = append(who, m.Mover)
		}
	}
	return who
}

// begin opens an episode at its first raise, measured from the mix as it was
// before that.
func (r *ratchet) begin(v *desk.View, m desk.Move) {
	r.count++
	e := &episode{key: r.count, start: m.Start, known: v.At, changed: changes(v), playedOn: playedOn(v), unsure: maySound(v, anybody), back: r.putBack(m.Start)}
	v.Balance(&e.base, r.over)
	e.heard.CopyFrom(&e.base)
	e.enter(v, m)
	r.episode = e
}
