package survey

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
)

// place is a column cut down to the strips of one kind, and how they are counted.
type place struct {
	column
	at    []string // what stands in the variables for the strip asked about
	index int      // the variable that counts the strips, -1 if none does
	from  int      // the number of the strip asked about
	n     int      // how many strips
	named bool
	list  []string // the names in their order, if they are the desk's own
	mark  string   // what stands before the number in its segment, if that tells the kind of strip
	sole  bool     // no other kind of strip has its numbers at its address

	// Of strips in one message: what is the first one's, how far apart they are, why that is
	// not certain, and what is the first of each further message with as many.
	cell   *slot
	stride int
	doubt  string
	banked []*slot
	rows   []int // of strips in banks, how many each message has
}

// placed is a column before it is known which of its strips are of one kind. What
// stands for the strip asked about is at.
func placed(c column, at []string) place {
	p := place{column: c, at: at, index: min(len(c.shape.vars), 1) - 1, n: 1}
	if c.row {
		p.n = len(c.slots)
	}
	return p
}

// locate finds the place of a slot.
func locate(shapes []*shape, t *slot) (place, bool) {
	for _, sh := range shapes {
		for _, m := range sh.members {
			if m.stream == t.stream {
				return placed(sh.column(t.arg), m.at), true
			}
		}
	}
	return place{}, false
}

// bound finds how many strips there are. Where one of the others begins, they stop.
func (p *place) bound(s strip, others []place) {
	switch row := p.shape.rowFrom(p.arg); {
	case s == mainStrip:
		p.index = -1 // there is one, even where its address has a number
		p.narrow()
	case p.index < 0 && row != nil:
		p.column, p.n = p.with(row), len(row)
		p.row = true
	default:
		p.count(func(n int) bool {
			return slices.ContainsFunc(others, func(o place) bool {
				return o.shape == p.shape && o.index == p.index && o.index >= 0 && number(o.at[o.index]) == n
			})
		})
	}
}

// count finds how many strips there are, from the one asked about: as far as the
// numbers go on without a gap, or until one is of another kind.
func (p *place) count(until func(int) bool) {
	if p.index >= 0 {
		v := p.shape.vars[p.index]
		p.from, p.named, p.n = number(p.at[p.index]), v.named, len(v.texts)
		have := map[int]bool{}
		for _, m := range p.shape.members {
			have[number(m.at[p.index])] = have[number(m.at[p.index])] || p.alike(m.at)
		}
		if !p.named {
			for p.n = 1; have[p.from+p.n] && !until(p.from+p.n); {
				p.n++
			}
		}
	}
	p.narrow()
}

// banks says that the number in an address may count banks of strips and not strips: the
// messages are rows of values. It is "" if they are not.
func (p *place) banks(s strip) string {
	if s == mainStrip || p.index < 0 || p.row || p.byArgument() {
		return ""
	}
	row := p.shape.rowFrom(p.arg)
	if len(row) < 3 {
		return ""
	}
	return fmt.Sprintf("But each message has %d values: either each of the %s has so many, or the number counts banks of %d %s. Nothing that was asked tells which: "+
		"if they are banks, write one entry for each, with its own address, args: %d and each: %s:1-%d, then %d-%d, and so on.",
		len(row), s.several(), len(row), s.several(), p.arg, s, len(row), len(row)+1, 2*len(row))
}

// narrow leaves out the slots of what is no strip of this kind.
func (p *place) narrow() {
	var slots []*slot
	for _, m := range p.shape.members {
		k := 0
		if p.index >= 0 && !p.named {
			k = number(m.at[p.index]) - p.from
		}
		if t := m.slotAt(p.arg); t != nil && k >= 0 && k < p.n && p.alike(m.at) {
			slots = append(slots, t)
		}
	}
	p.column = p.with(slots)
}

// alike reports whether a member differs from the strip asked about in nothing
// but what counts the strips.
func (p *place) alike(at []string) bool {
	for i := range at {
		if i != p.index && at[i] != p.at[i] {
			return false
		}
	}
	return true
}

