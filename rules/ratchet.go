package rules

import (
	"slices"
	"time"
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
	roster Roster
	limits RatchetLimits
	over   time.Duration // levels are mean power over this

	episode *episode
	count   int
	now     Balance
}

// episode is a run of raises with less than limits.Quiet between them.
type episode struct {
	key         int
	start, last time.Duration // of the first raise; end of the last
	known       time.Duration // when the first raise had ended, and base was taken
	base        Balance       // the mix before the first raise
	moves       []Move        // raises and lowers, as they ended
	raised      DB            // sum of all raises
	lowered     DB            // sum of all lowers, counted upwards
	claimed     bool
	claim       Claim // the last made
}

func newRatchet(r Roster, l Limits) *ratchet {
	return &ratchet{roster: r, limits: l.Ratchet, over: l.Mix.JudgeOver}
}

// Observe implements Rule. It makes at most one claim.
func (r *ratchet) Observe(f Frame) []Claim {
	for _, m := range f.Moves {
		r.take(f, m)
	}
	e := r.episode
	if e == nil {
		return nil
	}
	quiet := f.At - e.last
	switch {
	case !e.claimed && quiet > r.limits.Quiet:
		r.episode = nil
		return nil
	case !e.claimed && len(f.Moves) == 0:
		return nil // what is new is only the stage, and that opens nothing
	case e.claimed && f.Moving && len(f.Moves) == 0:
		return []Claim{e.claim} // judged when the hand has finished
	}
	f.Mix.balance(&r.now, r.over)
	l := r.ledger(f)
	switch {
	case e.claimed && l.split.Faders < r.limits.Eased:
		r.episode = nil
		return []Claim{l.claim(l.weight(), true, l.eased)}
	case e.claimed && quiet >= r.limits.Accepted:
		r.episode = nil
		return []Claim{l.claim(l.weight(), true, l.accepted)}
	case e.claimed || l.isRatchet():
		e.claimed = true
		e.claim = l.claim(l.weight(), false, l.open)
		return []Claim{e.claim}
	}
	return nil
}

// take enters a move into the episode, opening one at a raise.
func (r *ratchet) take(f Frame, m Move) {
	e := r.episode
	if e == nil {
		if m.Kind == Raise && f.Mix.Active(m.Mover) {
			r.begin(f, m)
		}
		return
	}
	switch m.Kind {
	case Scene:
		r.episode = nil
	case BringIn, TakeOut:
		r.rebase(f, m.Mover)
	case Return:
		if m.Lowered < e.start {
			r.rebase(f, m.Mover)
		} else {
			e.lowered = max(e.lowered-m.Net(), 0)
		}
	case Raise:
		if f.Mix.Active(m.Mover) {
			e.last = m.End
		}
		e.enter(f, m)
	case Lower:
		e.enter(f, m)
	}
}

// begin opens an episode at its first raise, measured from the mix as it was
// before that.
func (r *ratchet) begin(f Frame, m Move) {
	r.count++
	e := &episode{key: r.count, start: m.Start, last: m.End, known: f.At}
	f.Mix.balance(&e.base, r.over)
	e.enter(f, m)
	r.episode = e
}

// enter adds a raise or lower. One that had begun before base was taken is in
// base half done, and is put back to where it started.
func (e *episode) enter(f Frame, m Move) {
	if m.Start <= e.known {
		e.base.faders.Set(m.Mover, m.From)
		e.base.derive(f.Mix.routes)
	}
	e.moves = append(e.moves, m)
	e.raised += max(m.Net(), 0)
	e.lowered += max(-m.Net(), 0)
}

// rebase measures a mover from where it now is: a cue is no climb. A lowering to
// closed is a cue too.
func (r *ratchet) rebase(f Frame, who Mover) {
	e := r.episode
	f.Mix.refresh()
	e.base.faders.Set(who, f.Mix.now.faders.At(who))
	e.base.derive(f.Mix.routes)
	e.moves = slices.DeleteFunc(e.moves, func(m Move) bool { return m.Mover == who })
	e.raised, e.lowered = 0, 0
	for _, m := range e.moves {
		e.raised += max(m.Net(), 0)
		e.lowered += max(-m.Net(), 0)
	}
}
