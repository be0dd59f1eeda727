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
	back  int     // the first so many put back where it was what bought nothing
	whole bool    // the others put back where it was what made most of the rise; else they are equal
	part  desk.DB // of the faders, once they are made
	total struct{ now, then desk.DBFS }
}

const (
	covers     = 0.8 // of the raised power, for a DCA to be the way back
	littleElse = 0.2 // of a DCA's power may be inputs that were not raised
	trimStep   = 0.5 // dB; finer is not set by hand
	mostTrims  = 3   // faders are named at once; then one listens again
	near       = 0.5 // dB of the faders' part are about nothing
	beside     = 0.2 // dB that what is heard may be from what is predicted, while the band plays on

	// aim is how near to nothing a way back has to lead by what is predicted, for what is then heard
	// to be about nothing.
	aim = near - beside
)

// leads reports whether it undoes the rise, and not only a part of it.
func (w *wayBack) leads() bool { return len(w.trims) > 0 && w.part.Abs() <= aim }

// same reports whether another is the same way: it leads as far, or as little, by the same faders, by as
// much to the step that is set by hand.
func (w *wayBack) same(o wayBack) bool {
	differ := func(a, b desk.DB) bool { return (a - b).Abs().Reaches(trimStep) }
	return w.back == o.back && w.whole == o.whole && w.leads() == o.leads() &&
		!differ(w.part, o.part) && !differ(w.total.now.Above(w.total.then), o.total.now.Above(o.total.then)) &&
		slices.EqualFunc(w.trims, o.trims, func(a, b trim) bool { return a.who == b.who && !differ(a.by, b.by) })
}

// wayBack proposes one DCA if it covers what was raised and little else; or to put back
// what bought nothing, because nothing is lost by it; or the fewest raised faders. It
// never proposes the main fader: the whole would sink, foundation first. No raised
// fader is led below where the episode found it, and nobody further than limits.Trim.
func (l *ledger) wayBack() wayBack {
	if k, ok := l.coveringDCA(); ok {
		return l.solve([]desk.Mover{dcaMover(k)}, l.limits.Trim)
	}
	back := l.putBack()
	if back.leads() {
		return back
	}
	if w := l.byFaders(); back.trims == nil || w.leads() {
		return w
	}
	return back
}

// putBack is what bought nothing, back where it was, if that undoes most of the rise; and then the
// fewest others that undo the rest. Where the three that may be named do not, it is fewer of those that
// bought nothing, those that made least of it left out.
func (l *ledger) putBack() wayBack {
	ups := l.heaviest()
	var nothing []desk.Mover
	for _, m := range ups {
		if clearer, ok := l.clearer(m); ok && !clearer.Reaches(l.limits.Bought) && len(nothing) < mostTrims && l.limits.Trim.Reaches(l.net(m)) {
			nothing = append(nothing, m)
		}
	}
	if l.whole(nothing, nil).part > l.split.Faders/2 {
		return wayBack{}
	}
	var best wayBack
	for n := len(nothing); n > 0 && !best.leads(); n-- {
		others := slices.DeleteFunc(slices.Clone(ups), func(m desk.Mover) bool { return slices.Contains(nothing[:n], m) })
		if w := l.whole(nothing[:n], others); best.trims == nil || w.leads() || w.part < best.part-audible {
			best = w
		}
	}
	return best
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
		if w.leads() {
			return w
		}
	}
	if len(ups) > 0 && l.now.Answers() {
		if whole := l.whole(nil, ups); whole.leads() || whole.part < w.part-audible {
			return whole
		}
	}
	return w
}

// whole is the first back where they were, and then the fewest of the others back where they were, or as far
// towards it as they may be led, that undo the rise; or the three that may be named. The next is who leaves
// the least beside those before: two who play into one compressor undo less together than each alone. Where
// others were lowered meanwhile, the last goes no further than to where nothing is left.
func (l *ledger) whole(first, others []desk.Mover) wayBack {
	w := wayBack{back: len(first), whole: true}
	l.predict(&w)
	with := func(m desk.Mover) wayBack {
		o := w
		o.trims = append(slices.Clone(w.trims), trim{m, min(l.net(m), l.limits.Trim)})
		l.predict(&o)
		return o
	}
	for n, m := range first {
		o := with(m)
		if o.part < -aim && w.leads() {
			w.back = n
			break
		}
		w = o
	}
	for others = slices.Clone(others); len(others) > 0 && len(w.trims) < mostTrims && w.part > aim; {
		next, least := 0, with(others[0])
		for k, m := range others[1:] {
			if o := with(m); max(o.part, 0) < max(least.part, 0)-audible {
				next, least = k+1, o
			}
		}
		w, others = least, slices.Delete(others, next, next+1)
	}
	if n := len(w.trims) - 1; n >= 0 && w.part < -aim {
		l.toNothing(&w, w.trims[n].by, w.trims[n:])
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
func (l *ledger) solve(whom []desk.Mover, most desk.DB) wayBack {
	w := wayBack{trims: make([]trim, len(whom))}
	for i, m := range whom {
		w.trims[i].who = m
	}
	l.toNothing(&w, most, w.trims)
	return w
}

// toNothing makes these of a way's trims as large, all alike, as returns the fader part to zero.
// The part falls steadily as the trim grows, so halving the interval finds it.
func (l *ledger) toNothing(w *wayBack, most desk.DB, of []trim) {
	try := func(by desk.DB) desk.DB {
		for i := range of {
			of[i].by = by
		}
		l.predict(w)
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
