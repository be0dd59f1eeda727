package sheet

import "gopkg.in/yaml.v3"

// maxDepth is deeper than any file of ours and far shallower than what would
// trouble the stack.
const maxDepth = 64

// inspect finds what is wrong with nodes whatever they are meant to be.
func (d *decoder) inspect(n *yaml.Node, path string) { d.inspectTo(n, path, maxDepth) }

func (d *decoder) inspectTo(n *yaml.Node, path string, depth int) {
	spot := d.node(n, path)
	switch {
	case depth == 0:
		spot.wrong("", "more than %d levels inside each other", maxDepth)
		return
	case n.Kind == yaml.AliasNode:
		spot.wrong("write the value out; text that begins with * wants quotes", "an alias, *%s", n.Value)
		return
	case n.Anchor != "":
		spot.wrong("leave it out; text that begins with & wants quotes", "an anchor, &%s", n.Anchor)
	case n.Style&yaml.TaggedStyle != 0:
		spot.wrong("leave it out; text that begins with ! wants quotes", "a tag, %s", n.Tag)
	}
	switch n.Kind {
	case yaml.SequenceNode:
		for i, item := range n.Content {
			d.inspectTo(item, index(path, i), depth-1)
		}
	case yaml.MappingNode:
		d.inspectKeys(n, path, depth)
	}
}

func (d *decoder) inspectKeys(n *yaml.Node, path string, depth int) {
	first := map[string]int{}
	for i := 0; i+1 < len(n.Content); i += 2 {
		key := n.Content[i]
		if key.Kind != yaml.ScalarNode {
			d.node(key, path).wrong("", "a key that is a list or a mapping; want a word")
			continue
		}
		if key.Anchor != "" || key.Style&yaml.TaggedStyle != 0 {
			d.node(key, path).wrong("leave it out", "an anchor or a tag at a key")
		}
		if line, ok := first[key.Value]; ok {
			d.node(key, join(path, key.Value)).wrong("keep one of the two", "written twice; the first is on line %d", line)
		} else {
			first[key.Value] = key.Line
		}
		d.inspectTo(n.Content[i+1], join(path, key.Value), depth-1)
	}
}
