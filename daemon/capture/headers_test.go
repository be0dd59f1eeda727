package capture

import (
	"bytes"
	"net/netip"
	"testing"

	"github.com/gopacket/gopacket"
	"github.com/gopacket/gopacket/layers"
)

// peerDatagram builds the same IP packet with gopacket's own layers.
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

func TestHeadersAgreeWithPeer(t *testing.T) {
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
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := appendDatagram(nil, tt.p, 77)
			if err != nil {
				t.Fatal(err)
			}
			if want := peerDatagram(t, tt.p, 77); !bytes.Equal(got, want) {
				t.Errorf("got  % x\nwant % x", got[:min(64, len(got))], want[:min(64, len(want))])
			}
		})
	}
}

// TestChecksumIsNeverZero finds a payload whose checksum comes out as zero,
// which RFC 768 says must be sent as all ones.
func TestChecksumIsNeverZero(t *testing.T) {
	from, to := netip.MustParseAddrPort("0.0.0.1:0"), netip.MustParseAddrPort("0.0.0.0:0")
	found := false
	for n := range 0x10000 {
		b, err := appendDatagram(nil, Packet{From: from, To: to, Data: []byte{byte(n >> 8), byte(n)}}, 0)
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
