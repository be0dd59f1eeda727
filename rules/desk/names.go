package desk

import (
	"maps"
	"slices"
	"strings"
)

// Clone makes a roster whose names may be changed without changing r's.
func (r Roster) Clone() Roster {
	r.Inputs, r.DCAs, r.Groups = slices.Clone(r.Inputs), slices.Clone(r.DCAs), slices.Clone(r.Groups)
	r.Unnamed = maps.Clone(r.Unnamed)
	return r
}

// Rename takes the desk's own name for a strip that the roster leaves unnamed. A
// name of nothing but spaces is none.
func (r Roster) Rename(m Mover, name string) {
	if name = strings.TrimSpace(name); name == "" || !r.Unnamed[m] {
		return
	}
	switch m.Strip {
	case StripInput:
		r.Inputs[m.Index].Name = name
	case StripDCA:
		r.DCAs[m.Index] = name
	case StripGroup:
		r.Groups[m.Index] = name
	}
}
