package desk

import (
	"fmt"
	"slices"
)

// members is which DCAs an input follows, or which groups it feeds: indices from
// 0, in order, each once. A list and not a mask, because the desk decides how
// many there are, and a mask forgets the sixty-fifth without a word.
type members []int

// membersOf makes a list of what a house file gave, for a desk with most of
// them. An index that the desk does not have is a fault of whoever made the
// roster, and would quietly point at some other fader.
func membersOf(indices []int, most int, input int, what string) members {
	m := make(members, 0, len(indices))
	for _, k := range indices {
		if k < 0 || k >= most {
			panic(fmt.Sprintf("rules: roster: input %d is in %s %d of %d, counted from 0", input, what, k, most))
		}
		m = m.with(k)
	}
	return m
}

func (m members) has(k int) bool { return slices.Contains(m, k) }

// with is the list with one more, which is another list: a Balance may hold this one.
func (m members) with(k int) members {
	at, found := slices.BinarySearch(m, k)
	if found {
		return m
	}
	return slices.Insert(slices.Clone(m), at, k)
}

// without is the list without one, likewise.
func (m members) without(k int) members {
	at, found := slices.BinarySearch(m, k)
	if !found {
		return m
	}
	return slices.Delete(slices.Clone(m), at, at+1)
}
