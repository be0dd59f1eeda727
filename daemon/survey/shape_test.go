package survey

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"pawl/oscmap"
	"pawl/oscmap/wire"
)

// said is a message in a test: an address and its arguments.
type said struct {
	address string
	args    []any
}

// surveyOf hears messages, a tenth of a second apart.
func surveyOf(t testing.TB, messages ...said) *Survey {
	t.Helper()
	s := New(Options{})
	for i, m := range messages {
		s.Hear(time.Duration(i)*100*time.Millisecond, packetOf(t, m.address, m.args...))
	}
	return s
}

func packetOf(t testing.TB, address string, args ...any) []byte {
	t.Helper()
	packet, err := wire.AppendMessage(nil, address, args...)
	if err != nil {
		t.Fatal(err)
	}
	return packet
}

// counted is one message for each number, put where the address and arguments say.
func counted(from, to int, make func(n int) said) (all []said) {
	for n := from; n <= to; n++ {
		all = append(all, make(n))
	}
	return all
}

func TestShapes(t *testing.T) {
	path := func(format string, args ...any) func(int) said {
		return func(n int) said { return said{fmt.Sprintf(format, n), args} }
	}
	for _, c := range []struct {
		name     string
		messages []said
		want     []string // each as "pattern types seen which values"
	}{
		{"numbers in the path", counted(1, 16, path("/in/%d/throw", float32(0.5))), []string{"/in/*/throw f 16 1–16 0.50"}},
		{"padded", counted(0, 11, path("/s%02d/at", 7)), []string{"/s*/at i 12 00–11 7"}},
		{"with gaps", slices.Concat(counted(1, 3, path("/s%d", 1)), counted(41, 42, path("/s%d", 1))), []string{"/s* i 5 1–3, 41–42 1"}},
		{"two numbers", slices.Concat(counted(1, 2, path("/in/%d/to/1", true)), counted(1, 2, path("/in/%d/to/2", false))),
			[]string{"/in/*/to/* T 4 1–2; 1–2 0–1"}},
		{"a number that never differs", counted(1, 4, path("/v2/in/%d", 1)), []string{"/v2/in/* i 4 1–4 1"}},
		{"one address alone", []said{{"/s99/at", []any{1}}}, []string{"/s99/at i 1  1"}},
		{"an argument that counts", counted(0, 7, func(n int) said { return said{"/lift", []any{n, float32(-3)}} }),
			[]string{"/lift # if 8 0–7 -3"}},
		{"an argument of too many values is a value", counted(0, 300, func(n int) said { return said{"/knob", []any{n, n}} }),
			[]string{"/knob ii 1  0–300 0–300"}},
		{"a row of values", []said{{"/glow", []any{float32(1), float32(2), float32(3.5), float32(0)}}}, []string{"/glow 4×f 1  0.00–3.50"}},
		{"names", []said{
			{"/player/harp/up", []any{"1 dB"}}, {"/player/horn/up", []any{"2 dB"}}, {"/player/drum/up", []any{"-oo"}},
			{"/player/harp/shut", []any{"ON"}}, {"/player/horn/shut", []any{"OFF"}}, {"/player/drum/shut", []any{"OFF"}},
		}, []string{`/player/*/shut s 3 harp, horn, drum "ON", "OFF"`, "/player/*/up s 3 harp, horn, drum -inf, 1–2 dB"}},
		{"two that are alike are no names yet", []said{{"/a/harp/up", []any{1}}, {"/a/horn/up", []any{1}}}, []string{"/a/harp/up i 1  1", "/a/horn/up i 1  1"}},
		{"words for different things are no names", []said{
			{"/pk/before", []any{1}}, {"/pk/after", []any{1}}, {"/pk/taken", []any{1}}, {"/pk/end", []any{1}},
		}, []string{"/pk/after i 1  1", "/pk/before i 1  1", "/pk/end i 1  1", "/pk/taken i 1  1"}},
		{"banks above numbers are no names", slices.Concat(counted(1, 2, path("/a/%d/up", 1)), counted(1, 2, path("/b/%d/up", 1)), counted(1, 2, path("/c/%d/up", 1))),
			[]string{"/a/*/up i 2 1–2 1", "/b/*/up i 2 1–2 1", "/c/*/up i 2 1–2 1"}},
		{"types that change", []said{{"/x", []any{1}}, {"/x", []any{float32(0.5)}}, {"/x", []any{"off"}}}, []string{`/x [ifs] 1  0.50–1.00, "off"`}},
		{"blobs", []said{{"/m", []any{make([]byte, 8)}}, {"/m", []any{make([]byte, 12)}}}, []string{"/m b 1  blobs of 8 to 12 bytes"}},
		{"nothing but the address", []said{{"/bang", nil}}, []string{"/bang  1 "}},
		{"nothing, and not a number", []said{{"/x", []any{nil}}}, []string{"/x N 1  "}},
	} {
		t.Run(c.name, func(t *testing.T) {
			var got []string
			for _, r := range surveyOf(t, c.messages...).Rows() {
				got = append(got, strings.TrimRight(fmt.Sprintf("%s %s %d %s %s", r.Address, r.Types, r.Seen, r.Which, strings.Join(r.Values, " ")), " "))
			}
			for i := range c.want {
				c.want[i] = strings.TrimRight(c.want[i], " ")
			}
			if !slices.Equal(got, c.want) {
				t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(c.want, "\n"))
			}
		})
	}
}