// beside is the same strips in another column: the same numbers, and if they stand
// in the address, after the same beginning.
func (p *place) beside(c column) (o place, ok bool) {
	sh := c.shape
	if p.index < 0 || p.row || len(sh.vars) != len(p.shape.vars) || sh.byArgument != p.shape.byArgument || sh.indexAt != p.shape.indexAt || !sh.writable() ||
		!p.byArgument() && !slices.Equal(sh.parts[:p.index+1], p.shape.parts[:p.index+1]) && !p.marks(sh) ||
		!slices.ContainsFunc(sh.members, func(m member) bool { return slices.Equal(m.at, p.at) }) {
		return place{}, false
	}
	o = place{column: c, at: p.at, index: p.index, list: p.list, mark: p.mark, sole: p.sole}
	if p.byArgument() && !(p.sole && slices.Equal(sh.parts, p.shape.parts)) {
		o.count(never) // nothing in the address says that both are of one kind
		return o, o.n == p.n
	}
	o.count(func(n int) bool { return n == p.from+p.n })
	// A desk need not tell every value of every strip before it is moved.
	enough := 4*o.n >= 3*p.n
	o.n = p.n
	o.narrow()
	if p.byArgument() { // though none of those between may be told
		enough = 4*len(o.slots) >= 3*p.n
	}
	return o, enough
}

// marks reports whether another shape is of the same strips, by what stands before the number:
// /gain/i* and /name/i* are, where /gain/g* is of another kind.
func (p *place) marks(sh *shape) bool {
	return p.mark != "" && p.index == 0 && len(sh.parts) == len(p.shape.parts) && slices.Equal(sh.parts[1:], p.shape.parts[1:]) &&
		markOf(sh.parts[0]) == p.mark && nearly(sh.parts[0], p.shape.parts[0])
}

// markOf is what stands before a number in its segment.
func markOf(before string) string { return before[strings.LastIndexByte(before, '/')+1:] }

// marked notes the marks of the kinds of strips, where two have the same address but for them,
// and whether several kinds are counted in one row.
func marked(families map[strip]family) {
	for s, f := range families {
		f.place.sole = len(families) > 1
		for _, other := range families {
			f.place.sole = f.place.sole && (other.place.shape == f.place.shape || !slices.Equal(other.place.shape.parts, f.place.shape.parts))
		}
		families[s] = f
		for o, other := range families {
			a, b := f.place.shape.parts[0], other.place.shape.parts[0]
			if s != o && f.place.index == 0 && !f.place.named && markOf(a) != "" && markOf(b) != "" && markOf(a) != markOf(b) &&
				strings.TrimSuffix(a, markOf(a)) == strings.TrimSuffix(b, markOf(b)) {
				f.place.mark = markOf(a)
				families[s] = f
			}
		}
	}
}

// never is for counting as far as there are numbers.
func never(int) bool { return false }

// span is the strips as a map counts them: "1-16", "01-16", "41-44=1".
func (p *place) span() string {
	width := p.shape.vars[p.index].width
	text := numeral(p.from, width)
	if p.n > 1 {
		text += "-" + numeral(p.from+p.n-1, width)
	}
	if p.from > 1 && p.from != letters+'a' && p.from != letters+'A' {
		text += "=1"
	}
	return text
}

// byArgument reports whether the strips are counted by the first argument.
func (p *place) byArgument() bool {
	return p.index >= 0 && p.shape.byArgument && p.index == len(p.shape.vars)-1
}

