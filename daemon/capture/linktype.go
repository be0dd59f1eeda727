package capture

import (
	"encoding/binary"

	"github.com/gopacket/gopacket/layers"
)

const (
	etherIPv4 = 0x0800
	etherIPv6 = 0x86dd
)

// rawOld is what some systems write for raw IP instead of the registered 101.
const rawOld layers.LinkType = 12

// networkPart is the IP packet inside a captured frame, or nil if there is none
// that we know how to find. The version field of the IP header decides between
// IPv4 and IPv6: it cannot contradict itself, while a frame's type can.
func networkPart(link layers.LinkType, frame []byte) []byte {
	switch link {
	case layers.LinkTypeRaw, rawOld, layers.LinkTypeIPv4, layers.LinkTypeIPv6:
		return frame
	case layers.LinkTypeEthernet:
		if len(frame) < 14 {
			return nil
		}
		return etherPart(binary.BigEndian.Uint16(frame[12:]), frame[14:])
	case layers.LinkTypeLinuxSLL:
		if len(frame) < 16 {
			return nil
		}
		return etherPart(binary.BigEndian.Uint16(frame[14:]), frame[16:])
	case layers.LinkTypeLinuxSLL2:
		if len(frame) < 20 {
			return nil
		}
		return etherPart(binary.BigEndian.Uint16(frame), frame[20:])
	case layers.LinkTypeNull, layers.LinkTypeLoop:
		// Four bytes of address family, in either byte order and with a number
		// for IPv6 that differs between systems.
		if len(frame) < 4 {
			return nil
		}
		return frame[4:]
	}
	return nil
}

// known reports whether networkPart can read frames of this link type.
func known(link layers.LinkType) bool {
	switch link {
	case layers.LinkTypeRaw, rawOld, layers.LinkTypeIPv4, layers.LinkTypeIPv6, layers.LinkTypeEthernet,
		layers.LinkTypeLinuxSLL, layers.LinkTypeLinuxSLL2, layers.LinkTypeNull, layers.LinkTypeLoop:
		return true
	}
	return false
}

// etherPart steps over VLAN tags, however many there are.
func etherPart(kind uint16, rest []byte) []byte {
	for {
		switch kind {
		case etherIPv4, etherIPv6:
			return rest
		case 0x8100, 0x88a8, 0x9100: // IEEE 802.1Q, 802.1ad, and the tag before it
			if len(rest) < 4 {
				return nil
			}
			kind, rest = binary.BigEndian.Uint16(rest[2:]), rest[4:]
		default:
			return nil
		}
	}
}
