package capture

import (
	"bytes"
	"io"
	"net/netip"
	"slices"
	"strings"
	"testing"
	"time"
)

var (
	noon = time.Date(2026, 11, 29, 10, 0, 0, 123456789, time.UTC)
	desk = netip.MustParseAddrPort("192.0.2.10:10700")
	pawl = netip.MustParseAddrPort("192.0.2.20:10701")
	six  = netip.MustParseAddrPort("[2001:db8::10]:10700")
	pwl6 = netip.MustParseAddrPort("[2001:db8::20]:10701")
)

// record writes packets to a capture in memory.
func record(t testing.TB, packets ...Packet) []byte {
	t.Helper()
	var file bytes.Buffer
	w, err := NewWriter(&file, "Harbour Hall")
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range packets {
		if err := w.Write(p); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Flush(); err != nil {
		t.Fatal(err)
	}
	return file.Bytes()
}

// readAll reads a capture to its end, keeping copies.
func readAll(t testing.TB, file io.Reader) ([]Packet, Counts) {
	t.Helper()
	r, err := NewReader(file)
	if err != nil {
		t.Fatal(err)
	}
	var all []Packet
	for r.Next() {
		p := *r.Packet()
		p.Data = slices.Clone(p.Data)
		all = append(all, p)
	}
	if err := r.Err(); err != nil {
		t.Fatal(err)
	}
	return all, r.Counts()
}

func samePacket(a, b Packet) bool {
	return a.At.Equal(b.At) && a.From == b.From && a.To == b.To && bytes.Equal(a.Data, b.Data)
}

func TestRoundTrip(t *testing.T) {
	long := make([]byte, 65527)
	for i := range long {
		long[i] = byte(i * 7)
	}
	mapped := netip.MustParseAddrPort("[::ffff:192.0.2.10]:10700")
	tests := []struct {
		name     string
		in, want Packet
	}{
		{"IPv4", Packet{noon, desk, pawl, []byte("/in/1/throw")}, Packet{noon, desk, pawl, []byte("/in/1/throw")}},
		{"IPv6", Packet{noon, six, pwl6, []byte("/in/1/throw")}, Packet{noon, six, pwl6, []byte("/in/1/throw")}},
		{"odd length", Packet{noon, desk, pawl, []byte("abc")}, Packet{noon, desk, pawl, []byte("abc")}},
		{"nothing in it", Packet{noon, desk, pawl, nil}, Packet{noon, desk, pawl, nil}},
		{"the longest in IPv4", Packet{noon, desk, pawl, long[:65507]}, Packet{noon, desk, pawl, long[:65507]}},
		{"the longest in IPv6", Packet{noon, six, pwl6, long}, Packet{noon, six, pwl6, long}},
		{"mapped address", Packet{noon, mapped, pawl, []byte("a")}, Packet{noon, desk, pawl, []byte("a")}},
		{"bound to every address", Packet{noon, desk, netip.MustParseAddrPort("[::]:10701"), []byte("a")},
			Packet{noon, desk, netip.MustParseAddrPort("0.0.0.0:10701"), []byte("a")}},
		{"own end unknown", Packet{noon, six, netip.AddrPort{}, []byte("a")},
			Packet{noon, six, netip.MustParseAddrPort("[::]:0"), []byte("a")}},
		{"zone dropped", Packet{noon, netip.MustParseAddrPort("[fe80::1%eth0]:1"), netip.MustParseAddrPort("[fe80::2]:2"), []byte("a")},
			Packet{noon, netip.MustParseAddrPort("[fe80::1]:1"), netip.MustParseAddrPort("[fe80::2]:2"), []byte("a")}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, counts := readAll(t, bytes.NewReader(record(t, tt.in)))
			if len(got) != 1 || !samePacket(got[0], tt.want) {
				t.Fatalf("got %v, want %v", got, tt.want)
			}
			if notes := counts.Notes(); len(notes) > 0 {
				t.Errorf("notes %q, want none", notes)
			}
		})
	}
}

func TestWriterRefuses(t *testing.T) {
	tests := []struct {
		name string
		in   Packet
		want string
	}{
		{"too long for IPv4", Packet{noon, desk, pawl, make([]byte, 65508)},
			"write capture: a packet of 65508 bytes; a datagram holds at most 65507"},
		{"too long for IPv6", Packet{noon, six, pwl6, make([]byte, 65528)},
			"write capture: a packet of 65528 bytes; a datagram holds at most 65527"},
		{"no sender", Packet{noon, netip.AddrPort{}, pawl, nil}, "write capture: the sender's address is missing"},
		{"two families", Packet{noon, desk, pwl6, nil},
			"write capture: from 192.0.2.10:10700 to [2001:db8::20]:10701: one end is IPv4, the other IPv6"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var file bytes.Buffer
			w, err := NewWriter(&file, "")
			if err != nil {
				t.Fatal(err)
			}
			if err := w.Write(tt.in); err == nil || err.Error() != tt.want {
				t.Errorf("got %v, want %s", err, tt.want)
			}
			// The file is still good.
			if err := w.Write(Packet{noon, desk, pawl, []byte("after")}); err != nil {
				t.Fatal(err)
			}
			if err := w.Flush(); err != nil {
				t.Fatal(err)
			}
			if got, _ := readAll(t, &file); len(got) != 1 || string(got[0].Data) != "after" {
				t.Errorf("got %v, want the packet after", got)
			}
		})
	}
}

func TestWriterTimesNeverRunBackwards(t *testing.T) {
	file := record(t,
		Packet{noon, desk, pawl, []byte("a")},
		Packet{noon.Add(-time.Second), desk, pawl, []byte("b")},
		Packet{noon.Add(1), desk, pawl, []byte("c")})
	got, counts := readAll(t, bytes.NewReader(file))
	for i, want := range []time.Time{noon, noon, noon.Add(1)} {
		if !got[i].At.Equal(want) {
			t.Errorf("packet %d at %v, want %v", i, got[i].At, want)
		}
	}
	if counts.Backwards != 0 {
		t.Errorf("%d backwards in the file, want 0", counts.Backwards)
	}
}

// full is a disk with room for n more bytes.
type full struct{ n int }

func (f *full) Write(b []byte) (int, error) {
	if len(b) > f.n {
		return 0, io.ErrShortWrite
	}
	f.n -= len(b)
	return len(b), nil
}

func TestWriterReportsAFullDisk(t *testing.T) {
	w, err := NewWriter(&full{n: 100}, "")
	if err != nil {
		t.Fatal(err)
	}
	if err := w.Write(Packet{noon, desk, pawl, make([]byte, 100)}); err != nil {
		t.Fatal(err)
	}
	if err := w.Flush(); err == nil || !strings.HasPrefix(err.Error(), "write capture: ") {
		t.Errorf("got %v, want an error from Flush", err)
	}
}