// counting says in a sentence how the strips are counted, as the reason for a range.
func (p *place) counting(s strip) string {
	switch {
	case p.index < 0:
		return ""
	case p.list != nil:
		return "Strips by names of the desk's own, in the order in which they were heard; the first, the second and the last were seen to be so."
	case p.named:
		return fmt.Sprintf("Strips by name; %d names seen.", p.n)
	}
	where, padded := "Number in the address", ""
	if p.from >= letters {
		where = "Letter in the address"
	}
	if p.byArgument() {
		where = map[int]string{0: "First argument", 1: "Second argument", 2: "Third argument", 3: "Fourth argument"}[p.shape.indexAt]
	}
	if p.shape.vars[p.index].width > 0 {
		padded = ", padded with zeros"
	}
	return fmt.Sprintf("%s: %d %s seen, counted from %s%s.", where, p.n, s.several(), numeral(p.from, 1), padded)
}

// hear is the map's lines that say where: the address, and what tells the strip
// if the address does not.
func (p *place) hear(s strip) []string {
	var address strings.Builder
	for i, part := range p.shape.parts {
		address.WriteString(part)
		switch {
		case i == len(p.shape.parts)-1:
		case i != p.index || s == mainStrip && !p.named:
			address.WriteString(p.at[i])
		case p.named && p.list != nil:
			fmt.Fprintf(&address, "{%s:%s}", s, strings.Join(p.list, ","))
		case p.named:
			fmt.Fprintf(&address, "{%s-name}", s)
		default:
			fmt.Fprintf(&address, "{%s:%s}", s, p.span())
		}
	}
	lines := []string{"hear: " + quoted(address.String())}
	var when []string
	if p.shape.wordAt >= 0 {
		when = append(when, fmt.Sprintf("{arg: %d, is: %s}", p.shape.wordAt, inYAML(p.shape.word)))
	}
	last := len(p.shape.vars) - 1
	switch {
	case !p.shape.byArgument:
	case p.index == last && s != mainStrip:
		lines = append(lines, fmt.Sprintf("which: {%s: %s, arg: %d}", s, p.span(), p.shape.indexAt))
	case len(p.shape.vars[last].texts) > 1 || len(when) == 0:
		when = append(when, fmt.Sprintf("{arg: %d, is: %s}", p.shape.indexAt, p.at[last]))
	}
	switch len(when) {
	case 0:
	case 1:
		lines = append(lines, "when: "+when[0])
	default:
		lines = append(lines, "when: ["+strings.Join(when, ", ")+"]")
	}
	return lines
}

// where is the beginning of an entry's value: which argument, and of whom.
func (p *place) where(s strip) string {
	if p.cell != nil && p.cell.isCell() {
		text := fmt.Sprintf("blob: %d, of: %s", p.arg, p.cell.layout)
		if p.cell.at > 0 {
			text += fmt.Sprintf(", skip: %d", p.cell.at)
		}
		if p.stride > 0 && p.stride != p.cell.layout.Size() {
			text += fmt.Sprintf(", stride: %d", p.stride)
		}
		if s != mainStrip {
			text += fmt.Sprintf(", each: %s:1-%d", s, p.n)
		}
		return text
	}
	if p.stride > 1 && s != mainStrip {
		return fmt.Sprintf("args: %d, each: %s:1-%d, stride: %d", p.arg, s, p.n, p.stride)
	}
	if p.row && s != mainStrip {
		return fmt.Sprintf("args: %d, each: %s:1-%d", p.arg, s, p.n)
	}
	return fmt.Sprintf("arg: %d", p.arg)
}

var plainAddress = regexp.MustCompile(`^/[A-Za-z0-9/{}:=_.,-]*$`)

// quoted is an address as YAML reads it.
func quoted(address string) string {
	if plainAddress.MatchString(address) && !strings.HasSuffix(address, ":") {
		return address
	}
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(address) + `"`
}

// writable reports whether a map may hold the address at all.
func (s *shape) writable() bool {
	for _, part := range s.parts {
		if strings.ContainsFunc(part, func(r rune) bool { return r < '!' || r > '~' || strings.ContainsRune("#*,?[]{}", r) }) {
			return false
		}
	}
	return !slices.ContainsFunc(s.members, func(m member) bool {
		return strings.Contains(m.shown, "//") || strings.HasSuffix(m.shown, "/")
	})
}
