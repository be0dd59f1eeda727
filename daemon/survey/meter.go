package survey

import (
	"fmt"
	"math"
	"slices"
)

// meter is a place where something moves by itself.
type meter struct {
	place
	blob bool
	form form

	lo, hi      float64
	zeros, offs float64 // shares of all values
	rate        float64 // messages a second of one strip
	text        bool
	whole       bool
}

// meters finds all that moves by itself, as meters do.
func (s *Survey) meters(shapes []*Shape, taken func(*slot) bool) []meter {
	var all []meter
	for _, sh := range shapes {
		if !sh.writable() {
			continue
		}
		for arg := range sh.args() {
			if sh.byArgument && arg == 0 {
				continue
			}
			m, ok := s.meter(sh, arg)
			if ok && !slices.ContainsFunc(m.slots(), taken) {
				all = append(all, m)
			}
			if m.row {
				break
			}
		}
	}
	return all
}

// restless is how many changes a second a meter has at least, when it has
// something to show.
const restless = 0.5

func (s *Survey) meter(sh *Shape, arg int) (m meter, ok bool) {
	m.place = place{shape: sh, at: sh.members[0].at, index: -1, arg: arg, bit: -1, n: 1}
	if len(sh.vars) > 0 {
		m.index = 0
		for _, mem := range sh.members {
			if !sh.vars[0].named && number(mem.at[0]) < number(m.at[0]) {
				m.at = mem.at
			}
		}
		m.count(nil)
	}
	slots := m.slots()
	if len(slots) == 0 {
		return m, false
	}
	over := (s.last - s.first).Seconds()
	if over <= 0 {
		return m, false
	}
	m.rate = float64(slots[0].count) / over
	if slots[0].blob != nil {
		return m, m.index < 0 && m.fromBlob(slots[0])
	}
	if m.index < 0 && sh.rowFrom(arg) {
		m.row, m.n = true, sh.args()-arg
		slots = sh.rowSlots(arg)
	}
	moves := 0.0
	for _, t := range slots {
		moves = max(moves, float64(t.changes)/over)
	}
	all := spanOf(slots)
	if moves < restless || all.numbers < all.count {
		return m, false
	}
	m.lo, m.hi, m.text, m.whole = all.lo, all.hi, slots[0].isText(), all.whole
	m.zeros, m.offs = float64(all.zero)/float64(all.numbers), float64(all.off)/float64(all.numbers)
	return m, true
}

// rowFrom reports whether three or more arguments of one type follow from arg on,
// to the end of the message.
func (s *Shape) rowFrom(arg int) bool {
	slots := s.members[0].slots
	k := arg - s.members[0].from
	if k < 0 || len(slots)-k < 3 {
		return false
	}
	for _, t := range slots[k:] {
		if t.tags != slots[k].tags || t.isText() || t.blob != nil {
			return false
		}
	}
	return true
}

// rowSlots is the slots of the row that begins at an argument.
func (s *Shape) rowSlots(arg int) []*slot {
	m := s.members[0]
	return m.slots[arg-m.from:]
}

func (m *meter) fromBlob(t *slot) bool {
	f, ok := t.blob.form()
	if !ok {
		return false
	}
	m.blob, m.form, m.n = true, f, f.n
	m.lo, m.hi, m.whole = math.Inf(1), math.Inf(-1), !f.float
	n := 0.0
	moved := false
	for _, d := range append(slices.Clone(t.blob.spread), t.blob.inOrder()...) {
		for k, v := range f.values(d) {
			n++
			moved = moved || v != f.values(t.blob.spread[0])[k]
			switch {
			case v == f.least():
				m.offs++
			case v == 0:
				m.zeros++
				fallthrough
			default:
				m.lo, m.hi = min(m.lo, v), max(m.hi, v)
			}
		}
	}
	m.zeros, m.offs = m.zeros/n, m.offs/n
	return moved && m.lo <= m.hi
}

// reduces reports whether the numbers look like gain reduction: nothing much of
// the time, never far from nothing, and on one side of it.
func (m *meter) reduces() bool {
	per := 1.0
	if m.whole && !m.text {
		per = 256
	}
	switch {
	case m.offs > 0:
		return false
	case m.hi <= 0.001 && m.lo >= -40*per:
		return m.zeros > 0.02
	}
	return m.lo >= 0 && m.hi <= 40*per && m.zeros > 0.02
}

// sort is how the numbers lie, for telling which meters speak alike.
func (m *meter) sort() string {
	switch {
	case m.blob:
		return m.form.of
	case m.text:
		return "text"
	}
	return m.slots()[0].tags
}

// precision is how many bits the numbers have, 0 for texts.
func (m *meter) precision() int {
	switch {
	case m.blob:
		return 8 * m.form.size
	case m.text:
		return 0
	case m.sort() == "d" || m.sort() == "h":
		return 64
	}
	return 32
}

// mean is the mean of the strip asked about during a step, once the hand was at
// rest. Not a number if nothing was heard of it.
func (m *meter) mean(st step, who place) float64 {
	slots := m.slotsOf(who)
	if len(slots) == 0 {
		return math.NaN()
	}
	s := st.seen[slots[0]]
	switch {
	case m.blob && len(s.means) > 0 && s.form.of == m.form.of:
		return s.means[0]
	case m.blob:
		return math.NaN()
	case s.values > 0:
		return s.mean
	case s.is.isNum:
		return s.is.num
	}
	return math.NaN()
}

// slotsOf is the slot that shows the strip asked about: the one of the same number
// or name, or the first of a row.
func (m *meter) slotsOf(who place) (all []*slot) {
	if m.index < 0 || who.index < 0 {
		return m.slots()
	}
	for _, mem := range m.shape.members {
		if t := mem.slotAt(m.arg); t != nil && mem.at[m.index] == who.at[who.index] {
			all = append(all, t)
		}
	}
	return all
}

// fell tells whether the strip asked about fell when its fader was closed: after
// the fader it does, before it does not. ok is false if there was nothing to hear.
func (m *meter) fell(c control, who place) (fell, ok bool) {
	open, closed := math.NaN(), math.NaN()
	for _, st := range c.moves {
		switch st.act {
		case zero:
			open = m.mean(st, who)
		case bottom:
			closed = m.mean(st, who)
		}
	}
	switch {
	case open != open || closed != closed || math.IsInf(open, -1):
		return false, false
	case math.IsInf(closed, -1):
		return true, true
	case m.lo < 0:
		width := m.hi - m.lo
		return open-closed > width/3, open > m.lo+width/4
	}
	return closed < open/30, open > 0
}

// said is the meter in words.
func (m *meter) said() string {
	what := "numbers of " + figures(m.lo, m.hi, m.whole)
	switch {
	case m.blob:
		what = fmt.Sprintf("a blob with %s of %s as %s", plural(uint64(m.n), "value"), figures(m.lo, m.hi, m.whole), m.form.of)
		if m.form.skip > 0 {
			what += fmt.Sprintf(" after %d bytes", m.form.skip)
		}
		if m.form.count != "" {
			what += " that say how many"
		}
	case m.row:
		what = fmt.Sprintf("%d arguments of %s", m.n, figures(m.lo, m.hi, m.whole))
	case m.text:
		what = "texts of " + figures(m.lo, m.hi, m.whole) + " dB"
	}
	if m.offs > 0 {
		what += ", and nothing at all"
	}
	return fmt.Sprintf("%s, %s", what, perSecond(m.rate))
}
