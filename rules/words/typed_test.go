package words

import (
	"slices"
	"strings"
	"testing"
)

// TestUnderstood: every word that a language has for an answer means one thing, and the words
// that its page tells of are among them.
func TestUnderstood(t *testing.T) {
	for _, name := range catalogues(t) {
		tag := strings.TrimSuffix(name, ".yaml")
		s, seen := Own().For(tag), map[string]string{}
		for _, m := range meanings {
			for _, word := range s.typed(m.name) {
				if was, twice := seen[word]; twice || word == "" {
					t.Errorf("%s: %q means %s and %s", tag, word, was, m.name)
				}
				seen[word] = m.name
				if got := s.Understood("  " + strings.ToUpper(word) + " "); got != m.token {
					t.Errorf("%s: %q is understood as %q, want %q", tag, word, got, m.token)
				}
			}
		}
		_, hint, _ := strings.Cut(s.LabelsOf("page-first")["first-words"], ": ")
		hinted := strings.Split(strings.TrimSuffix(hint, "."), ", ")
		for _, word := range hinted {
			got := s.Understood(word)
			if got != "that was input 2" && (got == "" || !slices.ContainsFunc(meanings, func(m meaning) bool { return m.token == got })) {
				t.Errorf("%s: the page tells of %q, which is understood as %q", tag, word, got)
			}
		}
		if len(hinted) < 4 {
			t.Errorf("%s: the page tells of %q only", tag, hinted)
		}
		for _, number := range []string{"-10", "10,5 dB", "−∞", "", "harp"} {
			if got := s.Understood(number); got != number {
				t.Errorf("%s: %q is understood as %q", tag, number, got)
			}
		}
	}
}
