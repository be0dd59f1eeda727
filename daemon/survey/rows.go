package survey

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"pawl/oscmap"
	"pawl/rules"
)

// Where one message has the faders of several strips, nothing in it says how many there are
// of each, and in what order: a hand tells. The guide asks for the second strip, whose place
// tells how far apart they stand, and if there is another message of the same form, for the
// strip that would be the first in it.

// along is what a hand showed of the strips of a kind: where strip n is.
type along struct {
	strip strip
	n     int
	slot  *slot // nil if it was not seen, or there is none
	none  bool  // somebody said that there is none
}

// position is where a value stands among those of its message.
func (t *slot) position() int {
	if t.isCell() {
		return t.at
	}
	return t.arg
}

// beside reports whether two slots are values of one message, in one row.
func (t *slot) beside(o *slot) bool {
	return t.stream == o.stream && t.layout == o.layout && (!t.isCell() || t.arg == o.arg && (t.at-o.at)%t.layout.Size() == 0)
}

// fewestInRow is how many values alike a message has at least that may be of several strips.
const fewestInRow = 3

// inRow reports whether a slot is one of a row of values alike, or in a blob.
func (t *slot) inRow() bool {
	if t.isCell() {
		return true
	}
	alike := 0
	for _, o := range t.stream.slots {
		if o.tags == t.tags && o.numeric() && !o.isKey() {
			alike++
		}
	}
	return alike >= fewestInRow && t.numeric()
}

// row is the control of a kind of strip, if it is one of a row that no number counts.
func (g *Guide) row(s strip) (control, bool) {
	c, ok := g.steps.control(s, zero, g.refused)
	if !ok || s == mainStrip || !c.slot.inRow() {
		return control{}, false
	}
	p, ok := locate(g.survey.shapes(), c.slot)
	return c, ok && p.index < 0
}

// shown is what a hand showed of a strip.
func shown(all []along, s strip, n int) (along, bool) {
	i := slices.IndexFunc(all, func(a along) bool { return a.strip == s && a.n == n })
	if i < 0 {
		return along{}, false
	}
	return all[i], true
}

// follow is what has to be asked once all else is.
func (g *Guide) follow() []question {
	for _, s := range []strip{inputStrip, groupStrip, dcaStrip} {
		c, ok := g.row(s)
		if !ok {
			continue
		}
		second, asked := shown(g.rows, s, 2)
		if !asked {
			return []question{{strip: s, act: another, n: 2}}
		}
		if s != inputStrip || second.slot == nil {
			continue
		}
		// As long as there is another message of the same form.
		_, n, _ := g.steps.extent(s, c, g.refused, g.rows)
		for next := n + 1; n > 1; next += n {
			more, asked := shown(g.rows, s, next)
			if !asked && len(g.siblings(c.slot)) > 0 {
				return []question{{strip: s, act: another, n: next}}
			}
			if more.slot == nil {
				break
			}
		}
	}
	return nil
}

// siblings are the slots of the same place in other messages of the same form, but for those
// that are known already.
func (g *Guide) siblings(t *slot) (all []*slot) {
	var taken []*stream
	for _, a := range g.rows {
		if a.slot != nil {
			taken = append(taken, a.slot.stream)
		}
	}
	g.survey.eachSlot(func(o *slot) {
		if o.stream != t.stream && o.stream.seen() && o.alike(t) && !slices.Contains(taken, o.stream) && nearly(o.stream.shown, t.stream.shown) {
			all = append(all, o)
		}
	})
	return all
}

// alike reports whether two slots stand at the same place of messages of the same form.
func (t *slot) alike(o *slot) bool {
	if t.arg != o.arg || t.layout != o.layout || t.at != o.at || t.tags != o.tags || len(t.stream.slots) != len(o.stream.slots) {
		return false
	}
	return !t.isCell() || t.in.most == o.in.most
}

// nearly reports whether two addresses differ in one segment.
func nearly(a, b string) bool {
	x, y := strings.Split(a, "/"), strings.Split(b, "/")
	differ := 0
	for i := range min(len(x), len(y)) {
		if x[i] != y[i] {
			differ++
		}
	}
	return len(x) == len(y) && differ == 1
}

// showNext sees where another strip of a row is.
func (g *Guide) showNext() []rules.Phrase {
	q := g.queue[0]
	c, _ := g.row(q.strip)
	st := g.look(q, math.NaN())
	var found []*slot
	if c.slot != nil {
		for t, s := range st.seen {
			inside := t.beside(c.slot) && t.tags == c.slot.tags && t.position() > c.slot.position()
			if s.changes > 0 && g.steps.stood(t) && g.steps.alone(t, nil) && (q.n == 2 && inside || q.n > 2 && slices.Contains(g.siblings(c.slot), t)) {
				found = append(found, t)
			}
		}
	}
	return g.tookAlong(q, found)
}

