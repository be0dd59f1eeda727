package sheet

import (
	"fmt"
	"strings"

	"gopkg.in/yaml.v3"
)

// Unmarshaler is a type that reads itself from a node, where no other form
// describes how it is written. FromSheet has a pointer receiver and reports
// what is wrong to the node. For Schema such a type has a method Forms.
type Unmarshaler interface{ FromSheet(n *Node) }

// Node is one value of a file, given to an Unmarshaler. It is good until
// FromSheet returns.
type Node struct {
	d    *decoder
	y    *yaml.Node
	path string
}

// Place is where the node stands.
func (n *Node) Place() Place { return n.d.node(n.y, n.path).place }

// IsList reports whether the node is a list.
func (n *Node) IsList() bool { return n.y.Kind == yaml.SequenceNode }

// IsMapping reports whether the node has keys.
func (n *Node) IsMapping() bool { return n.y.Kind == yaml.MappingNode }

// IsText reports whether the node is a single value that YAML takes for text,
// because it is quoted or looks like nothing else.
func (n *Node) IsText() bool { return n.y.Kind == yaml.ScalarNode && n.y.ShortTag() == "!!str" }

// Text is the single value as it is written, without quotes; empty for others.
func (n *Node) Text() string {
	if n.y.Kind != yaml.ScalarNode {
		return ""
	}
	return n.y.Value
}

// Items are the values of a list, and nil of anything else.
func (n *Node) Items() []*Node {
	if !n.IsList() {
		return nil
	}
	items := make([]*Node, len(n.y.Content))
	for i, y := range n.y.Content {
		items[i] = &Node{n.d, y, index(n.path, i)}
	}
	return items
}

// Keys are the keys of a mapping, and nil of anything else.
func (n *Node) Keys() []string {
	var keys []string
	for i := 0; n.IsMapping() && i+1 < len(n.y.Content); i += 2 {
		keys = append(keys, n.y.Content[i].Value)
	}
	return keys
}

// Decode reads the node into what into points to, as the function Decode
// would, and reports whether that went without a fault. An Unmarshaler that
// reads itself this way needs a type of its own without the method.
func (n *Node) Decode(into any) bool {
	before := len(n.d.faults) + n.d.dropped
	n.d.pointer(n.y, n.path, into)
	return len(n.d.faults)+n.d.dropped == before
}

// Wrong reports a fault at the node, with arguments as for Place.Wrong.
func (n *Node) Wrong(hint, format string, args ...any) {
	n.d.node(n.y, n.path).wrong(hint, format, args...)
}

// Found is the node in words, to say what was found.
func (n *Node) Found() string { return found(n.y) }

// spot is a place at which the decoder can report.
type spot struct {
	d     *decoder
	place Place
}

func (s spot) wrong(hint, format string, args ...any) {
	if len(s.d.faults) == maxFaults {
		s.d.dropped++
		return
	}
	s.d.faults = append(s.d.faults, s.place.Wrong(hint, format, args...))
}

func (d *decoder) at(line, col int) spot {
	return spot{d, Place{File: d.file, Line: line, Col: col}}
}

func (d *decoder) node(n *yaml.Node, path string) spot {
	return spot{d, Place{File: d.file, Line: max(1, n.Line), Col: max(1, n.Column), Path: path}}
}

func index(path string, i int) string { return fmt.Sprintf("%s[%d]", path, i) }

// join extends a path by a key, quoted if it would not read well otherwise.
func join(path, key string) string {
	if key == "" || strings.ContainsAny(key, ". []:\"\n\t") || len(key) > 40 {
		key = fmt.Sprintf("%q", shortened(key))
	}
	if path == "" {
		return key
	}
	return path + "." + key
}

// found says what a node is, in a few words.
func found(n *yaml.Node) string {
	switch {
	case n.Kind == yaml.MappingNode:
		return "keys and values"
	case n.Kind == yaml.SequenceNode:
		return "a list"
	case n.ShortTag() == "!!null":
		return "nothing"
	}
	return fmt.Sprintf("%q", shortened(n.Value))
}

// shortened keeps a message readable when the value is a page long.
func shortened(s string) string {
	if r := []rune(s); len(r) > 60 {
		return string(r[:60]) + "…"
	}
	return s
}
