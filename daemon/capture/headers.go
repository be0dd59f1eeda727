package capture

import (
	"encoding/binary"
	"fmt"
	"net/netip"
	"slices"
)

const (
	protocolUDP = 17
	ipv4Header  = 20
	ipv6Header  = 40
	udpHeader   = 8
	maxUDP      = 0xffff // bytes, with its header: all that its length field can say
)

// appendDatagram appends p as it would look inside an IP network. Packets of
// more than one frame's size stay whole: a raw record has no frame to fit.
func appendDatagram(dst []byte, p Packet, id uint16) ([]byte, error) {
	from, to, err := ends(p)
	if err != nil {
		return dst, err
	}
	room := maxUDP
	if from.Addr().Is4() {
		room -= ipv4Header
	}
	if udpHeader+len(p.Data) > room {
		return dst, fmt.Errorf("a packet of %d bytes; a datagram holds at most %d", len(p.Data), room-udpHeader)
	}
	dst = slices.Grow(dst, ipv6Header+udpHeader+len(p.Data))
	if from.Addr().Is4() {
		dst = appendIPv4(dst, from.Addr(), to.Addr(), udpHeader+len(p.Data), id)
	} else {
		dst = appendIPv6(dst, from.Addr(), to.Addr(), udpHeader+len(p.Data))
	}
	return appendUDP(dst, from, to, p.Data), nil
}

// ends are the two addresses in one family. A socket bound to every address
// reports its own end as unspecified and often of the other family; that says
// nothing, so it is written in the family of the sender.
func ends(p Packet) (from, to netip.AddrPort, err error) {
	from = netip.AddrPortFrom(p.From.Addr().Unmap().WithZone(""), p.From.Port())
	to = netip.AddrPortFrom(p.To.Addr().Unmap().WithZone(""), p.To.Port())
	if !from.IsValid() {
		return from, to, fmt.Errorf("the sender's address is missing")
	}
	if !to.IsValid() || to.Addr().IsUnspecified() {
		nowhere := netip.IPv6Unspecified()
		if from.Addr().Is4() {
			nowhere = netip.IPv4Unspecified()
		}
		to = netip.AddrPortFrom(nowhere, to.Port())
	}
	if from.Addr().Is4() != to.Addr().Is4() {
		return from, to, fmt.Errorf("from %v to %v: one end is IPv4, the other IPv6", from, to)
	}
	return from, to, nil
}

func appendIPv4(dst []byte, from, to netip.Addr, payload int, id uint16) []byte {
	start := len(dst)
	dst = append(dst, 0x45, 0)
	dst = binary.BigEndian.AppendUint16(dst, uint16(ipv4Header+payload))
	dst = binary.BigEndian.AppendUint16(dst, id)
	dst = append(dst, 0, 0, 64, protocolUDP, 0, 0)
	src, to4 := from.As4(), to.As4()
	dst = append(dst, src[:]...)
	dst = append(dst, to4[:]...)
	binary.BigEndian.PutUint16(dst[start+10:], fold(sum(0, dst[start:])))
	return dst
}

func appendIPv6(dst []byte, from, to netip.Addr, payload int) []byte {
	dst = append(dst, 0x60, 0, 0, 0)
	dst = binary.BigEndian.AppendUint16(dst, uint16(payload))
	dst = append(dst, protocolUDP, 64)
	src, to16 := from.As16(), to.As16()
	dst = append(dst, src[:]...)
	return append(dst, to16[:]...)
}

func appendUDP(dst []byte, from, to netip.AddrPort, data []byte) []byte {
	start, length := len(dst), uint16(udpHeader+len(data))
	dst = binary.BigEndian.AppendUint16(dst, from.Port())
	dst = binary.BigEndian.AppendUint16(dst, to.Port())
	dst = binary.BigEndian.AppendUint16(dst, length)
	dst = append(dst, 0, 0)
	dst = append(dst, data...)

	s := sum(uint64(protocolUDP)+uint64(length), dst[start:])
	s = sumAddr(sumAddr(s, from.Addr()), to.Addr())
	check := fold(s)
	if check == 0 {
		check = 0xffff // RFC 768: zero would mean that there is no checksum
	}
	binary.BigEndian.PutUint16(dst[start+6:], check)
	return dst
}

func sumAddr(s uint64, a netip.Addr) uint64 {
	if a.Is4() {
		b := a.As4()
		return sum(s, b[:])
	}
	b := a.As16()
	return sum(s, b[:])
}

// sum adds up b in 16-bit words, as RFC 1071 says. Four bytes at a time give
// the same once folded.
func sum(s uint64, b []byte) uint64 {
	for ; len(b) >= 4; b = b[4:] {
		s += uint64(binary.BigEndian.Uint32(b))
	}
	for ; len(b) >= 2; b = b[2:] {
		s += uint64(binary.BigEndian.Uint16(b))
	}
	if len(b) == 1 {
		s += uint64(b[0]) << 8
	}
	return s
}

func fold(s uint64) uint16 {
	for s > 0xffff {
		s = s>>16 + s&0xffff
	}
	return ^uint16(s)
}
