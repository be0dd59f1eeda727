package rules

import (
	"cmp"
	"math"
	"slices"
)

// trim is one fader to bring down, by a positive number of decibels.
type trim struct {
	who Mover
	by  DB
}

// wayBack is the shortest list of equal trims that returns the fader part of the
// rise to about zero and keeps the balance among what was raised.
type wayBack struct {
	trims []trim
	total DBFS // predicted, once they are made
}

const (
	covers     = 0.8  // of the raised power, for a trim list to be the way back
	littleElse = 0.2  // of a DCA's power may be inputs that were not raised
	mostTrim   = 24.0 // dB; further than this nobody is led
	trimStep   = 0.5  // dB; finer is not set by hand
)

// wayBack never proposes the main fader: the whole would sink, foundation first.
func (l *ledger) wayBack() wayBack {
	if k, ok := l.coveringDCA(); ok {
		return l.solve([]Mover{{StripDCA, k}})
	}
	return l.solve(l.heaviest())
}

// coveringDCA is a DCA that holds most of what was raised and little else.
func (l *ledger) coveringDCA() (int, bool) {
	for k := range l.roster.DCAs {
		var raised, mine, others, power Power
		l.eachPlaying(func(i int, p Power) {
			up := max(l.raisedPower(i), 0)
			raised += up
			if l.mix.routes[i].dcas>>k&1 == 0 {
				return
			}
			mine += up
			power += p
			if l.gained(i) < l.limits.Up {
				others += p
			}
		})
		if raised > 0 && mine >= covers*raised && others <= littleElse*power {
			return k, true
		}
	}
	return 0, false
}

// heaviest is the fewest raised movers that between them made most of the rise.
func (l *ledger) heaviest() []Mover {
	var ups []Mover
	for _, m := range l.ups {
		if m.Strip != StripMain {
			ups = append(ups, m)
		}
	}
	slices.SortStableFunc(ups, func(a, b Mover) int { return cmp.Compare(l.made(b), l.made(a)) })
	var sum, all Power
	for _, m := range ups {
		all += l.made(m)
	}
	for n, m := range ups {
		if sum += l.made(m); sum >= covers*all {
			return ups[:n+1]
		}
	}
	return ups
}

// made is the power that a mover's own inputs have gained.
func (l *ledger) made(m Mover) Power {
	var sum Power
	for i, r := range l.mix.routes {
		if m.Strip == StripInput && m.Index == i || m.Strip == StripDCA && r.dcas>>m.Index&1 != 0 ||
			m.Strip == StripGroup && r.groups>>m.Index&1 != 0 {
			sum += l.raisedPower(i)
		}
	}
	return sum
}

// solve finds the one trim for all of whom that returns the fader part to zero.
// The part falls steadily as the trim grows, so halving the interval finds it.
func (l *ledger) solve(whom []Mover) wayBack {
	lo, hi := DB(0), DB(mostTrim)
	for range 24 {
		if mid := (lo + hi) / 2; l.partWith(whom, mid) > 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	by := DB(math.Round(float64(hi)/trimStep) * trimStep)
	w := wayBack{total: l.trimmed(whom, by).total(l.mix.routes)}
	for _, m := range whom {
		w.trims = append(w.trims, trim{m, by})
	}
	return w
}

func (l *ledger) partWith(whom []Mover, by DB) DB {
	return attribute(l.mix.routes, &l.base, l.trimmed(whom, by)).Faders
}

// trimmed is the mix as it would be with everyone in whom down by that much.
func (l *ledger) trimmed(whom []Mover, by DB) *Balance {
	var b Balance
	b.copyFrom(l.now)
	for _, m := range whom {
		b.faders.Set(m, b.faders.At(m)-by)
	}
	b.derive(l.mix.routes)
	return &b
}
