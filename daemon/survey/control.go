package survey

import (
	"cmp"
	"math"
	"slices"
	"time"

	"pawl/oscmap"
)

// step is a question that was answered with a move.
type step struct {
	question
	db float64       // where the fader was meant to stand; NaN if nobody said
	to time.Duration // when it was answered

	asked, answered order // the last message by then
	seen            map[*slot]still
}

// still is a slot when the move was over.
type still struct {
	was, is value
	changes uint64        // during the step
	since   time.Duration // it is so
	course  course        // at rest
	window  *window       // of a blob
}

// measure takes how everything went from when the moved slot came to rest.
func (st *step) measure(moved *slot) {
	// A meter that is told ten times a second has said something in a fifth of one.
	st.measureSince(min(moved.changedAt, st.to-200*time.Millisecond))
}

func (st *step) measureSince(since time.Duration) {
	for t, s := range st.seen {
		if t.blob == nil {
			s.course = t.course(since)
		} else {
			s.window = t.blob.window(since)
		}
		st.seen[t] = s
	}
}

// steps are all the questions that were answered, in order.
type steps []step

// moves is the steps that moved the same thing as the question.
func (all steps) moves(q question) (moves steps) {
	for _, st := range all {
		if st.act != calm && st.strip == q.strip && st.act.isFader() == q.act.isFader() {
			moves = append(moves, st)
		}
	}
	return moves
}

// moved is the slot that the moves for a strip's fader or mute have in common,
// and others that would do as well, but for what was refused. It is nil if there is none.
func (all steps) moved(q question, refused []refusal) (best *slot, others []*slot) {
	moves := all.moves(q)
	var found []*slot
	for t := range moves[len(moves)-1].seen {
		if t.blob == nil && t.stream.seen() && !t.isKey() && !t.counts() && all.stood(t) && moves.followed(t) && !t.inCounter() && !t.misread() && !all.restless(t, q) && all.alone(t, moves) && !slices.Contains(refused, refusal{t, q.strip, q.act.isFader()}) {
			found = append(found, t)
		}
	}
	if len(found) == 0 {
		return nil, nil
	}
	// What changed least when something else was moved is the likeliest. The rest of the
	// order only makes the same traffic give the same draft.
	like := all.inputLayout(q, refused)
	strange := map[*slot]int{}
	if len(found) == 1 {
		return found[0], nil
	}
	if sc, ok := all.inputScale(q, refused); ok {
		for _, t := range found {
			if points, _ := (control{slot: t, moves: moves}).points(); worst(points, sc.db) > good {
				strange[t] = 1
			}
		}
	}
	spill := map[*slot]int{}
	for _, t := range found {
		spill[t] = moves.spill(t, all.stood)
	}
	slices.SortFunc(found, func(a, b *slot) int {
		return cmp.Or(
			cmp.Compare(other(a, like), other(b, like)),
			cmp.Compare(strange[a], strange[b]),
			cmp.Compare(all.changes(a)-moves.changes(a), all.changes(b)-moves.changes(b)),
			cmp.Compare(moves.indirect(a), moves.indirect(b)),
			cmp.Compare(clumsy(a, q), clumsy(b, q)),
			cmp.Compare(spill[a], spill[b]),
			cmp.Compare(a.layout.Size(), b.layout.Size()),
			cmp.Compare(slices.Index(cellLayouts, a.layout), slices.Index(cellLayouts, b.layout)),
			cmp.Compare(a.stream.shown, b.stream.shown),
			cmp.Compare(a.stream.first, b.stream.first),
			cmp.Compare(a.arg, b.arg), cmp.Compare(a.at, b.at))
	})
	best = found[0]
	// Of one blob the rest are other ways to read the same bytes.
	others = slices.DeleteFunc(found[1:], func(t *slot) bool { return best.isCell() && t.isCell() && t.stream == best.stream && t.arg == best.arg })
	return best, others
}

// restless reports whether what may be a mute changed while faders were moved, twice or more.
func (all steps) restless(t *slot, q question) bool {
	n := 0
	for _, st := range all {
		if st.act.isFader() && st.act != calm && st.seen[t].changes > 0 {
			n++
		}
	}
	return !q.act.isFader() && n > 1
}

// inputLayout is how input 1's fader lies in its blob, for another strip's; 0 if it is in none.
func (all steps) inputLayout(q question, refused []refusal) oscmap.Layout {
	in := question{act: zero}
	if q.strip == inputStrip || !q.act.isFader() || len(all.moves(in)) == 0 {
		return 0
	}
	if t, _ := all.moved(in, refused); t != nil {
		return t.layout
	}
	return 0
}

// inputScale is the scale of input 1's fader, for another strip's.
func (all steps) inputScale(q question, refused []refusal) (scale, bool) {
	if q.strip == inputStrip || !q.act.isFader() {
		return scale{}, false
	}
	c, ok := all.control(inputStrip, zero, refused)
	if !ok {
		return scale{}, false
	}
	return fit(c.points())
}

// other is 1 of what lies in a blob in another way than input 1's fader does.
func other(t *slot, like oscmap.Layout) int {
	if like != 0 && t.isCell() && t.layout != like {
		return 1
	}
	return 0
}

// isKey reports whether a slot only tells messages apart.
func (t *slot) isKey() bool {
	v := t.stream.of.view()
	return t.arg == v.at || t.arg == v.word
}

// stood reports whether a slot stood still while nobody touched the desk.
func (all steps) stood(t *slot) bool {
	if all.lively(t) {
		return !slices.ContainsFunc(all, func(st step) bool { return st.act == calm && st.seen[t].changes > 0 })
	}
	// One change may still be the echo of a hand that has just left.
	return !slices.ContainsFunc(all, func(st step) bool { return st.act == calm && st.seen[t].changes > 1 })
}

