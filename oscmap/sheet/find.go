package sheet

import "strings"

// Find gives the place of what is written at a path of keys, as in "limits.ratchet.nudge",
// for a check that looks at several values together and should point at one of
// them. It answers false where the file has no such key, or is not YAML at all.
func Find(file string, src []byte, path string) (Place, bool) {
	n := (&decoder{file: file}).parse(src)
	for n != nil {
		n = n.on(path)
		if n != nil && n.path == path {
			return n.Place(), true
		}
	}
	return Place{}, false
}

// on is the value under the key of a mapping through which the path leads.
func (n *Node) on(path string) *Node {
	for _, value := range n.pairs() {
		if value.path == path || strings.HasPrefix(path, value.path+".") {
			return value
		}
	}
	return nil
}
