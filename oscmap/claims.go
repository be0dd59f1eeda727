package oscmap

import (
	"fmt"
	"strings"

	"pawl/rules/desk"
)

// addresses writes every address of every line out, finds those that two
// signals claim, and builds the table and the tree.
func (c *checker) addresses() {
	listed, total := map[string]*node{}, 0
	judged := map[[2]*line]bool{}
	c.effort = maxEffort
	for _, l := range c.m.lines {
		if total += l.path.size(); total > maxAddresses {
			c.wrong(l.place, "", "with this line the map has more than %d addresses", maxAddresses)
			return
		}
		l.path.expand(func(steps []step, at map[desk.Strip]int) {
			c.m.tree.overlapping(steps, func(n *node) { c.overlap(l, n, steps, judged) })
			if c.effort <= 0 {
				return
			}
			n := c.m.tree.insert(steps)
			n.routes = append(n.routes, l.route(at))
			if l.path.isOpen() {
				c.m.open = true
			} else {
				listed[spelled(steps)] = n
			}
		})
		if c.effort <= 0 {
			c.wrong(l.place, "let fewer lines share an address", "as far as this line, too many signals claim the same addresses to hold each against the others")
			return
		}
	}
	c.m.table = newTable(listed)
}

// maxEffort bounds how long lines are held against each other. A value that one line takes
// of a message that another hears counts as one, and a fault as many, since nobody reads a
// thousand. No map of the tests takes more than ten.
const (
	maxEffort   = 1 << 20
	faultEffort = 1 << 13
)

// overlap looks at a line and what is already at an address it shares.
func (c *checker) overlap(l *line, n *node, steps []step, judged map[[2]*line]bool) {
	for _, r := range n.routes {
		if c.effort--; c.effort <= 0 {
			return
		}
		pair := [2]*line{r.line, l}
		if r.line.path.isOpen() != l.path.isOpen() {
			c.m.mixed = true
		}
		if judged[pair] || r.line == l && l.path.isOpen() {
			continue
		}
		judged[pair] = true
		c.effort -= r.line.elements() + l.elements()
		if !collide(r.line, l) {
			continue
		}
		c.effort -= faultEffort
		if r.line == l {
			c.wrong(l.place, "do two indices run into each other? Put something between them", "the address \"%s\" stands for two strips", spelled(steps))
			continue
		}
		c.wrong(l.place, "one value has one meaning: let them differ by address, by arg, by skip or by when",
			"\"%s\" is claimed by two signals: %s here, %s on line %d", spelled(steps), l.signals[0], r.line.signals[0], r.line.place.Line)
	}
}

func (l *line) route(at map[desk.Strip]int) route {
	r := route{line: l}
	for i, strip := range l.slots {
		r.at[i] = int32(at[strip])
	}
	for _, t := range l.by(byMap) {
		r.at[t.slot] = int32(t.span.first)
	}
	return r
}

// spelled is an address as a person reads it, with what is open in braces.
func spelled(steps []step) string {
	var b strings.Builder
	for _, s := range steps {
		b.WriteString("/" + s.prefix)
		switch s.open {
		case namePart:
			fmt.Fprintf(&b, "{%s-name}", s.strip)
		case anyPart:
			b.WriteString("{any}")
		case pathValue:
			b.WriteString("{value}")
		}
		b.WriteString(s.suffix)
	}
	return b.String()
}

// collide reports whether two lines with the same address take the same part of
// the same message.
func collide(a, b *line) bool {
	if a.unsure || b.unsure {
		return false
	}
	for i := range a.when {
		for j := range b.when {
			if a.when[i].excludes(&b.when[j]) {
				return false
			}
		}
	}
	for i := range a.which {
		for j := range b.which {
			if a.which[i].arg == b.which[j].arg && a.which[i].span.disjoint(&b.which[j].span) {
				return false
			}
		}
	}
	switch {
	case a.source == fromArrival && b.source == fromArrival:
		return (a.signals[0] == desk.DeskAlive) == (b.signals[0] == desk.DeskAlive)
	case a.source == fromArrival || b.source == fromArrival:
		return false
	case a.source == fromPath || b.source == fromPath:
		return a.source == b.source
	}
	return shareBytes(a, b) && a.bitMask()&b.bitMask() != 0
}

// shareBytes reports whether two lines take the same of a message: the same byte of
// a blob, or the same argument.
func shareBytes(a, b *line) bool {
	bytes := a.source == fromBlob && b.source == fromBlob
	taken := b.takes(bytes)
	for place := range a.takes(bytes) {
		if taken[place] {
			return true
		}
	}
	return false
}

// takes lists what a line takes of a message: arguments or, if bytes are asked for,
// each with a place in the blob.
func (l *line) takes(bytes bool) map[[2]int]bool {
	places := map[[2]int]bool{}
	for k := range l.elements() {
		switch {
		case l.source == fromBlob && bytes:
			for i := range l.layout.Size() {
				places[[2]int{l.arg, l.skip + k*l.stride + i}] = true
			}
		case l.source == fromArgs:
			places[[2]int{l.arg + k*l.stride}] = true
		default:
			places[[2]int{l.arg}] = true
		}
	}
	return places
}

// bitMask is which bits of a number a line takes.
func (l *line) bitMask() uint64 {
	switch from := max(l.meaning.bit, 0); {
	case l.bits != nil:
		return (1<<l.bits.span.n - 1) << from
	case l.meaning.bit >= 0:
		return 1 << from
	}
	return ^uint64(0)
}
