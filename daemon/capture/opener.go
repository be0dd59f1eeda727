package capture

import (
	"net/netip"
	"time"

	"github.com/gopacket/gopacket"
	"github.com/gopacket/gopacket/layers"
)

// verdict is what became of one record.
type verdict uint8

const (
	whole    verdict = iota // a datagram, ready
	segment                 // a segment of TCP, in opener.tcp
	piece                   // a fragment, kept until the rest comes
	other                   // neither UDP nor TCP that is to be read
	short                   // ends before its own headers say
	nonsense                // headers that contradict themselves
)

// opener takes the UDP datagram or TCP segment out of a captured frame. The
// layers are decoded in place, so the fields hold what was found last.
type opener struct {
	eth  layers.Ethernet
	sll  layers.LinuxSLL
	sll2 layers.LinuxSLL2
	loop layers.Loopback
	tag  layers.Dot1Q
	ip4  layers.IPv4
	ip6  layers.IPv6
	skip layers.IPv6ExtensionSkipper
	frag layers.IPv6Fragment
	udp  layers.UDP
	tcp  layers.TCP

	known   gopacket.DecodingLayerSparse
	parsers []*gopacket.DecodingLayerParser // by the layer that they begin at
	decoded []gopacket.LayerType
	readTCP bool
	pieces  pieces

	from, to netip.AddrPort
	data     []byte // inside the frame given, or of its own if it came in pieces
	hasTCP   bool   // the frame holds TCP, read or not
}

func newOpener(readTCP bool) *opener {
	o := &opener{readTCP: readTCP}
	// The skipper also offers to skip fragment headers, so those come after it.
	all := []gopacket.DecodingLayer{&o.eth, &o.sll, &o.sll2, &o.loop, &o.tag, &o.ip4, &o.ip6, &o.skip, &o.frag, &o.udp}
	if readTCP {
		all = append(all, &o.tcp)
	}
	for _, l := range all {
		o.known = o.known.Put(l).(gopacket.DecodingLayerSparse)
	}
	o.parsers = make([]*gopacket.DecodingLayerParser, len(o.known))
	return o
}

// parser begins at the given layer. All of them decode into the same fields.
func (o *opener) parser(first gopacket.LayerType) *gopacket.DecodingLayerParser {
	p := o.parsers[first]
	if p == nil {
		p = gopacket.NewDecodingLayerParser(first)
		p.IgnoreUnsupported = true
		p.SetDecodingLayerContainer(o.known)
		o.parsers[first] = p
	}
	return p
}

// rawOld is what some systems write for raw IP instead of the registered 101.
const rawOld layers.LinkType = 12

// firstLayer is what a frame begins with, or zero if it is nothing that we read.
// Of raw IP the version field decides: it cannot contradict itself, while the
// link type can.
func firstLayer(link layers.LinkType, frame []byte) gopacket.LayerType {
	switch link {
	case layers.LinkTypeEthernet:
		return layers.LayerTypeEthernet
	case layers.LinkTypeLinuxSLL:
		return layers.LayerTypeLinuxSLL
	case layers.LinkTypeLinuxSLL2:
		return layers.LayerTypeLinuxSLL2
	case layers.LinkTypeNull, layers.LinkTypeLoop:
		return layers.LayerTypeLoopback
	}
	if len(frame) > 0 && known(link) {
		switch frame[0] >> 4 {
		case 4:
			return layers.LayerTypeIPv4
		case 6:
			return layers.LayerTypeIPv6
		}
	}
	return gopacket.LayerTypeZero
}

// known reports whether frames of this link type can be read.
func known(link layers.LinkType) bool {
	switch link {
	case layers.LinkTypeRaw, rawOld, layers.LinkTypeIPv4, layers.LinkTypeIPv6, layers.LinkTypeEthernet,
		layers.LinkTypeLinuxSLL, layers.LinkTypeLinuxSLL2, layers.LinkTypeNull, layers.LinkTypeLoop:
		return true
	}
	return false
}

func (o *opener) open(link layers.LinkType, frame []byte, at time.Time) verdict {
	o.hasTCP = false
	first := firstLayer(link, frame)
	if first == gopacket.LayerTypeZero {
		return other
	}
	if o.plain(first, frame) {
		return whole
	}
	return o.decode(first, frame, at)
}

// decode goes through the layers of data, and takes a datagram out of pieces. It does not look at checksums: a capture made on the machine that sent the
// packet has wrong ones, since the network card fills them in.
func (o *opener) decode(first gopacket.LayerType, data []byte, at time.Time) verdict {
	p := o.parser(first)
	if err := p.DecodeLayers(data, &o.decoded); err != nil {
		return nonsense
	}
	if len(o.decoded) == 0 {
		return other
	}
	o.hosts()
	switch o.decoded[len(o.decoded)-1] {
	case layers.LayerTypeUDP:
		if p.Truncated {
			return short
		}
		o.ports(uint16(o.udp.SrcPort), uint16(o.udp.DstPort))
		o.data = o.udp.Payload
		return whole
	case layers.LayerTypeTCP:
		// What is left of a segment that was cut can be read all the same.
		o.hasTCP = true
		o.ports(uint16(o.tcp.SrcPort), uint16(o.tcp.DstPort))
		return segment
	case layers.LayerTypeIPv4:
		if o.ip4.NextLayerType() == gopacket.LayerTypeFragment {
			return o.piece4(p.Truncated, at)
		}
		o.hasTCP = o.ip4.Protocol == layers.IPProtocolTCP
	case layers.LayerTypeIPv6:
		o.hasTCP = o.ip6.NextHeader == layers.IPProtocolTCP
	case layers.LayerTypeIPv6Fragment:
		return o.piece6(p.Truncated, at)
	}
	return other
}

// hosts notes the addresses of the innermost IP header. What was put together
// from pieces has none and keeps those of its last piece.
func (o *opener) hosts() {
	for i := len(o.decoded) - 1; i >= 0; i-- {
		switch o.decoded[i] {
		case layers.LayerTypeIPv4:
			o.from = netip.AddrPortFrom(netip.AddrFrom4([4]byte(o.ip4.SrcIP)), 0)
			o.to = netip.AddrPortFrom(netip.AddrFrom4([4]byte(o.ip4.DstIP)), 0)
			return
		case layers.LayerTypeIPv6:
			o.from = netip.AddrPortFrom(netip.AddrFrom16([16]byte(o.ip6.SrcIP)), 0)
			o.to = netip.AddrPortFrom(netip.AddrFrom16([16]byte(o.ip6.DstIP)), 0)
			return
		}
	}
}

func (o *opener) ports(from, to uint16) {
	o.from = netip.AddrPortFrom(o.from.Addr(), from)
	o.to = netip.AddrPortFrom(o.to.Addr(), to)
}
