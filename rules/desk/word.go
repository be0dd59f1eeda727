package desk

import (
	"fmt"
	"slices"
)

// Word finds which of a type's words a text is, for reading back what was written
// by name: the place among them, counted from 0.
func Word(words []string, text []byte) (int, error) {
	i := slices.Index(words, string(text))
	if i < 0 {
		return 0, fmt.Errorf("no such word %q; want one of %q", text, words)
	}
	return i, nil
}
