package sheet

import (
	"fmt"
	"iter"
	"reflect"
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

// decoder gathers the faults of one file.
type decoder struct {
	file    string
	faults  Faults
	dropped int // beyond maxFaults
	forms   map[reflect.Type]form
}

func (d *decoder) wrong(p Place, hint, format string, args ...any) {
	if len(d.faults) == maxFaults {
		d.dropped++
		return
	}
	d.faults = append(d.faults, p.Wrong(hint, format, args...))
}

// said is how many faults there are so far.
func (d *decoder) said() int { return len(d.faults) + d.dropped }

// Place is where the node stands.
func (n *Node) Place() Place {
	return Place{File: n.d.file, Line: max(1, n.y.Line), Col: max(1, n.y.Column), Path: n.path}
}

// IsList reports whether the node is a list.
func (n *Node) IsList() bool { return n.y.Kind == yaml.SequenceNode }

// IsMapping reports whether the node has keys.
func (n *Node) IsMapping() bool { return n.y.Kind == yaml.MappingNode }

// IsText reports whether the node is a single value that YAML takes for text,
// because it is quoted or looks like nothing else.
func (n *Node) IsText() bool { return n.y.Kind == yaml.ScalarNode && n.y.ShortTag() == "!!str" }

func (n *Node) isNull() bool { return n.y.Kind == yaml.ScalarNode && n.y.ShortTag() == "!!null" }

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
		items[i] = &Node{n.d, y, fmt.Sprintf("%s[%d]", n.path, i)}
	}
	return items
}

// Keys are the keys of a mapping, and nil of anything else.
func (n *Node) Keys() []string {
	var keys []string
	for i := 0; n.IsMapping() && i < len(n.y.Content); i += 2 {
		keys = append(keys, n.y.Content[i].Value)
	}
	return keys
}

// pairs are the keys of a mapping, each with its value and with the value's path.
// Keys that are lists or mappings are left out; inspect reports them.
func (n *Node) pairs() iter.Seq2[*Node, *Node] {
	return func(yield func(key, value *Node) bool) {
		for i := 0; n.IsMapping() && i+1 < len(n.y.Content); i += 2 {
			key := n.y.Content[i]
			if key.Kind != yaml.ScalarNode {
				continue
			}
			path := join(n.path, key.Value)
			if !yield(&Node{n.d, key, path}, &Node{n.d, n.y.Content[i+1], path}) {
				return
			}
		}
	}
}

// Decode reads the node into what into points to, as the function Decode
// would, and reports whether that went without a fault. An Unmarshaler that
// reads itself this way needs a type of its own without the method.
func (n *Node) Decode(into any) bool {
	before := n.d.said()
	n.read(reflect.ValueOf(into).Elem())
	return n.d.said() == before
}

// Wrong reports a fault at the node, with arguments as for Place.Wrong.
func (n *Node) Wrong(hint, format string, args ...any) { n.d.wrong(n.Place(), hint, format, args...) }

// Found is the node in words, to say what was found.
func (n *Node) Found() string {
	switch {
	case n.IsMapping():
		return "keys and values"
	case n.IsList():
		return "a list"
	case n.isNull():
		return "nothing"
	}
	return fmt.Sprintf("%q", shortened(n.y.Value))
}

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

// shortened keeps a message readable when the value is a page long.
func shortened(s string) string {
	if r := []rune(s); len(r) > 60 {
		return string(r[:60]) + "…"
	}
	return s
}
