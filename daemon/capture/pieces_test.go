package capture

import (
	"bytes"
	"encoding/binary"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/gopacket/gopacket/layers"
)

// cut makes IPv4 fragments of at most size bytes of payload each.
func cut(ip []byte, size int) [][]byte {
	header, body := ip[:20], ip[20:]
	var all [][]byte
	for at := 0; at < len(body); at += size {
		end := min(at+size, len(body))
		f := append(bytes.Clone(header), body[at:end]...)
		where := uint16(at / 8)
		if end < len(body) {
			where |= 0x2000
		}
		binary.BigEndian.PutUint16(f[2:], uint16(len(f)))
		binary.BigEndian.PutUint16(f[6:], where)
		all = append(all, f)
	}
	return all
}

// cut6 does the same in IPv6, with a fragment header.
func cut6(ip []byte, size int, id uint32) [][]byte {
	header, body := ip[:40], ip[40:]
	var all [][]byte
	for at := 0; at < len(body); at += size {
		end := min(at+size, len(body))
		where := uint16(at)
		if end < len(body) {
			where |= 1
		}
		f := bytes.Clone(header)
		f[6] = 44
		f = append(f, 17, 0)
		f = binary.BigEndian.AppendUint16(f, where)
		f = binary.BigEndian.AppendUint32(f, id)
		f = append(f, body[at:end]...)
		binary.BigEndian.PutUint16(f[4:], uint16(len(f)-40))
		all = append(all, f)
	}
	return all
}

func numbered(n int) []byte {
	b := make([]byte, n)
	for i := range b {
		b[i] = byte(i / 8 * 31)
	}
	return b
}

func TestFragmentsInAnyOrder(t *testing.T) {
	dice := rand.New(rand.NewPCG(1, 2))
	for _, size := range []int{1, 8, 1472, 20000, 65507} {
		data := numbered(size)
		four := cut(peerDatagram(t, Packet{noon, desk, pawl, data}, 9), 1480)
		sixth := cut6(peerDatagram(t, Packet{noon, six, pwl6, data}, 0), 1448, 9)
		for _, frames := range [][][]byte{four, sixth} {
			frames = append(frames, frames[0]) // one of them twice
			dice.Shuffle(len(frames), func(i, j int) { frames[i], frames[j] = frames[j], frames[i] })
			got, counts := readAll(t, bytes.NewReader(classic(t, layers.LinkTypeRaw, frames...)))
			if len(got) == 0 || !bytes.Equal(got[0].Data, data) {
				t.Errorf("%d bytes in %d frames: got %d packets, want the whole; %+v", size, len(frames), len(got), counts)
			}
		}
	}
}

func TestFragmentsNeverMade(t *testing.T) {
	whole := cut(peerDatagram(t, Packet{noon, desk, pawl, numbered(4000)}, 9), 1480)
	at := func(f []byte, offset int, more bool) []byte {
		f = bytes.Clone(f)
		where := uint16(offset / 8)
		if more {
			where |= 0x2000
		}
		binary.BigEndian.PutUint16(f[6:], where)
		return f
	}
	short := func(by int) []byte {
		f := bytes.Clone(whole[0][:len(whole[0])-by])
		binary.BigEndian.PutUint16(f[2:], uint16(len(f)))
		return f
	}
	tests := []struct {
		name   string
		frames [][]byte
		lost   uint64
	}{
		{"one never comes", [][]byte{whole[0], whole[2]}, 1},
		{"two overlap", [][]byte{whole[0], at(whole[1], 1472, true), whole[2]}, 2},
		{"two ends", [][]byte{whole[2], at(whole[1], 4000, false)}, 1},
		{"something beyond the end", [][]byte{at(whole[1], 1480, false), whole[2]}, 1},
		{"an end before what came", [][]byte{whole[1], at(whole[2], 8, false)}, 1},
		{"past the longest", [][]byte{at(whole[0], 65528, true)}, 0},
		{"no multiple of eight", [][]byte{short(4), whole[1], whole[2]}, 1}, // only its whole eights count
		{"fewer than eight", [][]byte{short(len(whole[0]) - 24)}, 0},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, counts := readAll(t, bytes.NewReader(classic(t, layers.LinkTypeRaw, tt.frames...)))
			if len(got) != 0 || counts.Lost != tt.lost {
				t.Errorf("got %d packets, %+v; want none and %d lost", len(got), counts, tt.lost)
			}
		})
	}
}

