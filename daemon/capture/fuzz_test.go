package capture

import (
	"bytes"
	"encoding/binary"
	"testing"
	"time"

	"github.com/gopacket/gopacket/layers"

	"pawl/oscmap/wire"
)

// FuzzReader gives any bytes at all to the reader. Whatever they are, it must
// come to an end, never hand on more than a datagram can hold, and never let
// time run backwards; and read ahead it must be the same. Run it with
// -fuzzminimizetime 20x: the files are long, and the default spends its minutes making
// each find shorter.
func FuzzReader(f *testing.F) {
	p := Packet{noon, desk, pawl, numbered(4000)}
	ng := record(f, p, Packet{noon.Add(1), six, pwl6, []byte("/a\x00\x00")})
	f.Add(ng)
	f.Add(ng[:len(ng)-5])
	z, err := newPacker()
	if err != nil {
		f.Fatal(err)
	}
	f.Add(z.EncodeAll(ng, z.EncodeAll(ng, nil)))
	f.Add(classic(f, layers.LinkTypeRaw, cut(peerDatagram(f, p, 1), 1480)...))
	f.Add(classic(f, layers.LinkTypeRaw, cut6(peerDatagram(f, Packet{noon, six, pwl6, numbered(4000)}, 1), 1448, 7)...))
	for _, link := range []layers.LinkType{layers.LinkTypeEthernet, layers.LinkTypeLinuxSLL, layers.LinkTypeLinuxSLL2, layers.LinkTypeNull} {
		f.Add(classic(f, link, framed(f, link, Packet{noon, desk, pawl, []byte("/a\x00\x00")})))
	}
	for _, framing := range framings {
		f.Add(captured(f, inTurn(talk(desk, pawl, 7, framedAs(framing, throw(1)), framedAs(framing, throw(2), throw(3)))...)...))
	}
	f.Fuzz(func(t *testing.T, file []byte) {
		readFuzzed(t, file, nil)
		for _, framing := range framings {
			readFuzzed(t, file, &framing)
		}
	})
}

// FuzzStreams gives segments of TCP in any order and of any kind to the reader.
// Six bytes say what a segment is and how long its data.
func FuzzStreams(f *testing.F) {
	for _, framing := range framings {
		var script []byte
		seq := uint16(8)
		for i := range 4 {
			data := framedAs(framing, throw(i))
			script = append(binary.BigEndian.AppendUint16(append(script, byte(i*2)), seq), 0, byte(i), byte(len(data)))
			script, seq = append(script, data...), seq+uint16(len(data))
		}
		f.Add(append([]byte{1, 0, 7, 0, 0, 0}, script...))
		f.Add(append(script, script...))
	}
	f.Fuzz(func(t *testing.T, script []byte) {
		var all []part
		at := time.Duration(0)
		for len(script) >= 6 && len(all) < 500 {
			kind, seq, high, wait, size := script[0], binary.BigEndian.Uint16(script[1:]), script[3], script[4], int(script[5])
			at += time.Duration(wait) * 20 * time.Millisecond
			p := part{from: desk, to: pawl, seq: uint32(high)<<24 + uint32(seq), at: at, syn: kind&1 > 0, fin: kind&8 > 0, rst: kind&16 > 0}
			if kind&32 > 0 {
				p.from, p.to = p.to, p.from
			}
			p.data = script[6:min(6+size, len(script))]
			script = script[6+len(p.data):]
			all = append(all, p)
		}
		if len(all) == 0 {
			return
		}
		file := captured(t, all...)
		for _, framing := range framings {
			readFuzzed(t, file, &framing)
		}
	})
}

func readFuzzed(t *testing.T, file []byte, framing *wire.Framing) {
	r, err := NewReader(bytes.NewReader(file))
	if err != nil {
		return
	}
	if framing != nil {
		r.ReadTCP(*framing)
	}
	last := r.Packet().At
	for r.Next() {
		p := r.Packet()
		if p.At.Before(last) {
			t.Fatalf("time ran back from %v to %v", last, p.At)
		}
		if last = p.At; len(p.Data) > maxUDP*4 {
			t.Fatalf("%d bytes in one packet", len(p.Data))
		}
	}
	c := r.Counts()
	if sum := c.Packets - c.Streamed + c.Segments + c.Pieces + c.Truncated + c.Malformed + c.Other; sum != c.Records {
		t.Fatalf("%d records but %d verdicts: %+v", c.Records, sum, c)
	}
	c.Notes()
	sameAhead(t, file, framing)
}
