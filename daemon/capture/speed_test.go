package capture

import (
	"bytes"
	"io"
	"testing"
	"time"

	"pawl/oscmap/wire"
)

// many is a capture in memory of n packets the size of a fader message, and
// what it takes to read one again and again without allocating a new reader.
func many(t testing.TB, n int) []byte {
	t.Helper()
	packets := make([]Packet, n)
	for i := range packets {
		packets[i] = Packet{noon.Add(time.Duration(i) * time.Millisecond), desk, pawl, []byte("/in/12/throw\x00\x00\x00\x00,f\x00\x00\x3f\x40\x00\x00")}
	}
	return record(t, packets...)
}

func TestReaderDoesNotAllocate(t *testing.T) {
	r, err := NewReader(bytes.NewReader(many(t, 2000)))
	if err != nil {
		t.Fatal(err)
	}
	r.Next() // sizes the buffer
	if n := testing.AllocsPerRun(1000, func() { r.Next() }); n != 0 {
		t.Errorf("%v allocations per packet, want 0", n)
	}
}

func TestStreamReaderDoesNotAllocate(t *testing.T) {
	var segments [][]byte
	for i := range 2000 {
		segments = append(segments, framedAs(wire.SLIP, throw(i%16)))
	}
	r, err := NewReader(bytes.NewReader(captured(t, inTurn(talk(desk, pawl, 7, segments...)...)...)))
	if err != nil {
		t.Fatal(err)
	}
	r.ReadTCP(wire.SLIP)
	for range 20 { // sizes the buffers
		r.Next()
	}
	if n := testing.AllocsPerRun(1000, func() { r.Next() }); n != 0 {
		t.Errorf("%v allocations per packet, want 0", n)
	}
}

func TestWriterDoesNotAllocate(t *testing.T) {
	w, err := NewWriter(io.Discard, "")
	if err != nil {
		t.Fatal(err)
	}
	p := Packet{noon, desk, pawl, numbered(400)}
	if n := testing.AllocsPerRun(1000, func() {
		if err := w.Write(p); err != nil {
			t.Fatal(err)
		}
	}); n != 0 {
		t.Errorf("%v allocations per packet, want 0", n)
	}
}

// BenchmarkReader is the cost of one packet of a capture in memory.
func BenchmarkReader(b *testing.B) {
	file := many(b, 100_000)
	b.ReportAllocs()
	b.ResetTimer()
	for n := 0; n < b.N; {
		r, err := NewReader(bytes.NewReader(file))
		if err != nil {
			b.Fatal(err)
		}
		for n < b.N && r.Next() {
			n++
		}
	}
}

// BenchmarkWriter is the cost of writing one packet of 400 bytes.
func BenchmarkWriter(b *testing.B) {
	w, err := NewWriter(io.Discard, "")
	if err != nil {
		b.Fatal(err)
	}
	p := Packet{noon, desk, pawl, numbered(400)}
	b.ReportAllocs()
	for b.Loop() {
		if err := w.Write(p); err != nil {
			b.Fatal(err)
		}
	}
}
