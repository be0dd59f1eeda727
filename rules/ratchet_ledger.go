package rules

import (
	"math"
	"slices"
	"time"

	"pawl/rules/desk"
)

// ledger is an episode summed up at one instant: who is up by how much, what it
// bought each of them, and what it cost the whole.
type ledger struct {
	*episode
	*desk.View
	limits RatchetLimits
	now    *desk.Balance
	was    *desk.Balance // scratch

	split desk.Split
	gap   desk.DB      // what was missing of the mix when the first was raised
	ups   []desk.Mover // up by limits.Up and in the mix, first raised first
	lifts []desk.Mover // scratch
}

// ledger sums up the episode. While nothing that was raised is playing, the
// faders are judged on the stage as it was last heard: silence between two songs
// has taken nothing back, but a trim made in it has.
func (r *ratchet) ledger(v *desk.View) *ledger {
	l := &r.sums
	*l = ledger{episode: r.episode, View: v, limits: r.limits, now: &r.now, was: &r.was, ups: l.ups[:0], lifts: l.lifts}
	v.Balance(l.now, r.over)
	if slices.ContainsFunc(l.moves, func(m desk.Move) bool { return m.Kind == desk.Raise && v.Active(m.Mover) }) {
		l.heard.TakeStage(l.now)
	} else {
		l.now.TakeStage(&l.heard)
	}
	l.split = desk.Attribute(&l.base, l.now)
	l.gap, l.risen = l.missing(), l.split.Faders
	for _, m := range l.moves {
		if m.Kind == desk.Raise && !slices.Contains(l.ups, m.Mover) && l.net(m.Mover).Reaches(l.limits.Up) && v.Open(m.Mover) {
			l.ups = append(l.ups, m.Mover)
		}
	}
	return l
}

// who is whom the claim is about: who is up, or who was when all are back.
func (l *ledger) who() []desk.Mover {
	if len(l.ups) == 0 {
		return l.about
	}
	return l.ups
}

// net is how far a mover is up since the episode began.
func (l *ledger) net(m desk.Mover) desk.DB { return l.now.Fader(m).Above(l.base.Fader(m)) }

// isRatchet reports whether the episode is worth a word. That many are up, or one again,
// tells of a ratchet only where nothing else does: who fills a gap has a reason to raise.
func (l *ledger) isRatchet() bool {
	raised, lowered := l.tally()
	limit := l.limits.Whisper
	if l.gap < audible && !l.unsure && (l.turns() >= l.limits.Many || l.goesRound()) {
		limit = l.limits.Again
	}
	is := (l.turns() >= l.limits.Movers || len(l.vying()) > 0) && !lowered.Reaches(raised/2) && l.part().Reaches(limit)
	l.waits = is && !l.plain() && l.Played-l.kept < l.limits.Stands
	if l.waits {
		l.waited = l.weight()
	}
	return is && !l.waits
}

// plain reports whether the raises answer one another, or come to so much that it need not be
// waited for: three who were raised once each may be a song that grows, and many by a
// decibel each a mix that is being found.
func (l *ledger) plain() bool {
	return l.turns() >= l.limits.Many && !l.small() || l.goesRound() || l.reachedAgain() || l.part().Reaches(l.limits.ReRaise)
}

// small reports whether nobody was raised by much at once, and all together are not up by much.
func (l *ledger) small() bool {
	return !l.part().Reaches(l.limits.Whisper) &&
		!slices.ContainsFunc(l.ups, func(m desk.Mover) bool { return l.reach(m).Reaches(2 * l.limits.Up) })
}

// goesRound is wentRound, but where the hand is no further than the first who is raised a second time, by
// little each: a mix that is being set goes once round by a decibel, and begins again.
func (l *ledger) goesRound() bool {
	again := len(l.reRaised())
	return len(l.vying()) > 0 || again > 0 && (again > 1 || !l.small())
}

// reachedAgain reports whether who was raised last had been put back up a while before the
// first raise: the hand goes round, though what it added then was only what had been taken.
func (l *ledger) reachedAgain() bool {
	for _, m := range slices.Backward(l.moves) {
		if m.Kind == desk.Raise {
			return slices.Contains(l.back, m.Mover)
		}
	}
	return false
}

// part is what the faders added beyond what was missing when the first was raised: who
// fills the gap of one that has left, or gives back what all gave away who play softer,
// makes nothing louder than it was.
func (l *ledger) part() desk.DB { return l.split.Faders - l.gap }

// missing is how much quieter the mix is for those who had just stopped when one was
// raised, and still rest, or for those who had grown softer, and still are.
func (l *ledger) missing() desk.DB { return max(l.left()+l.leftSince(), l.gaveAway()) }

// left is how much quieter the mix was before the first raise for those who had just
// stopped, and still rest.
func (l *ledger) left() desk.DB {
	if !l.away {
		return 0
	}
	b := l.was
	b.CopyFrom(&l.base)
	for _, c := range l.changed {
		level := desk.Silence
		if c.stopped && !l.Playing(c.input) {
			level = c.level
		}
		b.SetLevel(c.input, level)
	}
	b.Settle()
	return max(b.Total().Above(l.base.Total()), 0)
}

