package survey

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
)

// place is where in a shape a strip's values are, and how the shape counts them.
type place struct {
	shape *Shape
	at    []string // what stands in the variables for the strip asked about
	index int      // the variable that counts the strips, -1 if none does
	lo    int
	n     int
	named bool
	arg   int
	row   bool // the values of all strips are arguments one after another
	bit   int  // the values of all strips are bits, this the first; -1 if not
}

// locate finds the shape and the variables of a slot.
func locate(shapes []*Shape, t *slot) (place, bool) {
	for _, sh := range shapes {
		for _, m := range sh.members {
			if m.source != t.source {
				continue
			}
			p := place{shape: sh, at: m.at, index: -1, arg: t.arg, bit: -1, n: 1}
			if len(sh.vars) > 0 {
				p.index = 0
			}
			return p, true
		}
	}
	return place{}, false
}

// count finds how many strips there are, from the one asked about: as far as the
// numbers go on without a gap. Where another kind of strip begins, they stop.
func (p *place) count(stops []place) {
	if p.index < 0 {
		return
	}
	v := p.shape.vars[p.index]
	if v.named {
		p.named, p.n = true, len(v.texts)
		return
	}
	p.lo = number(p.at[p.index])
	have := map[int]bool{}
	for _, m := range p.shape.members {
		if p.alike(m.at) {
			have[number(m.at[p.index])] = true
		}
	}
	end := p.lo + 1
	for have[end] && !slices.ContainsFunc(stops, func(o place) bool {
		return o.shape == p.shape && o.index == p.index && o.index >= 0 && number(o.at[o.index]) == end
	}) {
		end++
	}
	p.n = end - p.lo
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

// each calls visit for every strip's slot of an argument, in order of the strips.
func (p *place) each(visit func(k int, t *slot)) {
	for _, m := range p.shape.members {
		if p.index < 0 {
			if t := m.slotAt(p.arg); t != nil && p.alike(m.at) {
				visit(0, t)
			}
			continue
		}
		k := number(m.at[p.index]) - p.lo
		if p.named {
			k = slices.Index(p.shape.vars[p.index].texts, m.at[p.index])
		}
		if t := m.slotAt(p.arg); t != nil && k >= 0 && k < p.n && p.alike(m.at) {
			visit(k, t)
		}
	}
}

// slots is the slots of all strips.
func (p *place) slots() (all []*slot) {
	p.each(func(_ int, t *slot) { all = append(all, t) })
	return all
}

// numbers is the strips as a map counts them: "1-16", "01-16", "41-44=1".
func (p *place) numbers() string {
	width := 0
	if v := p.shape.vars[p.index]; v.width > 0 {
		width = v.width
	}
	text := fmt.Sprintf("%0*d", width, p.lo)
	if p.n > 1 {
		text += fmt.Sprintf("-%0*d", width, p.lo+p.n-1)
	}
	if p.lo > 1 {
		text += "=1"
	}
	return text
}

// byArgument reports whether the strips are counted by the first argument.
func (p *place) byArgument() bool {
	return p.index >= 0 && p.shape.byArgument && p.index == len(p.shape.vars)-1
}

// counting says in words how the strips are counted, as the reason for a range.
func (p *place) counting(s strip) string {
	switch {
	case p.index < 0:
		return ""
	case p.named:
		return fmt.Sprintf("strips by name; %d names seen", p.n)
	}
	where := "number in the address"
	if p.byArgument() {
		where = "first argument"
	}
	text := fmt.Sprintf("%s: %d %s seen, counted from %d", where, p.n, s.several(), p.lo)
	if p.shape.vars[p.index].width > 0 {
		text += ", padded with zeros"
	}
	return text
}

// hear is the map's lines that say where: the address, and what tells the strip
// if the address does not.
func (p *place) hear(s strip) []string {
	var address strings.Builder
	for i, part := range p.shape.parts {
		address.WriteString(part)
		switch {
		case i == len(p.shape.parts)-1:
		case i != p.index:
			address.WriteString(p.at[i])
		case p.named:
			fmt.Fprintf(&address, "{%s-name}", s)
		case s == mainStrip:
			address.WriteString(p.at[i])
		default:
			fmt.Fprintf(&address, "{%s:%s}", s, p.numbers())
		}
	}
	lines := []string{"hear: " + quoted(address.String())}
	if last := len(p.shape.vars) - 1; p.shape.byArgument {
		switch {
		case p.index == last && s != mainStrip:
			lines = append(lines, fmt.Sprintf("which: {%s: %s, arg: 0}", s, p.numbers()))
		default:
			lines = append(lines, fmt.Sprintf("when: {arg: 0, is: %s}", p.at[last]))
		}
	}
	return lines
}

var plainAddress = regexp.MustCompile(`^/[A-Za-z0-9/{}:=_.,-]*$`)

// quoted is an address as YAML reads it.
func quoted(address string) string {
	if plainAddress.MatchString(address) {
		return address
	}
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(address) + `"`
}

// writable reports whether a map may hold the address at all.
func (s *Shape) writable() bool {
	for _, part := range s.parts {
		if strings.ContainsAny(part, " #*,?[]{}") || strings.IndexFunc(part, func(r rune) bool { return r < '!' || r > '~' }) >= 0 {
			return false
		}
	}
	for _, m := range s.members {
		if m.address == "/" || strings.Contains(m.address, "//") || strings.HasSuffix(m.address, "/") {
			return false
		}
	}
	return true
}