// lively reports whether a slot is in a blob that also holds what moves by itself.
func (all steps) lively(t *slot) bool {
	return t.isCell() && slices.ContainsFunc(all, func(st step) bool { return st.act == calm && st.seen[t.in].changes > 1 })
}

// settled is how long what a hand moved has been at rest, among what never is.
const settled = 500 * time.Millisecond

// alone reports whether a slot among what moves by itself can be a hand's: it changed in no step
// but its own moves, was at rest after each of those, and if it is a mute changed once in each.
// The bytes of a meter stand still now and then, but not for as long.
func (all steps) alone(t *slot, moves steps) bool {
	if !all.lively(t) {
		return true
	}
	// Beside a byte that never rests it is the upper half of a number.
	if t.layout == oscmap.Uint8 && slices.ContainsFunc(t.in.cells, func(o *slot) bool { return o.layout == t.layout && o.at == t.at^1 && !all.stood(o) }) {
		return false
	}
	n := 0
	for _, st := range all {
		if st.seen[t].changes > 0 {
			n++
		}
	}
	for _, st := range moves {
		s := st.seen[t]
		if n--; st.to-s.since < settled || !st.act.isFader() && s.changes != 1 {
			return false
		}
	}
	return n <= 0
}

// changes counts those of a slot. A meter's many in one step count as a hundred.
func (all steps) changes(t *slot) (n uint64) {
	for _, st := range all {
		n += min(st.seen[t].changes, 100) // or one meter would drown what faders do
	}
	return n
}

// followed reports whether a slot changed in each of the moves, and can be what was
// moved: a fader's numbers rise or fall with its marks, a mute has two values.
func (all steps) followed(t *slot) bool {
	if slices.ContainsFunc(all, func(st step) bool { return st.seen[t].changes == 0 }) {
		return false
	}
	if all[0].act.isFader() {
		return all.monotone(t)
	}
	// Unmuting brings back what was before the mute; what counts or goes round does not.
	if was := all[0].seen[t].was; all[0].act == mute && was != (value{}) && !was.same(all[len(all)-1].seen[t].is) && len(all) > 1 {
		return false
	}
	values := set{}
	for _, st := range all {
		// What is as it was has told of something else meanwhile.
		if is := st.seen[t]; is.was.same(is.is) && is.was != (value{}) {
			return false
		}
		values[st.seen[t].is.plain()] = true
	}
	return len(values) == len(all)
}

// monotone reports whether the slot's numbers follow the marks, either way.
func (all steps) monotone(t *slot) bool {
	var known []point
	for _, st := range all {
		is := st.seen[t].is
		if !is.isNum {
			return false
		}
		if st.db == st.db {
			known = append(known, point{is.num, st.db})
		}
	}
	slices.SortStableFunc(known, func(a, b point) int { return cmp.Compare(a.db, b.db) })
	up, down := true, true
	for i := 1; i < len(known); i++ {
		if a, b := known[i-1], known[i]; a.db < b.db {
			up, down = up && a.x < b.x, down && a.x > b.x
		}
	}
	return up || down
}

// indirect is 0 of what says the gain of a fader as its marks do, in dB, and 1 of the rest:
// where a desk says a gain both so and as a position, the gain needs no scale.
func (all steps) indirect(t *slot) int {
	known := false
	for _, st := range all {
		if is := st.seen[t].is; st.db == st.db && !math.IsInf(st.db, 0) {
			if known = true; !is.isNum || math.Abs(is.num-st.db) > good {
				return 1
			}
		}
	}
	if known && all[0].act.isFader() {
		return 0
	}
	return 1
}

// clumsy puts what is easier to read first: numbers before texts for a fader,
// switches before words for a mute, and those before other numbers.
func clumsy(t *slot, q question) int {
	switch {
	case !q.act.isFader() && !t.isSwitch() && t.numbers > 0:
		return 2 // a serial number before the value of each message, perhaps
	case q.act.isFader() && t.isText() || !q.act.isFader() && !t.isSwitch():
		return 1
	}
	return 0
}

// control is what the guide has found for a strip's fader or mute.
type control struct {
	slot   *slot
	others []*slot
	moves  steps
}

// control is that of a strip, or false if it was not asked or not seen.
func (all steps) control(s strip, a act, refused []refusal) (c control, ok bool) {
	q := question{strip: s, act: a}
	c.moves = all.moves(q)
	if len(c.moves) == 0 || !a.isFader() && len(c.moves) < 2 {
		return control{}, false
	}
	c.slot, c.others = all.moved(q, refused)
	return c, c.slot != nil
}

// when is the move to where the strip stood so.
func (c control) when(a act) (step, bool) {
	for _, st := range c.moves {
		if st.act == a {
			return st, true
		}
	}
	return step{}, false
}

// telling is the move to the mark that tells most of a meter's unit: far below 0, and not so
// far that little is left to hear.
func (c control) telling() (best step, ok bool) {
	for _, st := range c.moves {
		if st.act == mark && (!ok || math.Abs(st.db+20) < math.Abs(best.db+20)) {
			best, ok = st, true
		}
	}
	return best, ok
}

// at is what the slot was when the strip stood so.
func (c control) at(a act) value {
	st, _ := c.when(a)
	return st.seen[c.slot].is
}

// points are the marks that were given for a fader, with the numbers seen there.
func (c control) points() (points []point, bottomAt float64) {
	bottomAt = math.NaN()
	for _, st := range c.moves {
		if x := st.seen[c.slot].is.num; st.act == bottom {
			bottomAt = x
		} else {
			points = append(points, point{x, st.db})
		}
	}
	return points, bottomAt
}
