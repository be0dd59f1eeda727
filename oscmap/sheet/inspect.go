package sheet

import "gopkg.in/yaml.v3"

// maxDepth is deeper than any file of ours and far shallower than what would
// trouble the stack.
const maxDepth = 64

// inspect finds what is wrong with a node whatever it is meant to be. The depth
// is that to which it still looks.
func (n *Node) inspect(depth int) {
	switch {
	case depth == 0:
		n.Wrong("", "more than %d levels inside each other", maxDepth)
		return
	case n.y.Kind == yaml.AliasNode:
		n.Wrong("write the value out; text that begins with * wants quotes", "an alias, *%s", n.y.Value)
		return
	case n.y.Anchor != "":
		n.Wrong("leave it out; text that begins with & wants quotes", "an anchor, &%s", n.y.Anchor)
	case n.y.Style&yaml.TaggedStyle != 0:
		n.Wrong("leave it out; text that begins with ! wants quotes", "a tag, %s", n.y.Tag)
	}
	for _, item := range n.Items() {
		item.inspect(depth - 1)
	}
	for i, key := range n.y.Content {
		if n.IsMapping() && i%2 == 0 && key.Kind != yaml.ScalarNode {
			n.beside(key).Wrong("", "a key that is a list or a mapping; want a word")
		}
	}
	first := map[string]int{}
	for key, value := range n.pairs() {
		if key.y.Anchor != "" || key.y.Style&yaml.TaggedStyle != 0 {
			n.beside(key.y).Wrong("leave it out", "an anchor or a tag at a key")
		}
		if line, ok := first[key.y.Value]; ok {
			key.Wrong("keep one of the two", "written twice; the first is on line %d", line)
		} else {
			first[key.y.Value] = key.y.Line
		}
		value.inspect(depth - 1)
	}
}

// beside is a node that has no path of its own yet.
func (n *Node) beside(y *yaml.Node) *Node { return &Node{n.d, y, n.path} }
