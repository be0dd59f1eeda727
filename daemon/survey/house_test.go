package survey

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"pawl/daemon/house"
	"pawl/oscmap"
	"pawl/oscmap/wire"
)

// TestPartsByName: what labels of inputs say in several languages. Common practice, no source.
func TestPartsByName(t *testing.T) {
	for name, want := range map[string]string{
		"Kick In": "element: foundation", "BASS": "element: foundation", "Bass Gtr": "element: foundation", "upright bass": "element: foundation",
		"Snare": "element: rhythm", "Tom2": "element: rhythm", "OH L": "element: rhythm", "Piano L": "element: rhythm", "A.Gtr": "element: rhythm",
		"Lead Gtr": "element: fill", "Fiddle": "element: fill", "Tenor Sax": "element: fill", "Trumpet 1": "element: fill",
		"Organ": "element: pad", "Pads": "element: pad", "accordion": "element: pad",
		"Lead Vox": "element: lead, voice: yes", "Vox 2": "voice: yes", "Choir": "voice: yes", "Bass Vox": "voice: yes", "Reader": "voice: yes",
		"Piano/Vox": "voice: yes", "Headset 1": "voice: yes", "Tenor": "voice: yes",
		"CLICK": "cue: yes, main: no", "Talkback": "cue: yes, main: no",
		"Bombo": "element: foundation", "Bajo": "element: foundation", "Batería": "element: rhythm", "Órgano": "element: pad", "Voz principal": "element: lead, voice: yes",
		"Coro 2": "voice: yes", "Púlpito": "voice: yes", "Violín": "element: fill",
		"Kontrabass": "element: foundation", "Flügel": "element: rhythm", "Orgel": "element: pad", "Querflöte": "element: fill", "Kanzel": "voice: yes", "Vorsängerin": "element: lead, voice: yes",
		"Grosse caisse": "element: foundation", "Caisse claire": "element: rhythm", "Chœur": "voice: yes", "Lutrin": "",
		"Grancassa": "element: foundation", "Rullante": "element: rhythm", "Tromba": "element: fill", "Leggio": "voice: yes",
		"Violão": "element: rhythm", "Baixo": "element: foundation", "Contrabas": "element: foundation", "Zang 1": "voice: yes", "Viool": "element: fill",
		"Anna": "", "ch 12": "", "": "", "Input 7": "", "Spare": "",
	} {
		if got := partOf(name).said(); got != want {
			t.Errorf("%q is taken for %q, want %q", name, got, want)
		}
	}
}

const namedMap = `
desk: named
signals:
  - {hear: "/in/{input:1-4}/up", is: input.fader, value: {arg: 0, unit: dB}}
  - {hear: "/in/{input:1-4}/called", is: input.name, value: {arg: 0}}
  - {hear: "/hand/{dca:1-2}/called", is: dca.name, value: {arg: 0}}
  - {hear: "/sub/{group:1-2}/called", is: group.name, value: {arg: 0}}
  - {hear: "/in/{input:1-4}/hands", is: input.dca, value: {arg: 0, bits: dca:1-2}}
`

// TestHouseOfAnyNames: whatever a desk calls its strips, the house file is one that passes,
// with those names in it.
func TestHouseOfAnyNames(t *testing.T) {
	m, faults := oscmap.Load("named", []byte(namedMap), nil)
	if m == nil {
		t.Fatal(faults)
	}
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.OneOf(rapid.StringN(0, 12, 40), rapid.SampledFrom([]string{"yes", "null", "1", "0x1f", "~", "- a", "a: b", "#1", "piano", "Piano", " piano ", "«a»", "\"", "it's", "{", "1e5", "on", "Bass\nVox", "input 2", "DCA 2"}))
		s := New(Options{})
		say := func(address string, args ...any) {
			packet, err := wire.AppendMessage(nil, address, args...)
			if err != nil {
				return // a text that OSC cannot hold is sent by nobody
			}
			s.Hear(0, packet)
		}
		for i := 1; i <= 4; i++ {
			say(fmt.Sprintf("/in/%d/up", i), float32(-i))
			say(fmt.Sprintf("/in/%d/called", i), name.Draw(t, "input"))
			say(fmt.Sprintf("/in/%d/hands", i), int32(rapid.IntRange(0, 3).Draw(t, "hands")))
		}
		for i := 1; i <= 2; i++ {
			say(fmt.Sprintf("/hand/%d/called", i), name.Draw(t, "dca"))
			say(fmt.Sprintf("/sub/%d/called", i), name.Draw(t, "group"))
		}
		st := s.Strips(m)
		confirmed := map[int]string{}
		for _, in := range st.Inputs {
			if in.Guess != "" && rapid.Bool().Draw(t, "confirmed") {
				confirmed[in.Number] = in.Guess
			}
		}
		text := st.House(HouseOptions{House: name.Draw(t, "house"), Map: "named.map.yaml"}, confirmed)
		h, faults := house.Files{"hall.yaml": text, "named.map.yaml": namedMap}.Load("hall.yaml")
		if h == nil {
			t.Fatalf("%v\n%s", faults, text)
		}
		for i, in := range h.Roster.Inputs {
			if in.Name != st.Inputs[i].Name {
				t.Errorf("input %d is %q, want %q\n%s", i+1, in.Name, st.Inputs[i].Name, text)
			}
		}
		if len(h.Roster.Inputs) != 4 || len(h.Roster.DCAs) != len(st.DCAs) || len(h.Roster.Groups) != len(st.Groups) {
			t.Errorf("%d inputs, %d DCAs, %d groups\n%s", len(h.Roster.Inputs), len(h.Roster.DCAs), len(h.Roster.Groups), text)
		}
	})
}

// TestHouseTellsMembers: who is in which DCA stands in it as the desk told.
func TestHouseTellsMembers(t *testing.T) {
	m, _ := oscmap.Load("named", []byte(namedMap), nil)
	s := surveyOf(t,
		said{"/in/1/up", []any{float32(0)}}, said{"/in/2/up", []any{float32(0)}}, said{"/in/1/called", []any{"Kick"}}, said{"/in/2/called", []any{"Kick"}},
		said{"/hand/1/called", []any{"low end"}}, said{"/hand/2/called", []any{"all"}}, said{"/in/1/hands", []any{3}}, said{"/in/2/hands", []any{2}})
	text := s.Strips(m).House(HouseOptions{House: "Harbour Hall", Desk: "192.0.2.10:10700", Map: "desk.map.yaml"}, nil)
	for _, want := range []string{
		"house: Harbour Hall\n", "desk: {address: \"192.0.2.10:10700\", map: desk.map.yaml}\n",
		"    1: {name: Kick, dcas: [low end, all]}\n    # 1: {name: Kick, element: foundation, dcas: [low end, all]}  # by \"kick\"?\n",
		"    2: {name: Kick 2, dcas: [all]}\n", "  dcas: {1: low end, 2: all}\n",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("want %q in it:\n%s", want, text)
		}
	}
}
