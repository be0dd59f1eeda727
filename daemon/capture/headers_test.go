package capture

import (
	"bytes"
	"encoding/binary"
	"net/netip"
	"slices"
	"testing"

	"github.com/gopacket/gopacket"
	"github.com/gopacket/gopacket/layers"
)

// peerDatagram is an IP packet as other senders make it.
func peerDatagram(t testing.TB, p Packet, id uint16) []byte {
	t.Helper()
	udp := &layers.UDP{SrcPort: layers.UDPPort(p.From.Port()), DstPort: layers.UDPPort(p.To.Port())}
	var ip gopacket.SerializableLayer
	if p.From.Addr().Is4() {
		l := &layers.IPv4{Version: 4, TTL: 64, Id: id, Protocol: layers.IPProtocolUDP,
			SrcIP: p.From.Addr().AsSlice(), DstIP: p.To.Addr().AsSlice()}
		udp.SetNetworkLayerForChecksum(l)
		ip = l
	} else {
		l := &layers.IPv6{Version: 6, HopLimit: 64, NextHeader: layers.IPProtocolUDP,
			SrcIP: p.From.Addr().AsSlice(), DstIP: p.To.Addr().AsSlice()}
		udp.SetNetworkLayerForChecksum(l)
		ip = l
	}
	return serialize(t, ip, udp, gopacket.Payload(p.Data))
}

func serialize(t testing.TB, l ...gopacket.SerializableLayer) []byte {
	t.Helper()
	buf := gopacket.NewSerializeBuffer()
	if err := gopacket.SerializeLayers(buf, gopacket.SerializeOptions{FixLengths: true, ComputeChecksums: true}, l...); err != nil {
		t.Fatal(err)
	}
	return buf.Bytes()
}

// TestHeadersAddUp reads the headers by the offsets of RFC 791, 768 and 8200, and
// adds everything up as RFC 1071 says: with its checksum it comes to all ones.
func TestHeadersAddUp(t *testing.T) {
	tests := []struct {
		name string
		p    Packet
	}{
		{"IPv4", Packet{From: desk, To: pawl, Data: []byte("/in/1/throw\x00,f\x00\x00\x3f\x00\x00\x00")}},
		{"IPv4, odd length", Packet{From: desk, To: pawl, Data: []byte{1, 2, 0xff}}},
		{"IPv4, empty", Packet{From: desk, To: pawl}},
		{"IPv4, many carries", Packet{From: desk, To: pawl, Data: bytes.Repeat([]byte{0xff}, 65507)}},
		{"IPv6", Packet{From: six, To: pwl6, Data: []byte("/in/1/throw\x00,f\x00\x00\x3f\x00\x00\x00")}},
		{"IPv6, odd length", Packet{From: six, To: pwl6, Data: []byte{1, 2, 0xff}}},
		{"IPv6, the longest", Packet{From: six, To: pwl6, Data: numbered(65527)}},
		{"IPv4 again", Packet{From: desk, To: pawl, Data: []byte("abcd")}},
	}
	var h headers // one for all, as a Writer has
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := h.around(tt.p)
			if err != nil {
				t.Fatal(err)
			}
			var addresses, body []byte
			var length int
			if tt.p.From.Addr().Is4() {
				addresses, length, body = got[12:20], int(binary.BigEndian.Uint16(got[2:]))-20, got[20:]
				if got[0] != 0x45 || got[9] != 17 || ones(got[:20]) != 0xffff {
					t.Errorf("header % x", got[:20])
				}
			} else {
				addresses, length, body = got[8:40], int(binary.BigEndian.Uint16(got[4:])), got[40:]
				if got[0] != 0x60 || got[6] != 17 {
					t.Errorf("header % x", got[:40])
				}
			}
			if want := slices.Concat(tt.p.From.Addr().AsSlice(), tt.p.To.Addr().AsSlice()); !bytes.Equal(addresses, want) {
				t.Errorf("addresses % x, want % x", addresses, want)
			}
			if length != len(body) || int(binary.BigEndian.Uint16(body[4:])) != len(body) || !bytes.Equal(body[8:], tt.p.Data) {
				t.Errorf("lengths %d and % x of %d bytes, or other data", length, body[4:6], len(body))
			}
			pseudo := binary.BigEndian.AppendUint16(append(bytes.Clone(addresses), 0, 17), uint16(len(body)))
			if sum := ones(append(pseudo, body...)); sum != 0xffff {
				t.Errorf("datagram adds up to %04x, want ffff", sum)
			}
		})
	}
}

// ones is the sum of RFC 1071 before it is inverted.
func ones(b []byte) (s uint32) {
	for i, c := range b {
		s += uint32(c) << (8 * (1 - i%2))
		s = s>>16 + s&0xffff
	}
	return s
}

// TestChecksumIsNeverZero finds a payload whose checksum comes out as zero,
// which RFC 768 says must be sent as all ones.
func TestChecksumIsNeverZero(t *testing.T) {
	from, to := netip.MustParseAddrPort("0.0.0.1:0"), netip.MustParseAddrPort("0.0.0.0:0")
	found := false
	var h headers
	for n := range 0x10000 {
		b, err := h.around(Packet{From: from, To: to, Data: []byte{byte(n >> 8), byte(n)}})
		if err != nil {
			t.Fatal(err)
		}
		check := uint16(b[26])<<8 | uint16(b[27])
		if check == 0 {
			t.Fatalf("payload %04x: checksum 0", n)
		}
		found = found || check == 0xffff
	}
	if !found {
		t.Error("no payload reached the case; the test proves nothing")
	}
}
