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
	rows := make([][]int, len(s)+1)
	for i := range rows {
		rows[i] = make([]int, len(t)+1)
		for j := range rows[i] {
			if i == 0 || j == 0 {
				rows[i][j] = i + j
				continue
			}
			differ := 1
			if s[i-1] == t[j-1] {
				differ = 0
			}
			rows[i][j] = min(rows[i-1][j]+1, rows[i][j-1]+1, rows[i-1][j-1]+differ)
			if i > 1 && j > 1 && s[i-1] == t[j-2] && s[i-2] == t[j-1] {
				rows[i][j] = min(rows[i][j], rows[i-2][j-2]+1)
			}
		}
	}
	return rows[len(s)][len(t)]
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
