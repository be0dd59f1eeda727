package capture

import (
	"bytes"
	"testing"

	"github.com/gopacket/gopacket/layers"
)

// FuzzReader gives any bytes at all to the reader. Whatever they are, it must
// come to an end, never hand on more than a datagram can hold, and never let
// time run backwards. Run it with -fuzzminimizetime 20x: the files are long, and
// the default spends its minutes making each find shorter.
func FuzzReader(f *testing.F) {
	p := Packet{noon, desk, pawl, numbered(4000)}
	ng := record(f, p, Packet{noon.Add(1), six, pwl6, []byte("/a\x00\x00")})
	f.Add(ng)
	f.Add(ng[:len(ng)-5])
	f.Add(classic(f, layers.LinkTypeRaw, cut(peerDatagram(f, p, 1), 1480)...))
	f.Add(classic(f, layers.LinkTypeRaw, cut6(peerDatagram(f, Packet{noon, six, pwl6, numbered(4000)}, 1), 1448, 7)...))
	for _, link := range []layers.LinkType{layers.LinkTypeEthernet, layers.LinkTypeLinuxSLL, layers.LinkTypeLinuxSLL2, layers.LinkTypeNull} {
		f.Add(classic(f, link, framed(f, link, Packet{noon, desk, pawl, []byte("/a\x00\x00")})))
	}
	f.Fuzz(func(t *testing.T, file []byte) {
		r, err := NewReader(bytes.NewReader(file))
		if err != nil {
			return
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
		if sum := c.Packets + c.Pieces + c.Truncated + c.Malformed + c.Other; sum != c.Records {
			t.Fatalf("%d records but %d verdicts: %+v", c.Records, sum, c)
		}
		c.Notes()
	})
}
