package capture

import (
	"bytes"
	"compress/gzip"
	"encoding/binary"
	"fmt"
	"io"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"testing/iotest"
	"testing/synctest"
	"time"

	"github.com/gopacket/gopacket/layers"

	"pawl/oscmap/wire"
)

// overLoads is more packets than all loads hold.
const overLoads = 3 * loads * mostInLoad

// heard is all that came of a capture, to lay two readings of it side by side.
type heard struct {
	packets []Packet
	err     string
	counts  Counts
}

func (h *heard) take(p *Packet) {
	kept := *p
	kept.Data = slices.Clone(p.Data)
	h.packets = append(h.packets, kept)
}

func (h *heard) end(r *Reader) {
	h.err, h.counts = fmt.Sprint(r.Err()), r.Counts()
}

func readers(t testing.TB, file []byte, framing *wire.Framing) (a, b *Reader) {
	t.Helper()
	open := func() *Reader {
		r, err := NewReader(bytes.NewReader(file))
		if err != nil {
			t.Fatal(err)
		}
		if framing != nil {
			r.ReadTCP(*framing)
		}
		return r
	}
	return open(), open()
}

// sameAhead reads a capture packet by packet and ahead, and wants the same.
func sameAhead(t testing.TB, file []byte, framing *wire.Framing) heard {
	t.Helper()
	one, other := readers(t, file, framing)
	var want, got heard
	for one.Next() {
		want.take(one.Packet())
	}
	want.end(one)
	for p := range other.Ahead() {
		got.take(p)
	}
	got.end(other)
	if len(got.packets) != len(want.packets) || got.err != want.err || got.counts != want.counts {
		t.Fatalf("ahead: %d packets, %s, %+v\nwant: %d packets, %s, %+v",
			len(got.packets), got.err, got.counts, len(want.packets), want.err, want.counts)
	}
	for i := range want.packets {
		if !samePacket(got.packets[i], want.packets[i]) {
			t.Fatalf("packet %d of %d bytes ahead is another: at %v from %v, want at %v from %v with %d bytes", i, len(got.packets[i].Data),
				got.packets[i].At, got.packets[i].From, want.packets[i].At, want.packets[i].From, len(want.packets[i].Data))
		}
	}
	return got
}

// lengths are packets of every size, so that loads end by their number and by their bytes.
func lengths(n int) []Packet {
	all := make([]Packet, n)
	for i := range all {
		all[i] = Packet{noon.Add(time.Duration(i) * time.Millisecond), desk, pawl, numbered(i % 700)}
		if i%100 == 7 {
			all[i].Data = numbered(MostData - i)
		}
		if i%5 == 0 {
			all[i].From, all[i].To = six, pwl6
		}
	}
	return all
}

// tooLong is a frame whose IP header leaves its length to the network card, with more in
// it than a datagram can hold.
func tooLong(t testing.TB, n int) []byte {
	t.Helper()
	frame := bytes.Clone(peerDatagram(t, Packet{noon, desk, pawl, nil}, 1))
	binary.BigEndian.PutUint16(frame[2:], 0)
	binary.BigEndian.PutUint16(frame[ipv4Header+4:], 0)
	return append(frame, numbered(n)...)
}

