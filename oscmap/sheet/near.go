package sheet

import (
	"strings"
	"unicode/utf8"
)

// Nearest is the word that was most likely meant by a mistyped one, or "" if
// none is near. A person who types quickly swaps, drops, doubles and misses
// letters; more than a third of them wrong is a different word.
func Nearest(mistyped string, words []string) string {
	if len(mistyped) > 64 {
		return ""
	}
	best, at := "", 1+utf8.RuneCountInString(mistyped)/3
	for _, w := range words {
		if d := distance(strings.ToLower(mistyped), strings.ToLower(w)); d < at || d == at && best == "" {
			best, at = w, d
		}
	}
	return best
}

// distance counts the insertions, deletions, substitutions and swaps of
// neighbours that lead from a to b.
func distance(a, b string) int {
	s, t := []rune(a), []rune(b)
	before, last, row := make([]int, len(t)+1), make([]int, len(t)+1), make([]int, len(t)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(s); i++ {
		row[0] = i
		for j := 1; j <= len(t); j++ {
			row[j] = min(last[j]+1, row[j-1]+1, last[j-1]+differ(s[i-1], t[j-1]))
			if i > 1 && j > 1 && s[i-1] == t[j-2] && s[i-2] == t[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, last, row = last, row, before
	}
	return last[len(t)]
}

func differ(a, b rune) int {
	if a == b {
		return 0
	}
	return 1
}

// Listed writes words as a person would: "linear, table or taper".
func Listed(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " or " + words[len(words)-1]
}

// guess is the next step after an unknown word.
func guess(mistyped string, words []string) string {
	if w := Nearest(mistyped, words); w != "" {
		return "did you mean \"" + w + "\"?"
	}
	return ""
}
