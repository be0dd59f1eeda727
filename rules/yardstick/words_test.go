// Package yardstick holds the judge against services that people labelled, and tells
// how good it is. It is tests alone: testdata/yardstick/README.md says what a label
// means and when a remark counts as right.
package yardstick

import (
	"slices"
	"testing"

	"pawl/daemon/practice/practicetest"
	"pawl/rules"
)

// The label's words for what each rule says.
var wordOf = map[string]string{
	"ratchet":           "ratchet",
	"creep":             "creep",
	"squeezed-group":    "compressor too hard",
	"main-down":         "main down",
	"muted-voice":       "muted mic",
	"stray-cue":         "click in main",
	"lead-behind":       "lead lost",
	"harmony-forward":   "harmony over lead",
	"fill-over-lead":    "fill over lead",
	"second-over-first": "second rhythm",
	"crowded":           "everybody at once",
	"solo-raise":        "raised in solo",
	"hot-input":         "hot input",
	"hot-main":          "hot main",
	"quiet-main":        "nothing leaves",
	"open-mics":         "more open mics",
	"squeezed-input":    "input too hard",
	"speech-remark":     "open in speech",
	"words-covered":     "open in speech",
}

// What the labels have no word for is a false alarm wherever it is said. These are the
// words that it is counted under, and that a later set may come to use.
var noLabelFor = map[string]string{
	"room-loud":  "hall too loud",
	"quiet-desk": "desk away",
}

// nothingSays is the words of the labels for which there is no rule yet.
var nothingSays = []string{}

// wordsOf is what a finding says in the label's words: most rules say one thing.
func wordsOf(f *rules.Finding) []string {
	word := wordOf[f.Rule]
	if word == "" {
		word = noLabelFor[f.Rule]
	}
	words := []string{word}
	if says(f, "squeezed-group.never") {
		words = append(words, "compressor never lets go")
	}
	return words
}

// allWordsOf is all that a rule may say, in the label's words.
func allWordsOf(k rules.Kind) []string {
	f := &rules.Finding{Rule: k.Name}
	for _, id := range k.Says {
		f.What = append(f.What, rules.Say(id))
	}
	return wordsOf(f)
}

func says(f *rules.Finding, id string) bool {
	return slices.ContainsFunc(f.What, func(p rules.Phrase) bool { return p.ID == id })
}

// Every rule has a word, and every word of the labels a rule or a phrase that says it.
func TestEveryRuleHasAWord(t *testing.T) {
	unsaid := slices.Clone(practicetest.Notices)
	says := func(word string) {
		unsaid = slices.DeleteFunc(unsaid, func(w string) bool { return w == word })
	}
	for _, k := range rules.Kinds {
		word, labelled := wordOf[k.Name]
		if other, not := noLabelFor[k.Name]; labelled == not || slices.Contains(practicetest.Notices, other) {
			t.Errorf("%s: say once what it is called in a label, or that no label has a word for it", k.Name)
		}
		if labelled && !slices.Contains(practicetest.Notices, word) {
			t.Errorf("%s: no label knows the word %q", k.Name, word)
		}
		for _, w := range allWordsOf(k) {
			says(w)
		}
	}
	if !slices.Equal(unsaid, nothingSays) {
		t.Errorf("nothing says %q, want %q", unsaid, nothingSays)
	}
}
