package wire

import (
	"bytes"
	"testing"
)

// The bytes of osc_examples.csv are those of OSC 1.0 (Wright, CNMAT, 26 March
// 2002), its worked examples and what follows from its rules; the framing of
// streams follows RFC 1055.

// TestExamplePackets reads each published packet, and writes the same bytes
// again from its values.
func TestExamplePackets(t *testing.T) {
	float440 := message(t, "/oscillator/4/frequency", float32(440))
	for _, c := range []struct {
		name string
		want string
		made []byte
	}{
		{"float_440", "/oscillator/4/frequency ,f f:440", float440},
		{"foo_iisff", `/foo ,iisff i:1000 i:-1 s:"hello" f:1.234 f:5.678`,
			message(t, "/foo", 1000, -1, "hello", float32(1.234), float32(5.678))},
		{"bundle_head_immediate", "", inBundle(t, Immediately)},
		{"bundle_one_float_440", "/oscillator/4/frequency ,f f:440", inBundle(t, Immediately, float440)},
		{"bundle_nested_empty", "", inBundle(t, Immediately, inBundle(t, Immediately))},
		{"msg_all_optional", "/a ,hNTIFdt h:1 N T:1 I F:0 d:1 t:1",
			message(t, "/a", int64(1), nil, true, Impulse{}, false, 1.0, Immediately)},
		{"msg_blob3", "/a ,b b:010203", message(t, "/a", []byte{1, 2, 3})},
		{"msg_array", "/a ,[ii] i:1 i:-1", message(t, "/a", []any{1, -1})},
		{"msg_c_r_m", "/a ,crm c:65 r:11223344 m:903c7f",
			message(t, "/a", Char('A'), RGBA(0x11223344), MIDI{0, 0x90, 0x3c, 0x7f})},
	} {
		t.Run(c.name, func(t *testing.T) {
			packet := example(t, c.name)
			if got := show(new(Reader), packet); got != c.want {
				t.Errorf("got  %s\nwant %s", got, c.want)
			}
			if !bytes.Equal(c.made, packet) {
				t.Errorf("wrote %x\nwant  %x", c.made, packet)
			}
		})
	}
}

func TestExampleStrings(t *testing.T) {
	for _, c := range []struct{ name, want string }{
		{"string_OSC", "OSC"},
		{"string_data", "data"},
		{"typetag_f", ",f"},
		{"typetag_iisff", ",iisff"},
		{"typetag_empty", ","},
		{"typetag_ibb", ",ibb"},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := example(t, c.name)
			s, rest, reason := cutString(b)
			if string(s) != c.want || len(rest) != 0 || reason != 0 {
				t.Errorf("got %q, rest %x, %v; want %q", s, rest, reason, c.want)
			}
			if made, err := appendString(nil, c.want); err != nil || !bytes.Equal(made, b) {
				t.Errorf("wrote %x, %v; want %x", made, err, b)
			}
		})
	}
}

func TestExampleTimeTags(t *testing.T) {
	// 1970 began 70 years and 17 leap days after 1900.
	const unixEpoch TimeTag = 2208988800 << 32
	for _, c := range []struct {
		name string
		want TimeTag
	}{
		{"timetag_immediate", Immediately},
		{"timetag_unix_epoch", unixEpoch},
		{"timetag_unix_epoch_half", unixEpoch + 1<<31},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := example(t, c.name)
			args := Args{tags: []byte("t"), data: b}
			args.Next()
			if got := TimeTag(args.Arg().Bits); got != c.want {
				t.Errorf("got %x, want %x", got, c.want)
			}
			if made := inBundle(t, c.want); !bytes.Equal(made[len(bundleHead):], b) {
				t.Errorf("made %x, want %x", made[len(bundleHead):], b)
			}
		})
	}
}

func TestExampleFrames(t *testing.T) {
	for _, c := range []struct {
		name, packet string
		framing      Framing
	}{
		{"tcp10_float_440", "float_440", LengthPrefix},
		{"slip_float_440", "float_440", SLIP},
		{"slip_raw_c0_db_01", "", SLIP},
	} {
		t.Run(c.name, func(t *testing.T) {
			want := []byte{0xc0, 0xdb, 0x01}
			if c.packet != "" {
				want = example(t, c.packet)
			}
			stream := example(t, c.name)
			got, err := NewSplitter(bytes.NewReader(stream), c.framing, 0).Next()
			if err != nil || !bytes.Equal(got, want) {
				t.Errorf("got %x, %v; want %x", got, err, want)
			}
			if got := AppendFrame(nil, want, c.framing); !bytes.Equal(got, stream) {
				t.Errorf("framed %x, want %x", got, stream)
			}
		})
	}
}

// TestEveryExample fails when a published example is not in a table above.
func TestEveryExample(t *testing.T) {
	const tables = 9 + 6 + 3 + 3
	if got := len(readCheck(t, "osc_examples.csv")); got != tables {
		t.Errorf("osc_examples.csv has %d rows, the tables of this file %d", got, tables)
	}
}

func TestSLIPBytes(t *testing.T) {
	ours := map[string]byte{"END": slipEnd, "ESC": slipEscape, "ESC_END": slipEscEnd, "ESC_ESC": slipEscEscape}
	for _, row := range readCheck(t, "slip_constants.csv") {
		want := unhex(t, row[1])[0]
		if got, ok := ours[row[0]]; !ok || got != want {
			t.Errorf("%s: got %x, RFC 1055 has %x", row[0], got, want)
		}
	}
}

func example(t testing.TB, name string) []byte {
	t.Helper()
	for _, row := range readCheck(t, "osc_examples.csv") {
		if row[0] == name {
			return unhex(t, row[1])
		}
	}
	t.Fatalf("osc_examples.csv has no row %s", name)
	return nil
}

func message(t testing.TB, address string, args ...any) []byte {
	t.Helper()
	b, err := AppendMessage(nil, address, args...)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func inBundle(t testing.TB, at TimeTag, elements ...[]byte) []byte {
	t.Helper()
	b, err := AppendBundle(nil, at, elements...)
	if err != nil {
		t.Fatal(err)
	}
	return b
}
