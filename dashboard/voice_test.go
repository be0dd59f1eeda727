package dashboard

import (
	"fmt"
	"testing"

	"pawl/rules"
	"pawl/rules/words"
)

// A card is put into words once, and again when it is said anew; a long service does
// not fill memory with what was.
func TestVoiceKeepsWords(t *testing.T) {
	v := newVoice(words.Own().For("en"))
	card := ratchetCard()
	first := v.finding(card)
	if again := v.finding(card); again != first || card.Words != nil {
		t.Error("a card was put into words twice, or was itself changed")
	}
	next := again(card, func(f *rules.Finding) { f.What = quotedAll("It grew.") })
	if got := v.finding(next).Words.What[0]; got != "It grew." {
		t.Errorf("said anew it is %q, want the new words", got)
	}
	if v.finding(nil) != nil {
		t.Error("no finding came back as one")
	}
	for i := range 5 * mostKeptWords {
		name := fmt.Sprintf("input %d DCA", i)
		if got := v.label(who(name)).Label; got != name {
			t.Fatalf("it is called %q, want %q", got, name)
		}
	}
	if len(v.labels) > mostKeptWords {
		t.Errorf("%d names are kept, want at most %d", len(v.labels), mostKeptWords)
	}
}