func TestRowsCountAndAge(t *testing.T) {
	s := surveyOf(t, counted(1, 21, func(int) said { return said{"/x", []any{1}} })...)
	s.Elapse(4 * time.Second)
	s.Hear(time.Second, []byte("/not a whole packet"))
	r := s.Rows()[0]
	if r.Count != 21 || r.Age != 2 || r.Rate != 21.0/4 {
		t.Errorf("got %+v, want 21 messages, 2 s old, in 4 s", r)
	}
	if c := s.Counts(); c.Malformed != 1 || c.Packets != 22 || c.Over != 4*time.Second {
		t.Errorf("got %+v, want 22 packets of which 1 is malformed, in 4 s", c)
	}
}

// TestHeard holds what a map reads against what comes: in the units of its signals,
// and with what is left of a message that is heard only in part.
func TestHeard(t *testing.T) {
	const head = "desk: x\ntapers: {rise: [[0, -inf], [0.4, -30], [0.77, 0], [1, 8]]}\nsignals:\n"
	tide := func(bytes ...byte) said { return said{"/tide", []any{bytes}} }
	for _, c := range []struct {
		name     string
		lines    string // of the map
		messages []said
		shown    string
		as       string
		left     []string
	}{
		{"a fader", "- {hear: /up, is: main.fader, value: {arg: 0, taper: rise}}",
			[]said{{"/up", []any{float32(0)}}, {"/up", []any{float32(0.4)}}, {"/up", []any{float32(1)}}}, "-inf, -30.0 to 8.0 dB", "main.fader", nil},
		{"nothing hears it", "- {hear: /down, is: main.mute}", []said{{"/up", []any{float32(0.5)}}}, "0.50", "", nil},
		{"an argument is left", "- {hear: /up, is: main.mute, value: {arg: 0, invert: yes}}",
			[]said{{"/up", []any{1, float32(3)}}, {"/up", []any{0, float32(3)}}}, "off, on", "main.mute, in part", []string{"argument 1"}},
		{"bytes are left", "- {hear: /tide, is: group.level, value: {blob: 0, of: int8, each: \"group:1-2\", unit: dBFS}}",
			[]said{tide(256-20, 256-30, 7), tide(256-10, 256-128, 7)}, "-128.0 to -10.0 dBFS", "group.level, in part", []string{"argument 0, its last 1 byte"}},
		{"all is refused", "- {hear: /up, is: main.fader, value: {arg: 0, taper: rise}}",
			[]said{{"/up", []any{float32(7)}}}, "7", "main.fader, in part", []string{"argument 0, refused"}},
		{"another sort of message", "- {hear: /up, is: main.mute, when: {arg: 0, is: cut}, value: {arg: 1}}",
			[]said{{"/up", []any{"cut", 1}}, {"/up", []any{"other", 1}}}, "on", "main.mute, in part", []string{"some messages"}},
		{"two signals", "- {hear: /up, is: main.mute, value: {arg: 0}}\n- {hear: /up, is: main.fader, value: {arg: 1, unit: dB}}",
			[]said{{"/up", []any{1, float32(-6)}}}, "main.mute on; main.fader -6.0 dB", "main.mute, main.fader", nil},
		{"heard at the second", "- {hear: /up, is: main.mute, when: {arg: 0, is: cut}, value: {arg: 1}}",
			[]said{{"/up", []any{"other", 1}}, {"/up", []any{"cut", 0}}}, "off", "main.mute", nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			m, faults := oscmap.Load("heard.yaml", []byte(head+c.lines), nil)
			if m == nil {
				t.Fatal(faults)
			}
			s := New(Options{Map: m})
			for _, message := range c.messages {
				s.Hear(0, packetOf(t, message.address, message.args...))
			}
			r := s.Rows()[0]
			if got := r.Shown(); got != c.shown || r.HeardAs() != c.as || !slices.Equal(r.Left, c.left) {
				t.Errorf("got %q as %q without %q, want %q as %q without %q", got, r.HeardAs(), r.Left, c.shown, c.as, c.left)
			}
			if table := strings.Join(s.Table(140, 0), "\n"); strings.Contains(table, "does not read") != (len(c.left) > 0) {
				t.Errorf("the table is\n%s", table)
			}
		})
	}
}

// TestBlobsOfEveryLength lets no sender fill memory with what is left of its blobs.
func TestBlobsOfEveryLength(t *testing.T) {
	m, faults := oscmap.Load("heard.yaml", []byte("desk: x\nsignals: [{hear: /tide, is: main.level, value: {blob: 0, of: int8, unit: dBFS}}]\n"), nil)
	if m == nil {
		t.Fatal(faults)
	}
	s := New(Options{Map: m})
	for n := range 100 {
		s.Hear(0, packetOf(t, "/tide", make([]byte, 2+n)))
	}
	if got := s.Rows()[0].Left; len(got) != mostRests {
		t.Errorf("%d kept of 100: %q", len(got), got)
	}
}
