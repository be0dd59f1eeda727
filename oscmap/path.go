package oscmap

import (
	"strings"

	"pawl/rules/desk"
)

// path is an address of the map as it is written, cut at the slashes.
type path struct {
	text     string
	segments [][]part
}

// part is literal text, or a placeholder.
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
	if !strings.HasPrefix(text, "/") || len(text) < 2 {
		return p, "an address begins with / and has something after it", ""
	}
	if len(text) > 255 {
		return p, "an address longer than 255 characters", ""
	}
	if i := strings.IndexFunc(text, func(r rune) bool { return r < ' ' || r > '~' }); i >= 0 {
		return p, "an address is written in printable ASCII", ""
	}
	for _, s := range strings.Split(text[1:], "/") {
		parts, fault, hint := parseSegment(s, forbidden)
		if fault != "" {
			return p, fault, hint
		}
		p.segments = append(p.segments, parts)
	}
	return p, "", ""
}

func parseSegment(s, forbidden string) (parts []part, fault, hint string) {
	if s == "" {
		return nil, "two slashes with nothing between, or one at the end", ""
	}
	open := 0
	for s != "" {
		before, rest, braced := strings.Cut(s, "{")
		if i := strings.IndexAny(before, forbidden); i >= 0 {
			return nil, "the character '" + before[i:i+1] + "' cannot stand in an address", placeholderHint
		}
		if before != "" {
			parts = append(parts, part{text: before})
		}
		if !braced {
			break
		}
		inside, after, closed := strings.Cut(rest, "}")
		if !closed {
			return nil, "a { that is not closed", ""
		}
		p, fault, hint := parsePlaceholder(inside)
		if fault != "" {
			return nil, fault, hint
		}
		if p.open() {
			open++
		}
		parts, s = append(parts, p), after
	}
	if open > 1 {
		return nil, "two of {any}, {value} and names between two slashes", "nobody could tell where one ends"
	}
	return parts, "", ""
}

func parsePlaceholder(inside string) (p part, fault, hint string) {
	p.text = inside
	switch inside {
	case "any":
		p.kind = anyPart
		return p, "", ""
	case "value":
		p.kind = pathValue
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
	for _, s := range p.segments {
		for _, part := range s {
			if part.kind == kind {
				return true
			}
		}
	}
	return false
}

// indices calls visit for each index part, which it may change.
func (p *path) indices(visit func(*part)) {
	for _, s := range p.segments {
		for i := range s {
			if s[i].kind == indexPart {
				visit(&s[i])
			}
		}
	}
}

// step is one segment of an address with its indices written out. If open, the
// segment may hold anything between prefix and suffix; else it is prefix.
type step struct {
	prefix, suffix string
	open           partKind // literalPart if it is not
	strip          desk.Strip
}

// expand calls visit for each address that the path stands for, with the index
// of each strip. Both arguments are changed after visit returns.
func (p *path) expand(visit func(steps []step, at map[desk.Strip]int)) {
	steps := make([]step, len(p.segments))
	p.expandFrom(0, 0, steps, map[desk.Strip]int{}, func(at map[desk.Strip]int) { visit(steps, at) })
}

func (p *path) expandFrom(seg, i int, steps []step, at map[desk.Strip]int, visit func(map[desk.Strip]int)) {
	if seg == len(p.segments) {
		visit(at)
		return
	}
	if i == 0 {
		steps[seg] = step{}
	}
	if i == len(p.segments[seg]) {
		p.expandFrom(seg+1, 0, steps, at, visit)
		return
	}
	pt, before := &p.segments[seg][i], steps[seg]
	switch pt.kind {
	case literalPart:
		steps[seg].write(pt.text)
		p.expandFrom(seg, i+1, steps, at, visit)
	case indexPart:
		for k := range pt.span.n {
			steps[seg] = before
			steps[seg].write(pt.span.spelled(k))
			at[pt.slot] = pt.span.first + k
			p.expandFrom(seg, i+1, steps, at, visit)
		}
	default:
		steps[seg].open, steps[seg].strip = pt.kind, pt.slot
		p.expandFrom(seg, i+1, steps, at, visit)
	}
	steps[seg] = before
}

func (s *step) write(text string) {
	if s.open == literalPart {
		s.prefix += text
	} else {
		s.suffix += text
	}
}

// size is how many addresses the path stands for.
func (p *path) size() int {
	n := 1
	p.indices(func(pt *part) {
		if n <= maxAddresses {
			n *= max(pt.span.n, 1)
		}
	})
	return n
}
