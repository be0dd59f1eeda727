package capture

import (
	"encoding/binary"
	"net/netip"

	"github.com/gopacket/gopacket"
	"github.com/gopacket/gopacket/layers"
)

const etherHeader = 14

// plain opens what nearly every record holds, and all that Pawl writes over IPv4: a whole
// UDP datagram behind an IPv4 header without options. The general way through the layers
// takes several times as long, most of it for fields that nobody asks for. Whatever is
// otherwise in any way is left to it: false, and nothing is touched. TestPlainIsLayers
// holds one to the other.
func (o *opener) plain(first gopacket.LayerType, frame []byte) bool {
	ip := frame
	if first == layers.LayerTypeEthernet {
		if len(frame) < etherHeader || binary.BigEndian.Uint16(frame[etherHeader-2:]) != uint16(layers.EthernetTypeIPv4) {
			return false
		}
		ip, first = frame[etherHeader:], layers.LayerTypeIPv4
	}
	if first != layers.LayerTypeIPv4 || len(ip) < ipv4Header+udpHeader {
		return false
	}
	const (
		fourAndFive = 4<<4 | ipv4Header/4 // the version, and a header of so many words
		inPieces    = 0x3fff              // more fragments, and the offset of this one
	)
	if ip[0] != fourAndFive || ip[9] != byte(layers.IPProtocolUDP) || binary.BigEndian.Uint16(ip[6:])&inPieces != 0 {
		return false
	}
	packet := int(binary.BigEndian.Uint16(ip[2:])) // shorter than the frame if that was padded
	datagram := int(binary.BigEndian.Uint16(ip[ipv4Header+4:]))
	if packet > len(ip) || datagram < udpHeader || datagram > packet-ipv4Header {
		return false
	}
	udp := ip[ipv4Header : ipv4Header+datagram]
	o.from = netip.AddrPortFrom(netip.AddrFrom4([4]byte(ip[12:])), binary.BigEndian.Uint16(udp))
	o.to = netip.AddrPortFrom(netip.AddrFrom4([4]byte(ip[16:])), binary.BigEndian.Uint16(udp[2:]))
	o.data = udp[udpHeader:]
	return true
}
