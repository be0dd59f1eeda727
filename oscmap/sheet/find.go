package sheet

import (
	"strings"

	"gopkg.in/yaml.v3"
)

// Find gives the place of what is written at a path of keys, as in "limits.ratchet.nudge",
// for a check that looks at several values together and should point at one of
// them. It answers false where the file has no such key, or is not YAML at all.
func Find(file string, src []byte, path string) (Place, bool) {
	var doc yaml.Node
	if yaml.Unmarshal(src, &doc) != nil || len(doc.Content) != 1 {
		return Place{}, false
	}
	n := doc.Content[0]
	for key := range strings.SplitSeq(path, ".") {
		if n = under(n, key); n == nil {
			return Place{}, false
		}
	}
	return Place{File: file, Line: n.Line, Col: n.Column, Path: path}, true
}

// under is the value of a key of a mapping, nil if it has none.
func under(n *yaml.Node, key string) *yaml.Node {
	if n.Kind != yaml.MappingNode {
		return nil
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		if n.Content[i].Value == key {
			return n.Content[i+1]
		}
	}
	return nil
}
