package rules

import (
	"cmp"
	"math"
	"slices"

	"pawl/rules/desk"
)

// trim is one fader to bring down, by a positive number of decibels.
type trim struct {
	who desk.Mover
	by  desk.DB
}

// wayBack is the shortest list of equal trims that returns the fader part of the
// rise to about zero and keeps the balance among what was raised. Without trims
// it is no way at all.
type wayBack struct {
	trims []trim
	part  desk.DB // of the faders, once they are made
	total struct{ now, then desk.DBFS }
}

const (
	covers     = 0.8  // of the raised power, for a trim list to be the way back
	littleElse = 0.2  // of a DCA's power may be inputs that were not raised
	mostTrim   = 12.0 // dB; further than this nobody is led
	trimStep   = 0.5  // dB; finer is not set by hand
)

// wayBack never proposes the main fader: the whole would sink, foundation first.
func (l *ledger) wayBack() wayBack {
	if k, ok := l.coveringDCA(); ok {
		if w := l.solve([]desk.Mover{{Strip: desk.StripDCA, Index: k}}); w.trims != nil {
			return w
		}
	}
	return l.byFaders()
}

// coveringDCA is the DCA that holds most of what was raised and little else.
func (l *ledger) coveringDCA() (best int, ok bool) {
	var most desk.Power
	for k := range l.DCAs() {
		var raised, mine, others, power desk.Power
		l.eachPlaying(func(i int, p desk.Power) {
			up := max(l.raisedPower(i), 0)
			raised += up
			if !l.Drives(desk.Mover{Strip: desk.StripDCA, Index: k}, i) {
				return
			}
			mine += up
			power += p
			if !l.gained(i).Reaches(l.limits.Up) {
				others += p
			}
		})
		if raised > 0 && mine >= covers*raised && others <= littleElse*power && mine > most {
			best, most, ok = k, mine, true
		}
	}
	return best, ok
}

// byFaders is the fewest raised faders that between them made most of the rise,
// and more of them if those would have to come down too far.
func (l *ledger) byFaders() wayBack {
	ups := l.heaviest()
	var sum, all desk.Power
	for _, m := range ups {
		all += l.made(m)
	}
	for n, m := range ups {
		if sum += l.made(m); sum < covers*all {
			continue
		}
		if w := l.solve(ups[:n+1]); w.trims != nil {
			return w
		}
	}
	return wayBack{}
}

// heaviest is the raised inputs and DCAs, those that made most of the rise first,
// each input under one of them only: trimmed by its own fader and by its DCA's it
// would lose its place.
func (l *ledger) heaviest() []desk.Mover {
	ups := slices.DeleteFunc(slices.Clone(l.ups), func(m desk.Mover) bool { return !movesGains(m) })
	slices.SortStableFunc(ups, func(a, b desk.Mover) int { return cmp.Compare(l.made(b), l.made(a)) })
	covered := make([]bool, l.Inputs())
	return slices.DeleteFunc(ups, func(m desk.Mover) bool {
		for i := range covered {
			if covered[i] && l.Drives(m, i) {
				return true
			}
		}
		for i := range covered {
			covered[i] = covered[i] || l.Drives(m, i)
		}
		return false
	})
}

// made is the power that a mover's own inputs have gained.
func (l *ledger) made(m desk.Mover) desk.Power {
	var sum desk.Power
	for i := range l.Inputs() {
		if l.Drives(m, i) {
			sum += l.raisedPower(i)
		}
	}
	return sum
}

// solve finds the one trim for all of whom that returns the fader part to zero,
// to the nearest step that is set by hand; none if that is further than mostTrim.
// The part falls steadily as the trim grows, so halving the interval finds it.
func (l *ledger) solve(whom []desk.Mover) wayBack {
	var b desk.Balance
	b.CopyFrom(l.now)
	part := func(by desk.DB) desk.DB {
		l.trim(&b, whom, by)
		return desk.Attribute(&l.base, &b).Faders
	}
	lo, hi := desk.DB(0), desk.DB(mostTrim)
	if part(hi) > 0 {
		return wayBack{}
	}
	for range 24 {
		if mid := (lo + hi) / 2; part(mid) > 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	by := max(desk.DB(math.Round(float64(hi)/trimStep)*trimStep), trimStep)
	w := wayBack{part: part(by)}
	w.total.now, w.total.then = l.now.Total(), b.Total()
	for _, m := range whom {
		w.trims = append(w.trims, trim{m, by})
	}
	return w
}

// trim makes b the mix as it would be with everyone in whom down by that much.
func (l *ledger) trim(b *desk.Balance, whom []desk.Mover, by desk.DB) {
	for _, m := range whom {
		b.SetFader(m, l.now.Fader(m)-by)
	}
}
