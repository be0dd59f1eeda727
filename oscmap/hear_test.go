package oscmap

import (
	"math"
	"strings"
	"testing"
	"time"

	"pawl/oscmap/wire"
	"pawl/rules/desk"
)

const twoNames = `
desk: d
signals:
  - {hear: "/in/{input:1-4}/who", is: input.name}
  - {hear: "/in/{input}/lift", is: input.fader, value: {unit: dB}}
  - {hear: "/needles", is: input.level, value: {blob: 0, of: float32-le, each: input, unit: dBFS}}
  - {hear: "/flags", is: input.dca, which: {input: 1-4, arg: 0}, value: {arg: 1, bits: "dca:1-8"}}
  - {hear: "/words/{input}", is: input.mute, value: {words: {LIVE: off, SHUT: on}}}
  - {hear: "/page/{value}", is: scene.number}
`

func TestHearingDoesNotAllocate(t *testing.T) {
	h := mustLoad(t, twoNames).NewHearer()
	oneOf := loadFile(t, formsDir+"/one-of.yaml").NewHearer()
	named := loadFile(t, formsDir+"/path-name.yaml").NewHearer()
	tests := []struct {
		name string
		h    *Hearer
		msg  *wire.Message
	}{
		{"path index", h, message(t, "/in/3/lift", float32(-3))},
		{"text number", h, message(t, "/in/3/lift", "-12.5 dB")},
		{"name that is known", h, message(t, "/in/3/who", "piano")},
		{"blob", h, message(t, "/needles", make([]byte, 16))},
		{"argument index and bits", h, message(t, "/flags", 2, 0b1010)},
		{"one of several", oneOf, message(t, "/berth/2/feeds", -1)},
		{"one of several by a word", oneOf, message(t, "/berth/2/joins", "choir")},
		{"one of several in a blob", oneOf, message(t, "/hands", make([]byte, 9))},
		{"words", h, message(t, "/words/2", "SHUT")},
		{"value in the path", h, message(t, "/page/12")},
		{"unmapped", h, message(t, "/elsewhere/12", 3, "x")},
		{"sender's pattern", h, message(t, "/in/{1,3}/lif?", float32(-3))},
		{"roster's name", named, message(t, "/berth/Upright_Bass/lift", float32(-3))},
		{"refused", h, message(t, "/in/3/lift", float32(math.NaN()))},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			readings := make([]desk.Reading, 0, 64)
			hear := func() { readings = tt.h.Hear(readings[:0], time.Second, tt.msg) }
			hear()
			if n := testing.AllocsPerRun(100, hear); n != 0 {
				t.Errorf("got %v allocations, want 0", n)
			}
		})
	}
}

func TestNamesAreKeptAsOneText(t *testing.T) {
	h := mustLoad(t, twoNames).NewHearer()
	say := func(index, name string) string {
		t.Helper()
		got := h.Hear(nil, 0, message(t, "/in/"+index+"/who", name))
		if len(got) != 1 {
			t.Fatalf("got %v, want one reading", got)
		}
		return got[0].Text
	}
	if got := say("1", "piano"); got != "piano" {
		t.Errorf("got %q", got)
	}
	if got := say("2", "harp"); got != "harp" {
		t.Errorf("got %q", got)
	}
	if got := say("1", "pianos"); got != "pianos" {
		t.Errorf("after a change got %q", got)
	}
	if got := say("1", strings.Repeat("a\xff", 100)); len([]rune(got)) != maxName || strings.Contains(got, "\xff") {
		t.Errorf("long and broken: got %q", got)
	}
}

func TestCounts(t *testing.T) {
	h := mustLoad(t, twoNames).NewHearer()
	if h.LastUnmapped() != "" {
		t.Errorf("before anything: got %q, want none", h.LastUnmapped())
	}
	long := "/" + strings.Repeat("x", 200)
	for _, msg := range []*wire.Message{
		message(t, "/in/1/lift", float32(0)), message(t, "/in/1/lift", float32(99)), message(t, "/in/1/lift", "loud"),
		message(t, "/other", 1), message(t, long),
	} {
		h.Hear(nil, 0, msg)
	}
	got := h.Counts()
	if got.Messages != 5 || got.Unmapped != 2 || got.Clamped[desk.InputFader] != 1 || got.Refused[desk.InputFader] != 1 {
		t.Errorf("got %+v", got)
	}
	if h.LastUnmapped() != long[:120] {
		t.Errorf("got %q, want the first 120 bytes of the last", h.LastUnmapped())
	}
}