// tookAlong keeps where another strip is, if one place alone could be it, and goes on; it asks
// again while there is patience.
func (g *Guide) tookAlong(q question, found []*slot) []rules.Phrase {
	a := along{strip: q.strip, n: q.n}
	var said []rules.Phrase
	switch {
	case len(found) == 1:
		a.slot = found[0]
		said = []rules.Phrase{put(rules.Say("guide.saw-move"), a.slot.named())}
	case g.missed+1 < patience:
		g.missed++
		g.ask()
		return []rules.Phrase{put(rules.Say("guide.nothing-could-be"), byNone)}
	default:
		said = []rules.Phrase{rules.Say("guide.not-seen")}
	}
	g.keep()
	g.rows = append(g.rows, a)
	return g.next(said)
}

// whichOf is the doubt of a row of which only the first strip is known.
func whichOf(s strip) string {
	return fmt.Sprintf("But nothing tells which of the other values are those of the other %s.", s.several())
}

// extent is how the strips of a kind lie in the message of their first one's control: how far
// apart, and how many; doubt says why that is not certain.
func (all steps) extent(s strip, c control, refused []refusal, rows []along) (stride, n int, doubt string) {
	second, _ := shown(rows, s, 2)
	if second.slot == nil {
		return 0, 0, whichOf(s)
	}
	first := c.slot.position()
	stride = second.slot.position() - first
	// They end where those of another kind begin, or with the message.
	end, bounded := c.slot.behind(), false
	for o := inputStrip; o <= mainStrip; o++ {
		for _, a := range []act{zero, mute} {
			other, ok := all.control(o, a, refused)
			if !ok || o == s || other.slot.stream != c.slot.stream || other.slot.isCell() != c.slot.isCell() || other.slot.isCell() && other.slot.arg != c.slot.arg {
				continue
			}
			if at := other.slot.position(); at > first && at < end {
				end, bounded = at, true
			}
		}
	}
	n = max((end-first+stride-1)/stride, 1)
	if bounded {
		n = max((end-first)/stride, 1)
		if at := first + n*stride; c.slot.isCell() && at+c.slot.layout.Size() <= end && all.sameBefore(c.slot, at, stride) {
			n++
		}
	}
	// Each has room for its mute too, if that stands beside the fader.
	if m, ok := all.control(s, mute, refused); ok && m.slot.stream == c.slot.stream && m.slot.isCell() == c.slot.isCell() && m.slot.arg-c.slot.arg < stride {
		if off := m.slot.position() - first; off > 0 && off < stride && n > 1 && first+(n-1)*stride+off+m.slot.unit() > end {
			n--
		}
	}
	// A row has its values in the same types again and again.
	if !c.slot.isCell() {
		for k := 1; k < n; k++ {
			if o := c.slot.after(k * stride); o == nil || o.tags != c.slot.tags {
				n = k
			}
		}
	}
	return stride, n, doubt
}

// sameBefore reports whether at a place of a blob a whole record ends as the first does, that
// holds something before the slot: then it is one more strip's.
func (all steps) sameBefore(t *slot, at, stride int) bool {
	if !all.lively(t) || t.at < 1 {
		return false
	}
	moves := func(at int) bool {
		return slices.ContainsFunc(t.in.cells, func(o *slot) bool { return o.layout == oscmap.Uint8 && o.at == at && !all.stood(o) })
	}
	lively := false
	for back := 1; back <= min(stride-t.layout.Size(), t.at); back++ {
		if moves(t.at-back) != moves(at-back) {
			return false
		}
		lively = lively || moves(at-back)
	}
	return lively && !moves(at) && !moves(at+t.layout.Size()-1)
}

// behind is the position behind the last value of a slot's message, or of its blob.
func (t *slot) behind() int {
	if t.isCell() {
		return t.in.most
	}
	return t.stream.from + len(t.stream.slots)
}

// after is the slot so many positions further on in its message, nil if there is none.
func (t *slot) after(positions int) *slot {
	if t.isCell() {
		for _, o := range t.in.cells {
			if o.layout == t.layout && o.at == t.at+positions {
				return o
			}
		}
		return nil
	}
	if k := t.arg + positions - t.stream.from; k >= 0 && k < len(t.stream.slots) {
		return t.stream.slots[k]
	}
	return nil
}

// spread cuts a place down to the strips of a row: n of them, so far apart.
func (p *place) spread(t *slot, stride, n int) {
	var slots []*slot
	for k := range n {
		if o := t.after(k * stride); o != nil {
			slots = append(slots, o)
		}
	}
	p.column = p.with(slots)
	p.arg = t.arg
	p.cell, p.stride, p.n, p.row = t, stride, len(slots), true
}

