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

// wayBack is the shortest list of trims that returns the fader part of the rise to
// about zero. Without trims it is no way at all.
type wayBack struct {
	trims []trim
	back  bool    // they put back where it was what bought nothing
	whole bool    // they put back where it was what made most of the rise; else they are equal
	part  desk.DB // of the faders, once they are made
	total struct{ now, then desk.DBFS }
}

const (
	covers     = 0.8 // of the raised power, for a DCA to be the way back
	littleElse = 0.2 // of a DCA's power may be inputs that were not raised
	trimStep   = 0.5 // dB; finer is not set by hand
	mostTrims  = 3   // faders are named at once; then one listens again
	near       = 0.5 // dB of the faders' part are about nothing
)

// wayBack proposes one DCA if it covers what was raised and little else; or to put back
// what bought nothing, because nothing is lost by it; or the fewest raised faders. It
// never proposes the main fader: the whole would sink, foundation first. No raised
// fader is led below where the episode found it, and nobody further than limits.Trim.
func (l *ledger) wayBack() wayBack {
	if k, ok := l.coveringDCA(); ok {
		return l.solve([]desk.Mover{{Strip: desk.StripDCA, Index: k}}, l.limits.Trim)
	}
	if w := l.putBack(); w.trims != nil {
		return w
	}
	return l.byFaders()
}

// putBack is what bought nothing, back where it was, if that undoes most of the rise.
func (l *ledger) putBack() wayBack {
	w := wayBack{back: true}
	for _, m := range l.heaviest() {
		if clearer, ok := l.clearer(m); ok && !clearer.Reaches(l.limits.Bought) && len(w.trims) < mostTrims && l.limits.Trim.Reaches(l.net(m)) {
			w.trims = append(w.trims, trim{m, l.net(m)})
		}
	}
	l.predict(&w)
	if w.part > l.split.Faders/2 {
		return wayBack{}
	}
	return w
}

// coveringDCA is the DCA that holds most of what was raised and little else.
func (l *ledger) coveringDCA() (best int, ok bool) {
	var most desk.Power
	for k := range l.DCAs() {
		var raised, mine, others, power desk.Power
		l.eachPlaying(func(i int, p desk.Power) {
			up := max(l.raisedPower(i), 0)
			raised += up
			if !l.Drives(dcaMover(k), i) {
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

// byFaders is the fewest raised faders that undo the rise, by as much each, those that made most of it
// first. Where that leads one of them to where it was found and something is left, each goes back to
// where it was; and if the three that may be named do not undo it, as far as they go. What groups of
// which nothing is known then let through nobody can tell, and it is not asked to go on by that.
func (l *ledger) byFaders() wayBack {
	ups := l.heaviest()
	var w wayBack
	for n := range min(len(ups), mostTrims) {
		most := l.limits.Trim
		for _, m := range ups[:n+1] {
			most = min(most, l.net(m))
		}
		if more := l.solve(ups[:n+1], most); w.trims == nil || more.part < w.part-audible {
			w = more
		}
		if near >= w.part {
			break
		}
	}
	if w.part > near && l.now.Answers() {
		if whole := l.whole(ups); len(ups) > 0 && (near >= whole.part || whole.part < w.part-audible) {
			return whole
		}
	}
	return w
}

// whole is the fewest of these back where they were, or as far towards it as they may be led, that undo
// the rise; or the three that may be named. The next is who leaves the least beside those before: two who
// play into one compressor undo less together than each alone.
func (l *ledger) whole(ups []desk.Mover) wayBack {
	w := wayBack{whole: true}
	for ups = slices.Clone(ups); len(ups) > 0 && len(w.trims) < mostTrims && !(near >= w.part && w.trims != nil); {
		best, least := 0, desk.DB(math.Inf(1))
		w.trims = append(w.trims, trim{})
		try := func(k int) {
			w.trims[len(w.trims)-1] = trim{ups[k], min(l.net(ups[k]), l.limits.Trim)}
			l.predict(&w)
		}
		for k := range ups {
			if try(k); w.part < least-audible {
				best, least = k, w.part
			}
		}
		try(best)
		ups = slices.Delete(ups, best, best+1)
	}
	return w
}

// heaviest is the raised inputs and DCAs, first those without whom least is left of the rise,
// each input under one of them only: trimmed by its own fader and by its DCA's it
// would lose its place.
func (l *ledger) heaviest() []desk.Mover {
	ups := slices.DeleteFunc(slices.Clone(l.ups), func(m desk.Mover) bool { return !movesGains(m) })
	left := map[desk.Mover]float64{}
	for _, m := range ups {
		left[m] = math.Round(1000 * float64(l.leftWithout(m))) // of equals the first that was raised
	}
	slices.SortStableFunc(ups, func(a, b desk.Mover) int { return cmp.Compare(left[a], left[b]) })
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

// leftWithout is what is left of the faders' part if one goes back where it was, or as far towards it as it
// may: who plays into a compressor made less of the rise than it was raised.
func (l *ledger) leftWithout(m desk.Mover) desk.DB {
	w := wayBack{trims: []trim{{m, min(l.net(m), l.limits.Trim)}}}
	l.predict(&w)
	return w.part
}

// solve finds the one trim for all of whom that returns the fader part to zero, to the
// nearest step that is set by hand, or goes as far towards it as it may.
// The part falls steadily as the trim grows, so halving the interval finds it.
func (l *ledger) solve(whom []desk.Mover, most desk.DB) wayBack {
	w := wayBack{trims: make([]trim, len(whom))}
	try := func(by desk.DB) desk.DB {
		for i, m := range whom {
			w.trims[i] = trim{m, by}
		}
		l.predict(&w)
		return w.part
	}
	lo, hi := desk.DB(0), most
	if try(hi) <= 0 {
		for range 24 {
			if mid := (lo + hi) / 2; try(mid) > 0 {
				lo = mid
			} else {
				hi = mid
			}
		}
	}
	try(min(max(desk.DB(math.Round(float64(hi)/trimStep)*trimStep), trimStep), most))
	return w
}

// predict asks what would be if the trims were made, the groups answering.
func (l *ledger) predict(w *wayBack) {
	b := l.was
	b.CopyFrom(l.now)
	for _, t := range w.trims {
		b.SetFader(t.who, l.now.Fader(t.who)-t.by)
	}
	w.part = desk.Attribute(&l.base, b).Faders
	w.total.now, w.total.then = l.now.Total(), b.Total()
}
