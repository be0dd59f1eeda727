package oscmap

import (
	"iter"
	"slices"
	"strings"

	"pawl/rules/desk"
)

// path is an address of the map as it is written, or a text in an ask.
type path struct {
	text  string
	parts []part
}

// part is literal text, or a placeholder. Each slash of an address is a part of
// its own.
type part struct {
	text string // of a literal; as written between the braces of a placeholder
	kind partKind
	slot desk.Strip // of an index or a name
	span span       // of an index; all if none is written
}

type partKind uint8

const (
	literalPart partKind = iota
	indexPart            // {input:1-16}
	namePart             // {input-name}
	anyPart              // {any}
	pathValue            // {value}
)

// open reports whether the part stands for texts that cannot be listed.
func (p part) open() bool { return p.kind >= namePart }

// reserved are the characters that OSC 1.0 keeps out of addresses, but for the
// braces. In an ask those of a pattern may stand.
const (
	reserved        = " #*,?[]}"
	reservedInAsks  = " #,}"
	placeholderHint = "where the desk counts, write {input}, {dca} or {group}; where anything may stand, {any}"
)

// parsePath reads an address in which none of the forbidden characters may
// stand; fault says what is wrong with it, and hint what to do.
func parsePath(text, forbidden string) (p path, fault, hint string) {
	p.text = text
	switch {
	case !strings.HasPrefix(text, "/") || len(text) < 2:
		return p, "an address begins with / and has something after it", ""
	case len(text) > 255:
		return p, "an address longer than 255 characters", ""
	case strings.ContainsFunc(text, func(r rune) bool { return r < ' ' || r > '~' }):
		return p, "an address is written in printable ASCII", ""
	}
	for _, s := range strings.Split(text[1:], "/") {
		p.parts = append(p.parts, part{text: "/"})
		if fault, hint := p.segment(s, forbidden); fault != "" {
			return p, fault, hint
		}
	}
	return p, "", ""
}

func (p *path) segment(s, forbidden string) (fault, hint string) {
	if s == "" {
		return "two slashes with nothing between, or one at the end", ""
	}
	open := 0
	for s != "" {
		before, rest, braced := strings.Cut(s, "{")
		if i := strings.IndexAny(before, forbidden); i >= 0 {
			return "the character '" + before[i:i+1] + "' cannot stand in an address", placeholderHint
		}
		p.literal(before)
		if !braced {
			break
		}
		inside, after, closed := strings.Cut(rest, "}")
		if !closed {
			return "a { that is not closed", ""
		}
		pt, fault, hint := parsePlaceholder(inside)
		if fault != "" {
			return fault, hint
		}
		if pt.open() {
			open++
		}
		p.parts, s = append(p.parts, pt), after
	}
	if open > 1 {
		return "two of {any}, {value} and names between two slashes", "nobody could tell where one ends"
	}
	return "", ""
}

func (p *path) literal(text string) {
	if text != "" {
		p.parts = append(p.parts, part{text: text})
	}
}

func parsePlaceholder(inside string) (p part, fault, hint string) {
	p.text = inside
	if kind, ok := map[string]partKind{"any": anyPart, "value": pathValue}[inside]; ok {
		p.kind = kind
		return p, "", ""
	}
	if name, ok := strings.CutSuffix(inside, "-name"); ok && stripNamed(name) != desk.NoStrip {
		p.kind, p.slot = namePart, stripNamed(name)
		return p, "", ""
	}
	strip, rest, ranged := strings.Cut(inside, ":")
	p.kind, p.slot, p.span = indexPart, stripNamed(strip), span{all: true}
	if p.slot == desk.NoStrip {
		return p, "unknown placeholder {" + inside + "}; want {input}, {dca}, {group}, {input-name}, {dca-name}, {group-name}, {any} or {value}", ""
	}
	if ranged {
		p.span, fault = parseSpan(rest)
		if fault != "" || p.span.all || p.span.byName {
			return p, "{" + inside + "} has no range that can be read", "write it " + spanHint
		}
	}
	return p, "", ""
}

// has reports whether the path has a part of this kind.
func (p *path) has(kind partKind) bool {
	return slices.ContainsFunc(p.parts, func(pt part) bool { return pt.kind == kind })
}

func (p *path) isOpen() bool { return slices.ContainsFunc(p.parts, part.open) }

// indices are the index parts, which may be changed.
func (p *path) indices() (parts []*part) {
	for i := range p.parts {
		if p.parts[i].kind == indexPart {
			parts = append(parts, &p.parts[i])
		}
	}
	return parts
}

// filled is the path with the indices written in.
func (p *path) filled(at map[desk.Strip]string) string {
	var b strings.Builder
	for _, pt := range p.parts {
		if pt.kind == indexPart {
			b.WriteString(at[pt.slot])
		} else {
			b.WriteString(pt.text)
		}
	}
	return b.String()
}

// step is one segment of an address with its indices written out. If open, the
// segment may hold anything between prefix and suffix; else it is prefix.
type step struct {
	prefix, suffix string
	open           partKind // literalPart if it is not
	strip          desk.Strip
}

// expand calls visit for each address that the path stands for, with the index
// of each strip.
func (p *path) expand(visit func(steps []step, at map[desk.Strip]int)) {
	parts := p.indices()
	sizes := make([]int, len(parts))
	for i, pt := range parts {
		sizes[i] = pt.span.n
	}
	for numbers := range combinations(sizes) {
		var steps []step
		at, index := map[desk.Strip]int{}, 0
		for _, pt := range p.parts {
			switch {
			case pt.text == "/":
				steps = append(steps, step{})
			case pt.kind == literalPart:
				steps[len(steps)-1].write(pt.text)
			case pt.kind == indexPart:
				k := numbers[index]
				index++
				steps[len(steps)-1].write(pt.span.spelled(k))
				at[pt.slot] = pt.span.first + k
			default:
				last := &steps[len(steps)-1]
				last.open, last.strip = pt.kind, pt.slot
			}
		}
		visit(steps, at)
	}
}

func (s *step) write(text string) {
	if s.open == literalPart {
		s.prefix += text
	} else {
		s.suffix += text
	}
}

// combinations gives each way to take one number below each of the sizes, the last
// counting fastest. The slice is changed after each.
func combinations(sizes []int) iter.Seq[[]int] {
	return func(yield func([]int) bool) {
		if slices.Contains(sizes, 0) {
			return
		}
		numbers := make([]int, len(sizes))
		for yield(numbers) {
			i := len(sizes) - 1
			for ; i >= 0 && numbers[i] == sizes[i]-1; i-- {
				numbers[i] = 0
			}
			if i < 0 {
				return
			}
			numbers[i]++
		}
	}
}

// size is how many addresses the path stands for, or a number beyond maxAddresses.
func (p *path) size() int {
	n := 1
	for _, pt := range p.indices() {
		if n <= maxAddresses {
			n *= max(pt.span.n, 1)
		}
	}
	return n
}