// leftSince is how much quieter the mix is for those who stopped before a later raise, at most what
// was raised since the first of them did.
func (l *ledger) leftSince() desk.DB {
	if len(l.gone) == 0 {
		return 0
	}
	b := l.was
	b.CopyFrom(&l.base)
	for _, g := range l.gone {
		b.SetLevel(g.input, desk.Silence)
	}
	b.Settle()
	return min(l.base.Total().Above(b.Total()), max(l.split.Faders-l.gone[0].risen, 0))
}

// gaveAway is how much louder those who play on would have been, through the faders of the
// beginning, had they not grown softer by when the first was raised, and would still be; 0
// where that is no more than a phrase differs from another by.
func (l *ledger) gaveAway() desk.DB {
	by := min(l.softerOn(&l.base), l.softerOn(l.now))
	if !by.Reaches(l.limits.Up) {
		return 0
	}
	return by
}

// softerOn is how much softer a stage is than it was for those who had played on. Those whom
// nobody meters are taken to have done as the others did.
func (l *ledger) softerOn(stage *desk.Balance) desk.DB {
	b := l.was
	b.CopyFrom(&l.base)
	b.TakeStage(stage)
	for i := range l.Inputs() {
		if l.Unmetered(i) {
			b.SetLevel(i, desk.Silence)
		}
	}
	b.Settle()
	is := b.Total()
	for _, c := range l.playedOn {
		if l.Playing(c.input) {
			b.SetLevel(c.input, c.level)
		}
	}
	b.Settle()
	return b.Total().Above(is)
}

// turns is how many movers are up that are turns of a ratchet: a push of the whole is a
// part of the rise and no turn, and neither is what went up by steps that nobody hears, nor a
// DCA that takes up once more whom a hand had raised one by one.
func (l *ledger) turns() (n int) {
	for _, m := range l.ups {
		if l.isTurn(m) && !l.sameAs(m, l.ups) {
			n++
		}
	}
	return n
}

// sameAs reports whether a DCA moves nobody who plays but those of some inputs.
func (l *ledger) sameAs(dca desk.Mover, inputs []desk.Mover) bool {
	if dca.Strip != desk.StripDCA {
		return false
	}
	for i := range l.Inputs() {
		if l.Drives(dca, i) && l.Playing(i) && !slices.Contains(inputs, inputMover(i)) {
			return false
		}
	}
	return true
}

func (l *ledger) isTurn(m desk.Mover) bool {
	return !l.pushesWhole(m) && l.reach(m).Reaches(l.limits.Up)
}

// reach is the farthest that a mover was raised before another was.
func (e *episode) reach(who desk.Mover) (most desk.DB) {
	var now desk.DB
	for _, m := range e.moves {
		switch {
		case m.Kind == desk.Raise && e.swapped(m):
		case m.Kind == desk.Raise && m.Mover == who:
			now += m.Adds
		case m.Kind == desk.Raise:
			now = 0
		}
		most = max(most, now)
	}
	return most
}

// swapped reports whether another was lowered in the same movement by as much as one was raised: that one
// gives its place, and the mix is as loud as it was.
func (e *episode) swapped(raise desk.Move) bool {
	return slices.ContainsFunc(e.moves, func(m desk.Move) bool {
		return m.Kind == desk.Lower && m.Mover != raise.Mover && m.Mover.Strip == raise.Mover.Strip && apart(m, raise) <= oneLift &&
			!(m.Net() + raise.Net()).Abs().Reaches(heardMove/2)
	})
}

// pushesWhole reports whether a DCA or the main carries nearly all that plays, alone or
// with the DCAs that went up with it as one lift.
func (l *ledger) pushesWhole(m desk.Mover) bool {
	if m.Strip == desk.StripInput {
		return false
	}
	l.lifts = l.lift(l.lifts, m)
	var mine, all desk.Power
	l.eachPlaying(func(i int, p desk.Power) {
		switch {
		case slices.ContainsFunc(l.lifts, func(m desk.Mover) bool { return l.Drives(m, i) }):
			mine += p
			all += p
		case !l.Unknown(i): // who has no meter may rest, and then these may be all
			all += p
		}
	})
	return float64(mine) > l.limits.Whole*float64(all)
}

// oneLift is the longest that a hand takes from one DCA to the next in one lift.
const oneLift = 3 * time.Second

// apart is the time between two moves, below 0 where they overlap.
func apart(a, b desk.Move) time.Duration { return max(a.Start-b.End, b.Start-a.End) }

// lift is a mover and, if it is a DCA, those that were raised with it, each as soon as
// the hand had left another, in the memory of dst.
func (e *episode) lift(dst []desk.Mover, m desk.Mover) []desk.Mover {
	lifted := append(dst[:0], m)
	for n := 0; n < len(lifted) && m.Strip == desk.StripDCA; n++ {
		for _, a := range e.moves {
			for _, b := range e.moves {
				if a.Mover == lifted[n] && a.Kind == desk.Raise && b.Kind == desk.Raise && b.Mover.Strip == desk.StripDCA &&
					apart(a, b) <= oneLift && !slices.Contains(lifted, b.Mover) {
					lifted = append(lifted, b.Mover)
				}
			}
		}
	}
	return lifted
}