// TestFragmentsBounded begins far more datagrams than there is room for. The
// last ones must still be made, and all others be counted as lost.
func TestFragmentsBounded(t *testing.T) {
	var frames [][]byte
	for id := range uint16(1000) {
		frames = append(frames, cut(peerDatagram(t, Packet{noon, desk, pawl, numbered(2000)}, id), 1480)[0])
	}
	for id := uint16(1000 - maxOpen); id < 1000; id++ {
		frames = append(frames, cut(peerDatagram(t, Packet{noon, desk, pawl, numbered(2000)}, id), 1480)[1])
	}
	got, counts := readAll(t, bytes.NewReader(classic(t, layers.LinkTypeRaw, frames...)))
	if len(got) != maxOpen || counts.Lost != 1000-maxOpen {
		t.Errorf("%d made and %d lost, want %d and %d", len(got), counts.Lost, maxOpen, 1000-maxOpen)
	}
}

// TestFragmentsOfAnotherHour has the end of a datagram come long after the
// beginning of another with the same identification.
func TestFragmentsOfAnotherHour(t *testing.T) {
	four := cut(peerDatagram(t, Packet{noon, desk, pawl, numbered(2000)}, 9), 1480)
	sixth := cut6(peerDatagram(t, Packet{noon, six, pwl6, numbered(2000)}, 0), 1448, 9)
	for _, frames := range [][][]byte{four, sixth} {
		for _, late := range []time.Duration{patience, patience + 1} {
			o := newOpener(false)
			o.open(layers.LinkTypeRaw, frames[0], noon)
			want := whole
			if late > patience {
				want = piece
			}
			if v := o.open(layers.LinkTypeRaw, frames[1], noon.Add(late)); v != want {
				t.Errorf("%v later: verdict %v, want %v", late, v, want)
			}
			if lost := o.pieces.lost; lost != uint64(late-patience) {
				t.Errorf("%v later: %d lost, want %d", late, lost, late-patience)
			}
		}
	}
}

// TestFragmentsInTheirLastPiece gives random fragments, repeats among them. The
// datagram must come with the piece that was the last one missing, once and as it
// was, and with no other.
func TestFragmentsInTheirLastPiece(t *testing.T) {
	dice := rand.New(rand.NewPCG(3, 4))
	o := newOpener(false)
	for round := range 2000 {
		data := numbered(64 + dice.IntN(200))
		size := 8 * (1 + dice.IntN(8))
		frames := cut(peerDatagram(t, Packet{noon, desk, pawl, data}, uint16(round)), size)
		if round%2 == 1 {
			frames = cut6(peerDatagram(t, Packet{noon, six, pwl6, data}, 0), size, uint32(round))
		}
		order := dice.Perm(len(frames))
		for range dice.IntN(3) {
			order = append(order, order[dice.IntN(len(frames))])
		}
		dice.Shuffle(len(order), func(i, j int) { order[i], order[j] = order[j], order[i] })
		seen := map[int]bool{}
		for _, i := range order {
			if len(seen) == len(frames) {
				clear(seen) // one that comes again begins anew
			}
			seen[i] = true
			v := o.open(layers.LinkTypeRaw, frames[i], noon)
			if (v == whole) != (len(seen) == len(frames)) {
				t.Fatalf("round %d: verdict %v with %d of %d pieces", round, v, len(seen), len(frames))
			}
			if v == whole && !bytes.Equal(o.data, data) {
				t.Fatalf("round %d: the bytes differ", round)
			}
		}
		o.pieces = pieces{}
	}
}

func BenchmarkFragments(b *testing.B) {
	frames := cut(peerDatagram(b, Packet{noon, desk, pawl, numbered(4000)}, 9), 1480)
	o := newOpener(false)
	at := noon
	b.ReportAllocs()
	for b.Loop() {
		at = at.Add(time.Millisecond)
		for _, f := range frames {
			o.open(layers.LinkTypeRaw, f, at)
		}
	}
}