func TestAheadIsNext(t *testing.T) {
	plain := record(t, lengths(overLoads)...)
	var packed bytes.Buffer
	z := gzip.NewWriter(&packed)
	if _, err := z.Write(plain); err != nil {
		t.Fatal(err)
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	small := peerDatagram(t, Packet{noon, desk, pawl, []byte("abcd")}, 1)
	long := [][]byte{tooLong(t, 70_000), small, tooLong(t, 90_000), tooLong(t, 66_000), small}
	var talked [][]byte
	for i := range overLoads {
		talked = append(talked, framedAs(wire.SLIP, throw(i%16)))
	}
	slip := wire.SLIP
	for _, tt := range []struct {
		name    string
		file    []byte
		framing *wire.Framing
		packets int
		cut     bool
	}{
		{"many", plain, nil, overLoads, false},
		{"a load to the last packet", record(t, lengths(7)...), nil, 7, false},
		{"nothing", record(t), nil, 0, false},
		{"torn", plain[:len(plain)-5], nil, overLoads - 1, true},
		{"gzip", packed.Bytes(), nil, overLoads, false},
		{"gzip, torn", packed.Bytes()[:packed.Len()-12], nil, overLoads, true},
		{"longer than a datagram", classic(t, layers.LinkTypeRaw, long...), nil, len(long), false},
		{"fragments", classic(t, layers.LinkTypeRaw, slices.Concat(cut(peerDatagram(t, Packet{noon, desk, pawl, numbered(4000)}, 9), 1480), [][]byte{small})...), nil, 2, false},
		{"TCP", captured(t, inTurn(talk(desk, pawl, 7, talked...)...)...), &slip, overLoads, false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got := sameAhead(t, tt.file, tt.framing)
			if len(got.packets) != tt.packets || got.counts.CutShort != tt.cut || got.err != "<nil>" {
				t.Errorf("%d packets, cut short %v, %s; want %d and %v", len(got.packets), got.counts.CutShort, got.err, tt.packets, tt.cut)
			}
		})
	}
}

// TestAheadErrorInItsPlace has a fault in a record at every place about the end of a
// load: all before it is handed on, and then the fault.
func TestAheadErrorInItsPlace(t *testing.T) {
	file := many(t, 2*mostInLoad+10)
	each := (len(file) - len(record(t))) / (2*mostInLoad + 10)
	for _, good := range []int{0, 1, mostInLoad - 1, mostInLoad, mostInLoad + 1, 2 * mostInLoad} {
		broken := bytes.Clone(file)
		broken[len(record(t))+good*each+8] = 7 // its interface
		got := sameAhead(t, broken, nil)
		if want := fmt.Sprintf("read capture: after record %d: ", good); len(got.packets) != good || !strings.HasPrefix(got.err, want) {
			t.Errorf("%d packets and %s, want %d and %s…", len(got.packets), got.err, good, want)
		}
	}
}

// leftAfter leaves the loop over a capture after n packets, and reports how many it had. The
// bubble that it is called in ends only when all of its goroutines have.
func leftAfter(t *testing.T, file io.Reader, n int) (had int) {
	t.Helper()
	r, err := NewReader(file)
	if err != nil {
		t.Fatal(err)
	}
	for range r.Ahead() {
		if had++; had == n {
			break
		}
	}
	return had
}

// TestAheadLeftEarly leaves the loop in many places, and wants nobody left who reads.
func TestAheadLeftEarly(t *testing.T) {
	long := classic(t, layers.LinkTypeRaw, tooLong(t, 70_000), tooLong(t, 70_000), tooLong(t, 70_000))
	for _, tt := range []struct {
		name  string
		file  []byte
		after []int
	}{
		{"many", many(t, overLoads), []int{1, 2, mostInLoad - 1, mostInLoad, mostInLoad + 1, overLoads - 1, overLoads}},
		{"longer than a datagram", long, []int{1, 2, 3}},
	} {
		for _, n := range tt.after {
			t.Run(fmt.Sprintf("%s, after %d", tt.name, n), func(t *testing.T) {
				synctest.Test(t, func(t *testing.T) {
					if had := leftAfter(t, bytes.NewReader(tt.file), n); had != n {
						t.Errorf("%d packets, want %d", had, n)
					}
				})
			})
		}
	}
}

