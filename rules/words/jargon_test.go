package words

import (
	"regexp"
	"strings"
	"testing"

	"pawl/rules"
)

// jargon is the words of the trade that a second-week volunteer may not know, by language.
// Fader, decibel and meter are not among them: they stand on every desk.
var jargon = map[string]*regexp.Regexp{
	"en": regexp.MustCompile(`(?i)\b(DCAs?|groups?|main|compress(or|ors|ion)|threshold|ratio|make-up|dBFS|gate|source gain|peaks?|feedback|solo|low cut|routing|(un)?mute[sd]?|phons?|aux|bus(es)?|pan|crest|limiter|knee|attack|release|headroom|phase|polarity|insert)\b`),
	"es": regexp.MustCompile(`(?i)\b(DCA|grupos?|máster|compresor(es)?|compresión|umbral|ratio|dBFS|puerta|picos?|realimentación|acople|solo en|mute|fonios?|auxiliar|bus(es)?|envío|limitador|rodilla|ataque|fase|polaridad)\b`),
}

// TestJargonHasAGloss: what a rule says in words of the trade can be tapped and read.
func TestJargonHasAGloss(t *testing.T) {
	for _, name := range catalogues(t) {
		language, all := strings.TrimSuffix(name, ".yaml"), texts(t, name)
		if jargon[language] == nil {
			t.Errorf("%s: nothing says which of its words are the trade's; see jargon in this file", name)
			continue
		}
		glossed := map[string]bool{}
		for id, text := range all {
			if strings.HasPrefix(id, Glosses+".") && strings.HasSuffix(id, ".words") {
				for _, word := range strings.Split(text, ", ") {
					glossed[strings.ToLower(word)] = true
				}
			}
		}
		found := 0
		for _, k := range rules.Kinds {
			for _, id := range k.Says {
				for _, word := range jargon[language].FindAllString(action.ReplaceAllString(all[id], ""), -1) {
					if found++; !glossed[strings.ToLower(word)] {
						t.Errorf("%s: %s says %q, which has no gloss: %q", name, id, word, all[id])
					}
				}
			}
		}
		if found < 30 {
			t.Errorf("%s: only %d words of the trade were found", name, found)
		}
	}
}
