package oscmap

import (
	"testing"

	"pawl/oscmap/wire"
)

// TestTextFromTheWireDoesNotAct: no control character and no escape of a terminal, nothing
// that turns the direction of writing or breaks a line (Unicode Standard Annex 9, the
// formatting characters; categories Cc, Cf, Zl and Zp) passes with a name or an address. The
// two joiners do: Persian and several scripts of India are misspelt without them.
func TestTextFromTheWireDoesNotAct(t *testing.T) {
	m, faults := Load("x", []byte("desk: x\nsignals: [{hear: \"/in/{input:1-1}/name\", is: input.name, value: {arg: 0}}]\n"), nil)
	if m == nil {
		t.Fatal(faults)
	}
	for sent, want := range map[string]string{
		"piano": "piano", "\x1b[31mred\x1b[0m": "[31mred [0m", "evil\u202Egnp.exe": "evil gnp.exe", "a\u2028b\u2029c": "a b c",
		"\u2066x\u2069": "x", "tab\there": "tab here", "\ufeffbom": "bom", "bad\xffbyte": "bad\ufffdbyte", "می\u200cخواهم": "می\u200cخواهم", "Kick\u0007": "Kick",
	} {
		packet, err := wire.AppendMessage(nil, "/in/1/name", sent)
		if err != nil {
			t.Fatal(err)
		}
		var r wire.Reader
		r.Reset(packet)
		r.Next()
		if got := m.NewHearer().Hear(nil, 0, r.Message()); len(got) != 1 || got[0].Text != want {
			t.Errorf("%q is heard as %v, want %q", sent, got, want)
		}
	}
	h := m.NewHearer()
	packet, err := wire.AppendMessage(nil, "/a\x1b[2J\u202Eb", 1)
	if err != nil {
		t.Fatal(err)
	}
	var r wire.Reader
	r.Reset(packet)
	r.Next()
	h.Hear(nil, 0, r.Message())
	if got := h.LastUnmapped(); got != "/a?[2J?b" {
		t.Errorf("the address is shown as %q", got)
	}
}