// TestAheadLeftAmongOtherTraffic leaves the loop where the file goes on for ever with
// records that hold no packet.
func TestAheadLeftAmongOtherTraffic(t *testing.T) {
	p := Packet{noon, desk, pawl, []byte("abcd")}
	tcp := bytes.Clone(peerDatagram(t, p, 1))
	tcp[9] = byte(layers.IPProtocolTCP)
	head := len(classic(t, layers.LinkTypeRaw))
	one := classic(t, layers.LinkTypeRaw, slices.Repeat([][]byte{peerDatagram(t, p, 1)}, mostInLoad)...)
	rest := classic(t, layers.LinkTypeRaw, tcp)[head:]
	synctest.Test(t, func(t *testing.T) {
		leftAfter(t, io.MultiReader(bytes.NewReader(one), &repeating{of: rest}), 1)
	})
}

// TestAheadPanic has whoever takes the packets panic: nobody goes on reading.
func TestAheadPanic(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		defer func() {
			if got := recover(); got != "no more" {
				t.Errorf("recovered %v, want what was thrown", got)
			}
		}()
		r, err := NewReader(bytes.NewReader(many(t, overLoads)))
		if err != nil {
			t.Fatal(err)
		}
		for range r.Ahead() {
			panic("no more")
		}
	})
}

// slow is a file of which every read takes a minute.
type slow struct {
	io.Reader
	reading atomic.Bool
}

func (s *slow) Read(p []byte) (int, error) {
	s.reading.Store(true)
	time.Sleep(time.Minute)
	s.reading.Store(false)
	return s.Reader.Read(p)
}

// TestAheadLeftDuringARead leaves the loop while the file is read: whoever leaves may close
// it then.
func TestAheadLeftDuringARead(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		in := &slow{Reader: bytes.NewReader(many(t, 100*mostInLoad))}
		r, err := NewReader(in)
		if err != nil {
			t.Fatal(err)
		}
		left := false
		for range r.Ahead() {
			if synctest.Wait(); in.reading.Load() {
				left = true
				break
			}
		}
		if !left || in.reading.Load() {
			t.Errorf("left %v, and the file is still being read %v", left, in.reading.Load())
		}
	})
}

// TestAheadIsBounded holds the first packet until whoever reads ahead has to wait, and
// wants no more read by then than all loads hold; of packets that are longer than any
// datagram, none but the one that is held.
func TestAheadIsBounded(t *testing.T) {
	long := classic(t, layers.LinkTypeRaw, tooLong(t, 70_000), tooLong(t, 70_000), tooLong(t, 70_000))
	for _, tt := range []struct {
		name    string
		file    []byte
		records int
		ahead   int
	}{
		{"small", many(t, 100*mostInLoad), 100 * mostInLoad, loads * mostInLoad},
		{"long", long, 3, 1},
	} {
		t.Run(tt.name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				in := bytes.NewReader(tt.file)
				r, err := NewReader(iotest.OneByteReader(in)) // so that nothing is buffered below
				if err != nil {
					t.Fatal(err)
				}
				read := 0
				for range r.Ahead() {
					synctest.Wait()
					read = len(tt.file) - in.Len()
					break
				}
				// The head of the file is shorter than two records.
				each := len(tt.file) / tt.records
				if read < tt.ahead*each || read > (tt.ahead+2)*each || read == len(tt.file) {
					t.Errorf("%d bytes were read, want those of %d records of %d", read, tt.ahead, each)
				}
			})
		})
	}
}

// TestAheadDoesNotAllocate reads a capture and one five times as long: what there is to
// allocate is allocated for the first loads.
func TestAheadDoesNotAllocate(t *testing.T) {
	allocs := func(n int) float64 {
		file := many(t, n)
		return testing.AllocsPerRun(5, func() {
			r, err := NewReader(bytes.NewReader(file))
			if err != nil {
				t.Fatal(err)
			}
			for range r.Ahead() {
			}
		})
	}
	if few, more := allocs(overLoads), allocs(5*overLoads); more > few+20 {
		t.Errorf("%v allocations for %d packets, %v for %d; want about as many", few, overLoads, more, 5*overLoads)
	}
}
