package wire

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"
	"testing/iotest"
)

var streams = []struct {
	name    string
	framing Framing
	stream  string
	want    string // each packet with a bar behind it, then the error
	dropped int
}{
	{"nothing", LengthPrefix, "", "EOF", 0},
	{"two packets", LengthPrefix, "\x00\x00\x00\x04abcd\x00\x00\x00\x08efghijkl", "abcd|efghijkl|EOF", 0},
	{"empty frames", LengthPrefix, "\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x04abcd", "abcd|EOF", 0},
	{"ends within a size", LengthPrefix, "\x00\x00\x00\x04abcd\x00\x00", "abcd|unexpected EOF", 0},
	{"ends after a size", LengthPrefix, "\x00\x00\x00\x04", "unexpected EOF", 0},
	{"ends within a packet", LengthPrefix, "\x00\x00\x00\x04ab", "unexpected EOF", 0},
	{"size of three", LengthPrefix, "\x00\x00\x00\x03abc", "read stream: 3: not the size of an OSC packet", 0},
	{"negative size", LengthPrefix, "\xff\xff\xff\xfc", "read stream: -4: not the size of an OSC packet", 0},
	{"size over the limit", LengthPrefix, "\x00\x00\x00\x14", "read stream: 20: not the size of an OSC packet", 0},
	{"size at the limit", LengthPrefix, "\x00\x00\x00\x100123456789abcdef", "0123456789abcdef|EOF", 0},

	{"nothing", SLIP, "", "EOF", 0},
	{"END before and after", SLIP, "\xc0abcd\xc0\xc0efgh\xc0", "abcd|efgh|EOF", 0},
	{"one END between", SLIP, "abcd\xc0efgh\xc0", "abcd|efgh|EOF", 0},
	{"empty frames", SLIP, "\xc0\xc0\xc0\xc0abcd\xc0\xc0", "abcd|EOF", 0},
	{"escapes", SLIP, "\xc0\xdb\xdc\xdb\xdd\xdc\xdd\xc0", "\xc0\xdb\xdc\xdd|EOF", 0},
	{"bad escape drops to the next END", SLIP, "\xc0ab\xdbcd\xdb\xdc\xc0efgh\xc0", "efgh|EOF", 1},
	{"escape before END", SLIP, "\xc0ab\xdb\xc0efgh\xc0", "efgh|EOF", 1},
	{"escape of an escape", SLIP, "\xc0\xdb\xdb\xdc\xc0efgh\xc0", "efgh|EOF", 1},
	{"at the limit", SLIP, "\xc00123456789abcdef\xc0", "0123456789abcdef|EOF", 0},
	{"over the limit", SLIP, "\xc00123456789abcdefg\xdb\xc0abcd\xc0", "abcd|EOF", 1},
	{"over the limit by an escape", SLIP, "\xc00123456789abcdef\xdb\xdc\xc0abcd\xc0", "abcd|EOF", 1},
	{"ends within a packet", SLIP, "\xc0abcd", "unexpected EOF", 0},
	{"ends after an escape", SLIP, "\xc0\xdb", "unexpected EOF", 0},
	{"ends while dropping", SLIP, "\xc0\xdbx", "unexpected EOF", 1},
}

func TestSplit(t *testing.T) {
	for _, c := range streams {
		for _, by := range []struct {
			name string
			read func(io.Reader) io.Reader
		}{
			{"whole", func(r io.Reader) io.Reader { return r }},
			{"byte by byte", iotest.OneByteReader},
			{"error with the last bytes", iotest.DataErrReader},
		} {
			t.Run(fmt.Sprint("framing ", c.framing, " ", c.name, " ", by.name), func(t *testing.T) {
				s := NewSplitter(by.read(strings.NewReader(c.stream)), c.framing, 16)
				if got := split(s); got != c.want {
					t.Errorf("got  %q\nwant %q", got, c.want)
				}
				if got := s.Dropped(); got != c.dropped {
					t.Errorf("dropped %d, want %d", got, c.dropped)
				}
			})
		}
	}
}

// split reads to the first error, then once more to see that the error stays.
func split(s *Splitter) string {
	var out strings.Builder
	for {
		packet, err := s.Next()
		if err != nil {
			out.WriteString(err.Error())
			if _, again := s.Next(); again == nil || again.Error() != err.Error() {
				out.WriteString(" and then another")
			}
			return out.String()
		}
		out.Write(packet)
		out.WriteByte('|')
	}
}

// TestSplitAfterDeadline reads on after an error that passes, which comes
// between any two bytes.
func TestSplitAfterDeadline(t *testing.T) {
	for name, f := range map[string]Framing{"length prefix": LengthPrefix, "SLIP": SLIP} {
		t.Run(name, func(t *testing.T) {
			want := []byte("\xc0\xdb\xdc\xddabcd")
			stream := AppendFrame(AppendFrame(nil, want, f), want, f)
			s := NewSplitter(&haltingReader{rest: stream}, f, 0)
			for range 2 {
				packet, err := s.Next()
				for errors.Is(err, errHalt) {
					packet, err = s.Next()
				}
				if err != nil || !bytes.Equal(packet, want) {
					t.Errorf("got %x, %v; want %x", packet, err, want)
				}
			}
		})
	}
}

var errHalt = errors.New("not now")

// haltingReader gives an error between any two bytes.
type haltingReader struct {
	rest []byte
	halt bool
}

func (r *haltingReader) Read(p []byte) (int, error) {
	if r.halt = !r.halt; r.halt {
		return 0, errHalt
	}
	if len(r.rest) == 0 {
		return 0, io.EOF
	}
	p[0], r.rest = r.rest[0], r.rest[1:]
	return 1, nil
}

// FuzzSplitter cuts data into packets, frames them and splits the stream again;
// then it splits the data as if it were a stream, which must come to an end.
func FuzzSplitter(f *testing.F) {
	for _, c := range streams {
		f.Add([]byte(c.stream), uint8(c.framing), uint8(7))
	}
	f.Fuzz(func(t *testing.T, data []byte, framing, cut uint8) {
		form := Framing(framing % 2)
		size := int(cut)%60*4 + 4
		var stream []byte
		var packets [][]byte
		for rest := data; len(rest) >= size; rest = rest[size:] {
			packets = append(packets, rest[:size])
			stream = AppendFrame(stream, rest[:size], form)
		}
		s := NewSplitter(iotest.HalfReader(bytes.NewReader(stream)), form, size)
		for i, want := range packets {
			if got, err := s.Next(); err != nil || !bytes.Equal(got, want) {
				t.Fatalf("packet %d: got %x, %v; want %x", i, got, err, want)
			}
		}
		if got, err := s.Next(); err != io.EOF || s.Dropped() != 0 {
			t.Fatalf("after the last: got %x, %v, %d dropped", got, err, s.Dropped())
		}
		splitRubbish(t, data, form, size)
	})
}

func splitRubbish(t *testing.T, data []byte, f Framing, max int) {
	s := NewSplitter(bytes.NewReader(data), f, max)
	total := 0
	for {
		packet, err := s.Next()
		if err != nil {
			break
		}
		if len(packet) == 0 || len(packet) > max {
			t.Fatalf("a packet of %d bytes, want 1 to %d", len(packet), max)
		}
		total += len(packet)
	}
	if total > len(data) {
		t.Fatalf("%d bytes came out of %d", total, len(data))
	}
}
