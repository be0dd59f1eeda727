package survey

import (
	"math"
	"slices"
	"time"

	"pawl/oscmap"
)

// The bounds of what is looked for inside blobs.
const (
	maxCells     = 4096 // of addresses as a whole, and as many of what may tell their messages apart
	maxCellBytes = 256  // larger blobs are not looked into for what a hand moves
)

// cellLayouts are the numbers that a hand may move inside a blob: switches and steps as
// bytes, positions as whole numbers of two or four, gains as floats or as factors in fixed point.
var cellLayouts = []oscmap.Layout{oscmap.Uint8, oscmap.Uint16BE, oscmap.Uint16LE, oscmap.Int16BE, oscmap.Int16LE, oscmap.Float32BE, oscmap.Float32LE,
	oscmap.Int32BE, oscmap.Int32LE}

// The least and the most of a float that a hand moves, but for nothing. Whole numbers taken for
// floats mostly are beyond.
const (
	leastFloat = 1e-9
	mostFloat  = 1e6
)

// isHand reports whether a number in a blob could be of something that a hand moves.
func isHand(l oscmap.Layout, x float64) bool {
	size := math.Abs(x)
	return !math.IsNaN(x) && !math.IsInf(x, 1) && (!l.Float() || x == 0 || math.IsInf(x, -1) || size >= leastFloat && size <= mostFloat)
}

// cells looks at everything that may be a number in a blob. What follows a hand's moves is
// told from the rest as arguments are.
func (s *Survey) cells(t *slot, data []byte) {
	switch {
	case t.least != t.most || len(data) > maxCellBytes:
		*s.cellCount(t) -= len(t.cells)
		t.cells = nil
		return
	case t.count == 1:
		count := s.cellCount(t)
		for at := range data {
			for _, l := range cellLayouts {
				// Whoever writes numbers of two bytes and more keeps them at even ones.
				if at+l.Size() <= len(data) && (l.Size() == 1 || at%2 == 0) && *count < maxCells {
					*count++
					t.cells = append(t.cells, &slot{stream: t.stream, arg: t.arg, in: t, layout: l, at: at})
				}
			}
		}
	}
	for _, c := range t.cells {
		v := value{num: c.layout.Read(data[c.at:])}
		v.isNum = isHand(c.layout, v.num)
		if c.count++; c.count == 1 {
			c.addTag(map[bool]byte{true: 'f', false: 'i'}[c.layout.Float()])
		} else if v.same(c.last) {
			c.tally.repeat(v)
			continue
		} else {
			c.moves(c.last, v, s.last)
			c.changes++
		}
		c.last, c.changedAt = v, s.last
		c.tally.repeat(v)
	}
}

// cellCount is how many cells there are of those that a slot's count among. What numbers its messages from a
// small number on is told apart by that for a while, and must leave room for what others tell.
func (s *Survey) cellCount(t *slot) *int {
	if t.stream.whole() {
		return &s.wholeCells
	}
	return &s.apartCells
}

// repeat counts a number of a cell.
func (t *tally) repeat(v value) {
	if v.isNum {
		t.addNumber(v.num)
	}
}

// isCell reports whether the slot is a part of a blob.
func (t *slot) isCell() bool { return t.layout != 0 }

// end is the byte behind a cell.
func (t *slot) end() int { return t.at + t.layout.Size() }

// spill is how many bytes beside a cell changed in its blob while it was moved: what is
// wider than the cell, or beside it, is then more likely what was moved.
func (all steps) spill(t *slot, still func(*slot) bool) (n int) {
	if !t.isCell() {
		return 0
	}
	changed := map[int]bool{}
	for _, st := range all {
		for o, s := range st.seen {
			if o.layout == oscmap.Uint8 && o.stream == t.stream && o.arg == t.arg && s.changes > 0 && still(o) {
				changed[o.at] = true
			}
		}
	}
	for at := range changed {
		if at < t.at || at >= t.end() {
			n++
		}
	}
	return n
}

// longRise is over how many seconds, in which it changed, a hand does not only raise a fader.
const longRise = 4

// counts reports whether a slot counts messages, or tells the time: what rises each time and
// never falls is no fader, and no switch. A fader that was only raised so far did so within a
// moment, and not by one each time.
func (t *slot) counts() bool {
	return t.onlyRose() && (t.busy >= longRise || t.changes+1 == t.count && t.leap <= 1)
}

// inCounter reports whether a cell has a byte of a number in its blob that counts the messages:
// read in another way than it is written, such a number may seem to follow a hand.
func (t *slot) inCounter() bool {
	return t.isCell() && slices.ContainsFunc(t.in.cells, func(o *slot) bool {
		return o.at < t.end() && t.at < o.end() && o.changes+1 == o.count && o.counts() && o.restless()
	})
}

// restless reports whether the least byte of a cell changes nearly each time, and its greatest
// does not. Otherwise a counter is only a part of the cell.
func (t *slot) restless() bool {
	least, greatest := t.at, t.end()-1
	if bigEndian[t.layout] {
		least, greatest = greatest, least
	}
	each := func(at int) bool {
		return slices.ContainsFunc(t.in.cells, func(o *slot) bool {
			return o.layout == oscmap.Uint8 && o.at == at && 10*(o.changes+1) >= 9*o.count
		})
	}
	return each(least) && (least == greatest || !each(greatest))
}

var bigEndian = map[oscmap.Layout]bool{oscmap.Uint16BE: true, oscmap.Int16BE: true, oscmap.Int32BE: true, oscmap.Float32BE: true}

// swapped are the layouts that differ in nothing but the order of their bytes.
var swapped = map[oscmap.Layout]oscmap.Layout{
	oscmap.Uint16BE: oscmap.Uint16LE, oscmap.Uint16LE: oscmap.Uint16BE, oscmap.Int16BE: oscmap.Int16LE, oscmap.Int16LE: oscmap.Int16BE,
	oscmap.Int32BE: oscmap.Int32LE, oscmap.Int32LE: oscmap.Int32BE, oscmap.Float32BE: oscmap.Float32LE, oscmap.Float32LE: oscmap.Float32BE,
}

// fewestSteps is how often a number changed at least before its way tells the order of its bytes.
const fewestSteps = 8

// misread reports whether a cell went to and fro where it goes straight on with its bytes in the
// other order: a hand moves a fader evenly, and what is read the wrong way round leaps.
func (t *slot) misread() bool {
	other, ok := swapped[t.layout]
	if !ok || t.changes < fewestSteps {
		return false
	}
	return slices.ContainsFunc(t.in.cells, func(o *slot) bool {
		return o.at == t.at && o.layout == other && o.off == 0 && o.hi > o.lo && 2*o.way*(t.hi-t.lo) < t.way*(o.hi-o.lo)
	})
}

// onlyRose reports whether a slot never fell on a long way: it is no meter.
func (t *slot) onlyRose() bool { return t.blob == nil && t.falls == 0 && t.changes >= 12 }

// moves notes which way a number went, and how far and how often.
func (t *slot) moves(from, to value, at time.Duration) {
	if !from.isNum || !to.isNum || to.num < from.num {
		t.falls++
	}
	t.leap = max(t.leap, to.num-from.num)
	if way := math.Abs(to.num - from.num); from.isNum && to.isNum && !math.IsInf(way, 0) {
		t.way += way
	}
	if second := int(at / time.Second); second != t.second || t.busy == 0 {
		t.second, t.busy = second, t.busy+1
	}
}