// A packet may be full of patterns that mean everything. Some of them are heard to their
// end, the others passed over, and the next packet is heard as ever.
func TestPatternsOfAPacketAreBounded(t *testing.T) {
	m := mustLoad(t, "desk: d\nsignals:\n  - {hear: \"/in/{input:1-96}/{group:1-8}/send\", is: input.group}\n")
	h, everything := m.NewHearer(), message(t, "/*/*/*/*", 1)
	const messages = 3000 // 64 kB of them
	readings, dst := 0, []desk.Reading(nil)
	h.Packet()
	for range messages {
		dst = h.Hear(dst[:0], 0, everything)
		readings += len(dst)
	}
	const places, ways = 1 + 96 + 96*8 + 96*8, 96 * 8
	if most := (maxMet/places + 2) * ways; readings > most || readings < ways {
		t.Errorf("%d readings of one packet, want %d at least and %d at most", readings, ways, most)
	}
	if c := h.Counts(); c.Passed == 0 || c.Passed != c.Unmapped || c.Messages != messages {
		t.Errorf("got %+v", c)
	}
	if got := h.Hear(nil, 0, message(t, "/in/3/2/send", 1)); len(got) != 1 {
		t.Errorf("an address in the same packet gives %v, want its reading", got)
	}
	if h.Packet(); len(h.Hear(nil, 0, everything)) != ways {
		t.Error("a pattern in the next packet is not heard")
	}
}

func TestBundlesAreHeardMessageByMessage(t *testing.T) {
	one, _ := wire.AppendMessage(nil, "/in/1/lift", float32(-1))
	two, _ := wire.AppendMessage(nil, "/in/*/lift", float32(-2))
	inner, err := wire.AppendBundle(nil, wire.Immediately, two)
	if err != nil {
		t.Fatal(err)
	}
	packet, err := wire.AppendBundle(nil, wire.Immediately, one, inner)
	if err != nil {
		t.Fatal(err)
	}
	h := mustLoad(t, twoNames).NewHearer()
	var r wire.Reader
	var got []desk.Reading
	for r.Reset(packet); r.Next(); {
		got = h.Hear(got, 0, r.Message())
	}
	if len(got) != 5 || got[0].Value != -1 || got[4].Value != -2 {
		t.Errorf("got %v, want one reading and four", got)
	}
}

func TestTimeAndRoomInTheSliceAreTheCallers(t *testing.T) {
	h := mustLoad(t, twoNames).NewHearer()
	first := h.Hear(nil, 3*time.Second, message(t, "/in/1/lift", float32(-1)))
	got := h.Hear(first, 4*time.Second, message(t, "/in/2/lift", float32(-2)))
	if len(got) != 2 || got[0].At != 3*time.Second || got[1].At != 4*time.Second || got[1].Index != 1 {
		t.Errorf("got %v", got)
	}
}

func TestMapSaysWhatItHears(t *testing.T) {
	m := loadFile(t, formsDir+"/path-offset.yaml")
	if n := stripsHeard(m); n[desk.StripInput] != 24 || n[desk.StripDCA] != 4 || n[desk.StripGroup] != 3 {
		t.Errorf("got %v, want 24 inputs, 4 DCAs, 3 groups", n)
	}
	if got, l := m.Heard()[3], m.lines[3]; got != desk.DCAFader || l.path.text != "/hand/{dca:A-D}/lift" || l.place.Line != 15 {
		t.Errorf("got %v at %s, line %d", got, l.path.text, l.place.Line)
	}
	for address, want := range map[string]bool{"/hand/C/lift": true, "/hand/*/lift": true, "/hand/E/lift": false, "/": false, "": false} {
		if got := len(m.linesAt(address)) > 0; got != want {
			t.Errorf("%q is heard: got %v, want %v", address, got, want)
		}
	}
	if !m.HearsSignal(desk.InputMute) || m.HearsSignal(desk.MainFader) {
		t.Error("HearsSignal disagrees with the map")
	}
}