// layRow finds how the strips lie in a row: of a fader by what a hand showed, of a mute as the
// faders do, if as many values stand in its message.
func (d *drafter) layRow(s strip, c *family, a act) {
	t := c.fader.slot
	if c.place.index >= 0 || s == mainStrip || !t.inRow() {
		if t.isCell() {
			c.place.cell = t
			c.place.column = c.place.with([]*slot{t})
		}
		return
	}
	if a == zero {
		stride, n, doubt := d.guide.extent(s, c.fader, d.refused, d.rows)
		if n > 1 {
			c.place.spread(t, stride, n)
		} else {
			c.place.spread(t, 1, 1)
			doubt = cmp.Or(doubt, whichOf(s))
		}
		c.place.doubt = doubt
		if doubt == "" {
			c.place.banked = d.nextBanks(s, n)
		}
		return
	}
	f := &d.known[s]
	switch fader := f.fader.slot; {
	case !f.ok || f.place.stride == 0 && (t.isCell() || t.toTheEnd() != f.place.n) || f.place.doubt != "":
		c.place.spread(t, 1, 1)
		c.place.doubt = whichOf(s)
	case fader.stream == t.stream && fader.isCell() == t.isCell():
		c.place.spread(t, f.place.stride, f.place.n)
	case len(f.place.banked) == 0 && t.toTheEnd() == f.place.n:
		c.place.spread(t, t.unit(), f.place.n)
	case fader.values() == t.values() && fader.rank() == t.rank():
		c.place.spread(t, f.place.stride/fader.unit()*t.unit(), f.place.n)
		for _, b := range f.place.banked {
			c.place.banked = append(c.place.banked, d.likewise(fader, b, t))
		}
	case len(f.place.banked) == 0 && d.alongside(s, t):
		c.place.spread(t, f.place.stride/fader.unit()*t.unit(), f.place.n)
	default:
		c.place.spread(t, 1, 1)
		c.place.doubt = fmt.Sprintf("But its message has not as many values as that of the faders, and nothing tells which are those of the other %s.", s.several())
	}
	if slices.Contains(c.place.banked, nil) {
		c.place.banked, c.place.doubt = nil, "But the message with those of the next bank was not found."
	}
}

// fewestAlongside is how many further kinds of strips must have their mutes where their faders
// are, counted from one kind's.
const fewestAlongside = 2

// alongside reports whether the mutes of one message lie as the faders of another do: those of
// each further kind of strip begin as many values behind this one's as its faders do.
func (d *drafter) alongside(s strip, t *slot) bool {
	fader, n := d.known[s].fader.slot, 0
	for o := inputStrip; o <= mainStrip; o++ {
		m, ok := d.guide.control(o, mute, d.refused)
		f := &d.known[o]
		switch {
		case o == s || !ok || !f.ok:
		case m.slot.beside(t) != f.fader.slot.beside(fader):
			return false
		case !m.slot.beside(t):
		case (m.slot.position()-t.position())*fader.unit() != (f.fader.slot.position()-fader.position())*t.unit():
			return false
		default:
			n++
		}
	}
	return n >= fewestAlongside
}

// unit is how far two values side by side are apart.
func (t *slot) unit() int {
	if t.isCell() {
		return t.layout.Size()
	}
	return 1
}

// values is how many values side by side the message of a slot has, or its blob.
func (t *slot) values() int { return t.behind() / t.unit() }

// toTheEnd is how many values alike stand in the message, or the blob, from a slot on. Of a blob
// it is only known if nothing stands before.
func (t *slot) toTheEnd() (n int) {
	if t.isCell() {
		if t.at > 0 {
			return 0
		}
		return t.values()
	}
	for o := t; o != nil; o = o.after(t.unit()) {
		if o.revision() && o.after(t.unit()) == nil && n > 0 {
			return n
		}
		if o.tags != t.tags {
			return 0
		}
		n++
	}
	return n
}

// revision reports whether a number is another with each message and never fell: one behind the
// values of a list numbers the lists.
func (t *slot) revision() bool {
	return t.numeric() && t.whole && t.falls == 0 && t.changes >= fewestInRow && t.changes+1 == t.count
}

// rank is which of them it is.
func (t *slot) rank() int { return t.position() / t.unit() }

// nextBanks are the first slots of the next banks of a kind of strip.
func (d *drafter) nextBanks(s strip, n int) (all []*slot) {
	for next := n + 1; ; next += n {
		a, ok := shown(d.rows, s, next)
		if !ok || a.slot == nil {
			return all
		}
		all = append(all, a.slot)
	}
}

// likewise is the slot that differs from one as another differs from a third: where the mutes
// of the next bank are, by where its faders are.
func (d *drafter) likewise(fader, next, t *slot) (found *slot) {
	a, b := strings.Split(fader.stream.shown, "/"), strings.Split(next.stream.shown, "/")
	want := strings.Split(t.stream.shown, "/")
	for i := range a {
		if a[i] != b[i] {
			if i >= len(want) || want[i] != a[i] {
				return nil
			}
			want[i] = b[i]
		}
	}
	d.survey.eachSlot(func(o *slot) {
		if o.stream.seen() && o.stream.shown == strings.Join(want, "/") && o.alike(t) {
			found = o
		}
	})
	return found
}
