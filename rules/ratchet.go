package rules

import (
	"time"

	"pawl/rules/desk"
)

// ratchet finds levels going up in turns: one input is pushed until it is heard,
// then the next is lost and is pushed, and so round until everything is loud and
// nothing is clearer. Each push is reasonable; only the sum is wrong, so the sum
// is what is measured: the part of the total's rise that the faders made since
// the first push of the episode.
//
// That turns of raises end in a louder mix of the same balance is common
// practice among those who teach mixing, with no published source; the limits
// are ours.
type ratchet struct {
	roster desk.Roster
	limits RatchetLimits
	over   time.Duration // levels are mean power over this

	episode *episode
	count   int
	now     Balance
	claims  []Claim
}

func newRatchet(r desk.Roster, l Limits) *ratchet {
	return &ratchet{roster: r, limits: l.Ratchet, over: l.Mix.JudgeOver}
}

// Observe implements Rule. It holds at most one claim at a time.
func (r *ratchet) Observe(f Frame) []Claim {
	r.claims = r.claims[:0]
	for _, m := range f.Moves {
		r.take(f, m)
	}
	if r.episode != nil {
		r.judge(f)
	}
	return r.claims
}

// judge sums the episode up, when that may tell anything new.
func (r *ratchet) judge(f Frame) {
	e := r.episode
	quiet := f.At - e.last
	switch {
	case !e.claimed && quiet > r.limits.Quiet && !f.Moving:
		r.episode = nil
		return
	case !e.claimed && len(f.Moves) == 0:
		return // what is new is only the stage, and that opens nothing
	case e.claimed && f.Moving && len(f.Moves) == 0:
		r.claims = append(r.claims, e.claim) // judged when the hand has finished
		return
	}
	l := r.ledger(f)
	switch {
	case e.claimed && !l.split.Faders.Reaches(r.limits.Eased):
		r.end(l.eased)
	case e.claimed && quiet >= r.limits.Accepted:
		r.end(l.accepted)
	case e.claimed && len(f.Moves) == 0:
		r.claims = append(r.claims, e.claim) // and the stage makes nothing worse
	case e.claimed || l.isRatchet():
		e.claimed, e.split = true, l.split
		e.claim = Claim{Key: e.key, About: l.about(), Weight: l.weight(), Size: l.split.Faders, Say: l.open}
		r.claims = append(r.claims, e.claim)
	}
}

// end closes the episode, and the claim if one was made, with these words.
func (r *ratchet) end(say func() Said) {
	if e := r.episode; e.claimed {
		e.claim.Eased, e.claim.Say = true, say
		r.claims = append(r.claims, e.claim)
	}
	r.episode = nil
}

// take enters a move into the episode, opening one at a raise.
func (r *ratchet) take(f Frame, m Move) {
	active := f.Mix.Active(m.Mover)
	if e := r.episode; e != nil && !e.claimed && m.Kind == Raise && m.Start-e.last > r.limits.Quiet {
		r.episode = nil
	}
	e := r.episode
	if e == nil {
		if m.Kind == Raise && active {
			r.begin(f, m)
		}
		return
	}
	switch m.Kind {
	case Scene, Reroute:
		r.end(e.elsewhere)
	case BringIn, TakeOut:
		e.forget(f.Mix, m.Mover)
	case Return:
		if !e.holds(m.Mover, m.Lowered) {
			e.forget(f.Mix, m.Mover) // it takes back what was never counted
			return
		}
		e.enter(f.Mix, m)
	case Raise, Lower:
		// What is done to an input that nobody hears counts for nothing, unless it
		// is only pausing between two phrases, or what was raised is taken back.
		if !active && !e.moved(m.Mover) && !(m.Kind == Lower && e.concerns(f.Mix, m.Mover)) {
			e.forget(f.Mix, m.Mover)
			return
		}
		e.enter(f.Mix, m)
	}
}

// begin opens an episode at its first raise, measured from the mix as it was
// before that.
func (r *ratchet) begin(f Frame, m Move) {
	r.count++
	e := &episode{key: r.count, start: m.Start, known: f.At}
	f.Mix.balance(&e.base, r.over)
	e.stage = append(e.stage, e.base.stage...)
	e.enter(f.Mix, m)
	r.episode = e
}
