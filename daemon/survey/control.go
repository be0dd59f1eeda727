package survey

import (
	"cmp"
	"math"
	"slices"
)

// chosen is the slot that the moves for a strip's fader or mute have in common,
// and others that would do as well. It is nil if there is none.
func (g *Guide) chosen(steps []step, q question) (best *slot, others []*slot) {
	moves := movesFor(steps, q)
	var found []*slot
	for t := range moves[len(moves)-1].seen {
		if t.blob == nil && g.still(steps, t) && fits(t, moves) {
			found = append(found, t)
		}
	}
	if len(found) == 0 {
		return nil, nil
	}
	slices.SortFunc(found, func(a, b *slot) int {
		return cmp.Or(
			cmp.Compare(g.elsewhere(steps, moves, a), g.elsewhere(steps, moves, b)),
			cmp.Compare(clumsy(a, q), clumsy(b, q)),
			cmp.Compare(a.source.address, b.source.address),
			cmp.Compare(a.source.first, b.source.first),
			cmp.Compare(a.arg, b.arg))
	})
	return found[0], found[1:]
}

// movesFor is the steps that moved the same thing as the question.
func movesFor(steps []step, q question) (moves []step) {
	for _, st := range steps {
		if st.act != calm && st.strip == q.strip && st.act.isFader() == q.act.isFader() {
			moves = append(moves, st)
		}
	}
	return moves
}

// still reports whether a slot stood still while nobody touched the desk.
func (g *Guide) still(steps []step, t *slot) bool {
	for _, st := range steps {
		if st.act == calm {
			return st.seen[t].changes <= 1
		}
	}
	return true
}

// fits reports whether a slot changed in each of the moves, and can be what was
// moved: a fader's numbers rise or fall with its marks, a mute has two values.
func fits(t *slot, moves []step) bool {
	for _, st := range moves {
		if st.seen[t].changes == 0 {
			return false
		}
	}
	if moves[0].act.isFader() {
		return monotone(t, moves)
	}
	values := map[string]bool{}
	for _, st := range moves {
		values[st.seen[t].is.plain()] = true
	}
	return len(values) == len(moves)
}

// monotone reports whether the slot's numbers follow the marks, either way.
func monotone(t *slot, moves []step) bool {
	var known []step
	for _, st := range moves {
		if !st.seen[t].is.isNum {
			return false
		}
		if st.db == st.db {
			known = append(known, st)
		}
	}
	slices.SortStableFunc(known, func(a, b step) int { return cmp.Compare(a.db, b.db) })
	up, down := true, true
	for i := 1; i < len(known); i++ {
		if known[i].db == known[i-1].db {
			continue
		}
		a, b := known[i-1].seen[t].is.num, known[i].seen[t].is.num
		up, down = up && a < b, down && a > b
	}
	return up || down
}

// elsewhere counts the changes of a slot in moves that were of something else.
func (g *Guide) elsewhere(steps, moves []step, t *slot) uint64 {
	var all, own uint64
	for _, st := range steps {
		all += min(st.seen[t].changes, 100)
	}
	for _, st := range moves {
		own += min(st.seen[t].changes, 100)
	}
	return all - own
}

// clumsy puts what is easier to read first: numbers before texts for a fader,
// switches before other things for a mute.
func clumsy(t *slot, q question) int {
	switch {
	case q.act.isFader() && t.isText():
		return 1
	case !q.act.isFader() && !t.isSwitch():
		return 1
	}
	return 0
}

// control is what the guide has found for a strip's fader or mute.
type control struct {
	slot   *slot
	others []*slot
	moves  []step
}

// found is the control of a strip, or false if it was not asked or not seen.
func (g *Guide) found(s strip, a act) (control, bool) {
	q := question{strip: s, act: a}
	moves := movesFor(g.steps, q)
	if len(moves) == 0 || !a.isFader() && len(moves) < 2 {
		return control{}, false
	}
	best, others := g.chosen(g.steps, q)
	return control{best, others, moves}, best != nil
}

// at is what the control's slot was when the strip stood so.
func (c control) at(a act) (still, bool) {
	for _, st := range c.moves {
		if st.act == a {
			return st.seen[c.slot], true
		}
	}
	return still{}, false
}

// points are the marks that were given for a fader, with the numbers seen there.
func (c control) points() (points []point, bottomAt float64) {
	bottomAt = math.NaN()
	for _, st := range c.moves {
		x := st.seen[c.slot].is.num
		switch {
		case st.act == bottom:
			bottomAt = x
		case st.act == top && st.db != st.db:
			points = append(points, point{x, math.NaN()})
		default:
			points = append(points, point{x, st.db})
		}
	}
	return points, bottomAt
}

// scaleSaid tells the person what was made of the marks.
func (g *Guide) scaleSaid() []string {
	c, ok := g.found(inputStrip, zero)
	if !ok {
		return nil
	}
	sc, ok := fit(c.points())
	if !ok {
		return []string{"No scale can be made of these marks: the numbers do not rise with them."}
	}
	return []string{sc.said}
}

// foundAny reports whether the guide found the fader of any strip.
func (g *Guide) foundAny() bool {
	for s := inputStrip; s <= mainStrip; s++ {
		if _, ok := g.found(s, zero); ok {
			return true
		}
	}
	return false
}