// clearer is how far a mover's inputs stand out more against everything else, by faders
// alone: the stage and the groups' settings as now. It is no number where nothing else plays.
func (l *ledger) clearer(m desk.Mover) (by desk.DB, ok bool) {
	was := l.was
	was.CopyFrom(l.now)
	was.TakeFaders(&l.base)
	return standsOutBy(m, was, l.now)
}

// standsOutBy is how far a mover's inputs stand out more against everything else than they
// did. It is no number where they are silent, or nothing else plays.
func standsOutBy(m desk.Mover, was, now *desk.Balance) (by desk.DB, ok bool) {
	by = now.StandsOut(m) - was.StandsOut(m)
	return by, !math.IsNaN(float64(by)) && !math.IsInf(float64(by), 0)
}

func (l *ledger) weight() Weight {
	f := l.part()
	if f.Reaches(l.limits.Nudge) || f.Reaches(l.limits.ReRaise) && l.wentRound() {
		return Nudge
	}
	return Whisper
}

// wentRound reports whether somebody was raised again in turn.
func (l *ledger) wentRound() bool {
	return len(l.reRaised()) > 0 || len(l.vying()) > 0
}

// reRaised is who was raised again after two others were, the turn of the ratchet.
func (l *ledger) reRaised() (again []desk.Mover) {
	for i, first := range l.moves {
		if first.Kind != desk.Raise || slices.Contains(again, first.Mover) {
			continue
		}
		others := make([]desk.Mover, 0, 2) // more tell nothing more
		for _, m := range l.moves[i+1:] {
			switch {
			case m.Kind != desk.Raise:
			case m.Mover != first.Mover:
				if len(others) < 2 && !slices.Contains(others, m.Mover) {
					others = append(others, m.Mover)
				}
			case len(others) >= 2 && !slices.Contains(again, m.Mover):
				again = append(again, m.Mover)
			}
		}
	}
	return again
}

// vying is two that answer one another, each raised again after the other was, or nobody: a
// ratchet of two teeth, which goes round as surely as one of three. A single answer is
// none, for one has to be put right against the other.
func (l *ledger) vying() []desk.Mover {
	for _, a := range l.ups {
		for _, b := range l.ups {
			if a != b && l.answers(a, b) >= 4 && l.isTurn(a) && l.isTurn(b) {
				return []desk.Mover{a, b}
			}
		}
	}
	return nil
}

// answers is how many raises two took in turn, the first by a. Who is raised in the same
// movement of the hand answers nothing: nobody has listened, and both are pushed together.
func (e *episode) answers(a, b desk.Mover) (n int) {
	var last desk.Move
	for _, m := range e.moves {
		switch {
		case m.Kind != desk.Raise:
		case n == 0 && m.Mover == a, n > 0 && last.Mover != m.Mover && (m.Mover == a || m.Mover == b) && beganAt(m)-last.End > oneLift:
			n++
			last = m
		case m.Mover == last.Mover:
			last = m // once more before it is answered
		}
	}
	return n
}

// gained is how far an input's effective gain is up since the episode began.
func (l *ledger) gained(input int) desk.DB {
	return l.now.Gain(input).Above(l.base.Gain(input))
}

// sameBalance reports whether every input that plays has gained about the same,
// and how much: power-weighted mean, and the farthest from it.
func (l *ledger) sameBalance() (mean desk.DB, same bool) {
	var weighted, power float64
	l.eachPlaying(func(i int, p desk.Power) {
		weighted += float64(p) * float64(l.gained(i))
		power += float64(p)
	})
	if power == 0 {
		return 0, false
	}
	mean, same = desk.DB(weighted/power), true
	l.eachPlaying(func(i int, _ desk.Power) {
		same = same && !(l.gained(i) - mean).Abs().Reaches(l.limits.Same)
	})
	return mean, same
}

// eachPlaying calls f with every input that was and is in the mix, and the power
// it has in it now, before the main fader.
func (l *ledger) eachPlaying(f func(input int, p desk.Power)) {
	for i := range l.Inputs() {
		if l.base.Gain(i) != desk.Off && l.Playing(i) {
			f(i, l.now.Share(i))
		}
	}
}

// raisedPower is how much more an input puts into the mix than it would with the
// faders of the episode's beginning.
func (l *ledger) raisedPower(input int) desk.Power {
	return l.now.Share(input) - l.now.ShareAt(input, &l.base)
}

// oneStroke is what a hand takes for a few decibels, where the desk tells only where a
// fader came to rest. Ours.
const oneStroke = 2 * time.Second

// beganAt is when a hand began to move.
func beganAt(m desk.Move) time.Duration {
	if m.Start == m.End {
		return m.Start - oneStroke
	}
	return m.Start
}
