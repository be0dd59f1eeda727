package oscmap

import (
	"bytes"
	"slices"
	"sort"
	"strings"

	"pawl/oscmap/wire"
	"pawl/rules/desk"
)

// node is a place in the tree of all addresses, cut at the slashes. It serves
// what the table cannot: segments that may hold anything, and patterns from
// the sender, whose branches are tried only where the segments before matched.
type node struct {
	step
	literal []byte  // the segment, if the step is not open
	closed  []*node // the literal children, in the order of their segments
	open    []*node
	routes  []route
}

// insert finds or makes the node at the end of the steps.
func (n *node) insert(steps []step) *node {
	for _, s := range steps {
		n = n.child(s)
	}
	return n
}

func (n *node) child(s step) *node {
	c := &node{step: s, literal: []byte(s.prefix)}
	if s.open == literalPart {
		i, known := n.search(c.literal)
		if !known {
			n.closed = slices.Insert(n.closed, i, c)
		}
		return n.closed[i]
	}
	i := slices.IndexFunc(n.open, func(o *node) bool { return o.step == s })
	if i < 0 {
		n.open, i = append(n.open, c), len(n.open)
	}
	return n.open[i]
}

func (n *node) search(segment []byte) (at int, ok bool) {
	at = sort.Search(len(n.closed), func(i int) bool { return bytes.Compare(n.closed[i].literal, segment) >= 0 })
	return at, at < len(n.closed) && bytes.Equal(n.closed[at].literal, segment)
}

// overlapping calls visit for each node whose address could be the same as one
// of the steps.
func (n *node) overlapping(steps []step, visit func(*node)) {
	if len(steps) == 0 {
		visit(n)
		return
	}
	s, closed := steps[0], n.closed
	if i, ok := n.search([]byte(s.prefix)); s.open == literalPart {
		closed = nil
		if ok {
			closed = n.closed[i : i+1]
		}
	}
	for _, children := range [][]*node{n.open, closed} {
		for _, c := range children {
			if s.fits(&c.step) {
				c.overlapping(steps[1:], visit)
			}
		}
	}
}

// fits reports whether two steps could be the same segment.
func (s *step) fits(o *step) bool {
	if s.open == literalPart {
		s, o = o, s
	}
	if o.open == literalPart {
		_, ok := s.inside([]byte(o.prefix))
		return ok || s.open == literalPart && s.prefix == o.prefix
	}
	return (strings.HasPrefix(s.prefix, o.prefix) || strings.HasPrefix(o.prefix, s.prefix)) &&
		(strings.HasSuffix(s.suffix, o.suffix) || strings.HasSuffix(o.suffix, s.suffix))
}

// inside is what an open segment holds between its prefix and suffix.
func (s *step) inside(segment []byte) ([]byte, bool) {
	if s.open == literalPart || len(segment) <= len(s.prefix)+len(s.suffix) ||
		string(segment[:len(s.prefix)]) != s.prefix || string(segment[len(segment)-len(s.suffix):]) != s.suffix {
		return nil, false
	}
	return segment[len(s.prefix) : len(segment)-len(s.suffix)], true
}

// capture is what the open segments on the way to a node held.
type capture struct {
	names [desk.StripGroup + 1]int // the index that a name stands for
	value []byte                   // of {value}
}

// finder looks addresses up in the tree.
type finder struct {
	m       *Map
	arrive  func([]route) // called for each node found
	capture capture
	plain   []byte
	met     int // places of the tree that patterns were held against, of one packet
}

// search finds what an address or a pattern stands for.
func (f *finder) search(address []byte) {
	switch {
	case len(address) == 0 || address[0] != '/':
	case wire.IsPattern(address):
		f.match(f.m.tree, address)
	default:
		f.walk(f.m.tree, address)
	}
}

// walk goes down to every node that an address without a pattern ends at.
func (f *finder) walk(n *node, rest []byte) {
	if len(rest) == 0 {
		f.arrive(n.routes)
		return
	}
	segment, rest := cutSegment(rest)
	if i, ok := n.search(segment); ok {
		f.walk(n.closed[i], rest)
	}
	for _, c := range n.open {
		inside, ok := c.inside(segment)
		if !ok {
			continue
		}
		if c.step.open == namePart {
			if f.capture.names[c.strip], ok = f.m.names.find(c.strip, inside, &f.plain); !ok {
				continue
			}
		}
		if c.step.open == pathValue {
			f.capture.value = inside
		}
		f.walk(c, rest)
	}
}

// match goes down to every node that a pattern from the sender may mean. It
// tries each node at most once for a part, so the work is bounded by the size
// of the map. A pattern cannot say what a {value} should be.
func (f *finder) match(n *node, rest []byte) {
	if len(rest) == 0 {
		f.arrive(n.routes)
		return
	}
	pattern, rest := cutSegment(rest)
	f.met += len(n.closed) + len(n.open)
	for _, c := range n.closed {
		if wire.Match(pattern, c.literal) {
			f.match(c, rest)
		}
	}
	for _, c := range n.open {
		switch c.step.open {
		case anyPart:
			f.match(c, rest)
		case namePart:
			f.met += len(f.m.names.spelled[c.strip])
			for i, name := range f.m.names.spelled[c.strip] {
				if inside, ok := c.inside(pattern); ok && wire.Match(inside, name) {
					f.capture.names[c.strip] = i
					f.match(c, rest)
				}
			}
		}
	}
}

// cutSegment splits "/a/b" into "a" and "/b".
func cutSegment(address []byte) (segment, rest []byte) {
	address = address[1:]
	if i := bytes.IndexByte(address, '/'); i >= 0 {
		return address[:i], address[i:]
	}
	return address, nil
}

// names finds strips by what the roster calls them.
type names struct {
	plain   map[desk.Strip]map[string]int
	spelled map[desk.Strip][][]byte // as an address would, for patterns
}

func newNames(roster *desk.Roster) names {
	n := names{map[desk.Strip]map[string]int{}, map[desk.Strip][][]byte{}}
	for _, strip := range indexed {
		n.plain[strip] = map[string]int{}
		for i, name := range rosterNames(roster, strip) {
			key := string(appendPlain(nil, []byte(name)))
			if _, ok := n.plain[strip][key]; !ok && key != "" {
				n.plain[strip][key] = i
			}
			n.spelled[strip] = append(n.spelled[strip], []byte(strings.ReplaceAll(strings.ToLower(name), " ", "-")))
		}
	}
	return n
}

// find looks a name up. The buffer is the caller's, so that nothing is allocated.
func (n *names) find(strip desk.Strip, name []byte, buffer *[]byte) (int, bool) {
	if len(name) > 128 {
		return 0, false
	}
	*buffer = appendPlain((*buffer)[:0], name)
	i, ok := n.plain[strip][string(*buffer)]
	return i, ok
}

func rosterNames(roster *desk.Roster, strip desk.Strip) []string {
	switch {
	case roster == nil:
		return nil
	case strip == desk.StripDCA:
		return roster.DCAs
	case strip == desk.StripGroup:
		return roster.Groups
	}
	all := make([]string, len(roster.Inputs))
	for i, in := range roster.Inputs {
		all[i] = in.Name
	}
	return all
}
