package capture

import (
	"encoding/binary"
	"net/netip"
	"time"
)

// verdict is what became of one record.
type verdict uint8

const (
	whole    verdict = iota // a datagram, ready
	piece                   // a fragment, kept until the rest comes
	other                   // not UDP over IP
	short                   // ends before its own headers say
	nonsense                // headers that contradict themselves
)

// opener takes a UDP datagram out of an IP packet. Its fields are what it found
// last.
type opener struct {
	pieces   pieces
	from, to netip.AddrPort
	data     []byte // inside the packet given, or inside pieces
}

func (o *opener) open(ip []byte, at time.Time) verdict {
	if len(ip) == 0 {
		return other
	}
	switch ip[0] >> 4 {
	case 4:
		return o.openIPv4(ip, at)
	case 6:
		return o.openIPv6(ip, at)
	}
	return other
}

func (o *opener) openIPv4(ip []byte, at time.Time) verdict {
	if len(ip) < ipv4Header {
		return short
	}
	if ip[9] != protocolUDP {
		return other
	}
	header, total := int(ip[0]&15)*4, int(binary.BigEndian.Uint16(ip[2:]))
	if total == 0 {
		total = len(ip) // left to the network card to fill in
	}
	if header < ipv4Header || total < header {
		return nonsense
	}
	if total > len(ip) {
		return short
	}
	from, to := netip.AddrFrom4([4]byte(ip[12:16])), netip.AddrFrom4([4]byte(ip[16:20]))
	body, where := ip[header:total], binary.BigEndian.Uint16(ip[6:])
	if more, offset := where&0x2000 != 0, int(where&0x1fff)*8; more || offset > 0 {
		key := pieceKey{from: from, to: to, id: uint32(binary.BigEndian.Uint16(ip[4:]))}
		return o.collect(key, offset, more, body, at)
	}
	return o.openUDP(from, to, body)
}

func (o *opener) openIPv6(ip []byte, at time.Time) verdict {
	if len(ip) < ipv6Header {
		return short
	}
	from, to := netip.AddrFrom16([16]byte(ip[8:24])), netip.AddrFrom16([16]byte(ip[24:40]))
	next, body := ip[6], ip[ipv6Header:]
	if n := int(binary.BigEndian.Uint16(ip[4:])); n > len(body) {
		if next != protocolUDP {
			return other
		}
		return short
	} else if n > 0 { // zero: left to the network card to fill in
		body = body[:n]
	}
	for {
		switch next {
		case protocolUDP:
			return o.openUDP(from, to, body)
		case 0, 43, 60: // hop-by-hop, routing, destination options
			if len(body) < 8 {
				return nonsense
			}
			n := (int(body[1]) + 1) * 8
			if n > len(body) {
				return nonsense
			}
			next, body = body[0], body[n:]
		case 44: // fragment
			if len(body) < 8 {
				return nonsense
			}
			where := binary.BigEndian.Uint16(body[2:])
			more, offset := where&1 != 0, int(where>>3)*8
			key := pieceKey{from: from, to: to, id: binary.BigEndian.Uint32(body[4:])}
			next, body = body[0], body[8:]
			if !more && offset == 0 {
				continue
			}
			if next != protocolUDP {
				return other
			}
			return o.collect(key, offset, more, body, at)
		default:
			return other
		}
	}
}

func (o *opener) collect(key pieceKey, offset int, more bool, body []byte, at time.Time) verdict {
	joined, v := o.pieces.add(key, offset, more, body, at)
	if v != whole {
		return v
	}
	return o.openUDP(key.from, key.to, joined)
}

// openUDP does not look at the checksum: a capture made on the machine that
// sent the packet has wrong ones, since the network card fills them in.
func (o *opener) openUDP(from, to netip.Addr, body []byte) verdict {
	if len(body) < udpHeader {
		return nonsense
	}
	n := int(binary.BigEndian.Uint16(body[4:]))
	if n == 0 {
		n = len(body)
	}
	if n < udpHeader {
		return nonsense
	}
	if n > len(body) {
		return short
	}
	o.from = netip.AddrPortFrom(from, binary.BigEndian.Uint16(body))
	o.to = netip.AddrPortFrom(to, binary.BigEndian.Uint16(body[2:]))
	o.data = body[udpHeader:n]
	return whole
}
