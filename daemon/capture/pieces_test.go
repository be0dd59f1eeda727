package capture

import (
	"bytes"
	"encoding/binary"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/gopacket/gopacket"
	"github.com/gopacket/gopacket/ip4defrag"
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
		f = append(f, protocolUDP, 0)
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
	shorter := bytes.Clone(whole[0][:len(whole[0])-4])
	binary.BigEndian.PutUint16(shorter[2:], uint16(len(shorter)))
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
		{"no multiple of eight", [][]byte{shorter}, 0},
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

func TestFragmentsOfAnotherHour(t *testing.T) {
	var p pieces
	key := pieceKey{from: desk.Addr(), to: pawl.Addr(), id: 1}
	p.add(key, 0, true, numbered(8), noon)
	if _, v := p.add(key, 8, false, numbered(8), noon.Add(patience+1)); v != piece {
		t.Errorf("an old beginning and a new end: verdict %v, want %v", v, piece)
	}
	if p.lost != 1 {
		t.Errorf("%d lost, want 1", p.lost)
	}
}

// TestFragmentsAgreeWithPeer gives the same random fragments, overlaps and
// repeats among them, to gopacket's reassembly. Whatever both make must be the
// same, and what is whole without a contradiction both must make.
func TestFragmentsAgreeWithPeer(t *testing.T) {
	dice := rand.New(rand.NewPCG(3, 4))
	made := 0
	for round := range 2000 {
		data := numbered(64 + dice.IntN(200))
		frames := cut(peerDatagram(t, Packet{noon, desk, pawl, data}, 9), 8*(1+dice.IntN(8)))
		for range dice.IntN(3) {
			frames = append(frames, frames[dice.IntN(len(frames))])
		}
		dice.Shuffle(len(frames), func(i, j int) { frames[i], frames[j] = frames[j], frames[i] })
		var o opener
		peer := ip4defrag.NewIPv4Defragmenter()
		for _, f := range frames {
			v := o.open(f, noon)
			layer := gopacket.NewPacket(f, layers.LayerTypeIPv4, gopacket.NoCopy).Layer(layers.LayerTypeIPv4).(*layers.IPv4)
			joined, err := peer.DefragIPv4WithTimestamp(layer, noon)
			if (v == whole) != (err == nil && joined != nil) {
				t.Fatalf("round %d: verdict %v, peer %v %v", round, v, joined != nil, err)
			}
			if v != whole {
				continue
			}
			made++
			if !bytes.Equal(o.data, joined.Payload[8:]) || !bytes.Equal(o.data, data) {
				t.Fatalf("round %d: the bytes differ", round)
			}
		}
	}
	if made < 2000 {
		t.Errorf("%d datagrams made, want at least 2000", made)
	}
}

func BenchmarkFragments(b *testing.B) {
	frames := cut(peerDatagram(b, Packet{noon, desk, pawl, numbered(4000)}, 9), 1480)
	var o opener
	at := noon
	b.ReportAllocs()
	for b.Loop() {
		at = at.Add(time.Millisecond)
		for _, f := range frames {
			o.open(f, at)
		}
	}
}
