package capture

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"net/netip"
	"time"

	"github.com/gopacket/gopacket"
	"github.com/gopacket/gopacket/layers"
	"github.com/gopacket/gopacket/pcapgo"
)

const (
	ipv4Header = 20
	udpHeader  = 8
	maxUDP     = 0xffff // bytes, with its header: all that its length field can say
)

// MostData is the longest payload that can be written between any two ends, in
// bytes: a datagram of IPv4.
const MostData = maxUDP - ipv4Header - udpHeader

// Writer writes datagrams to a pcapng file. Make one with NewWriter. It may be
// used from one goroutine only.
type Writer struct {
	ng      *pcapgo.NgWriter
	headers headers
	last    time.Time
}

// NewWriter begins a capture on w. The file's own header is written at once but
// stays in the buffer until Flush. Note is a remark for whoever opens the file,
// such as the name of the desk; it may be empty.
func NewWriter(w io.Writer, note string) (*Writer, error) {
	ng, err := pcapgo.NewNgWriterInterface(bufio.NewWriterSize(w, 64<<10), pcapgo.NgInterface{
		Name:        "pawl",
		Description: "datagrams from the desk; the IP and UDP headers are Pawl's own",
		LinkType:    layers.LinkTypeRaw,
		// Longer than any record, so that no reader believes a record was cut.
		SnapLength: 256 << 10,
	}, pcapgo.NgWriterOptions{SectionInfo: pcapgo.NgSectionInfo{Application: "pawl", Comment: note}})
	if err != nil {
		return nil, fmt.Errorf("begin capture: %w", err)
	}
	return &Writer{ng: ng}, nil
}

// Write adds one datagram. Data is copied, so the caller may reuse it at once. A
// time before the last one is written as the last one, so that the file's times
// never run backwards. An invalid or unspecified To is written as the
// unspecified address. It is an error, and nothing is written, if From is not a
// valid address, if the two ends are not of one family, or if Data is longer
// than a datagram can be (65,507 bytes in IPv4, 65,527 in IPv6).
func (w *Writer) Write(p Packet) error {
	if p.At.Before(w.last) {
		p.At = w.last
	}
	datagram, err := w.headers.around(p)
	if err != nil {
		return fmt.Errorf("write capture: %w", err)
	}
	info := gopacket.CaptureInfo{Timestamp: p.At, CaptureLength: len(datagram), Length: len(datagram)}
	if err := w.ng.WritePacket(info, datagram); err != nil {
		return fmt.Errorf("write capture: %w", err)
	}
	w.last = p.At
	return nil
}

// Flush hands everything written so far to the underlying writer. Call it at
// least once a second while a service runs, and before closing the file.
func (w *Writer) Flush() error {
	if err := w.ng.Flush(); err != nil {
		return fmt.Errorf("write capture: %w", err)
	}
	return nil
}

// missing says in the file how many packets should be in it and are not, as
// capturing tools do for those they lost. It is the sum since the file began.
func (w *Writer) missing(n uint64) error {
	err := w.ng.WriteInterfaceStats(0, pcapgo.NgInterfaceStatistics{
		LastUpdate: w.last, PacketsReceived: pcapgo.NgNoValue64, PacketsDropped: n,
	})
	if err != nil {
		return fmt.Errorf("write capture: %w", err)
	}
	return nil
}

// headers puts IP and UDP headers around a payload. Its layers and its buffer are
// used again and again, so that writing allocates nothing.
type headers struct {
	ip4    layers.IPv4
	ip6    layers.IPv6
	udp    layers.UDP
	data   gopacket.Payload
	a, b   [16]byte // the two addresses
	four   []gopacket.SerializableLayer
	six    []gopacket.SerializableLayer
	buffer gopacket.SerializeBuffer
}

// around is p as it would look inside an IP network, valid until the next call.
// Packets of more than one frame's size stay whole: a raw record has no frame to
// fit.
func (h *headers) around(p Packet) ([]byte, error) {
	from, to, err := ends(p)
	if err != nil {
		return nil, err
	}
	room := maxUDP
	if from.Addr().Is4() {
		room -= ipv4Header
	}
	if udpHeader+len(p.Data) > room {
		return nil, fmt.Errorf("a packet of %d bytes; a datagram holds at most %d", len(p.Data), room-udpHeader)
	}
	if h.buffer == nil {
		h.begin()
	}
	h.udp.SrcPort, h.udp.DstPort, h.data = layers.UDPPort(from.Port()), layers.UDPPort(to.Port()), p.Data
	all := h.address(from.Addr(), to.Addr())
	if err := gopacket.SerializeLayers(h.buffer, gopacket.SerializeOptions{FixLengths: true, ComputeChecksums: true}, all...); err != nil {
		return nil, err
	}
	return h.buffer.Bytes(), nil
}

func (h *headers) begin() {
	h.ip4 = layers.IPv4{Version: 4, TTL: 64, Protocol: layers.IPProtocolUDP, SrcIP: h.a[:4], DstIP: h.b[:4]}
	h.ip6 = layers.IPv6{Version: 6, HopLimit: 64, NextHeader: layers.IPProtocolUDP, SrcIP: h.a[:], DstIP: h.b[:]}
	h.four = []gopacket.SerializableLayer{&h.ip4, &h.udp, &h.data}
	h.six = []gopacket.SerializableLayer{&h.ip6, &h.udp, &h.data}
	h.buffer = gopacket.NewSerializeBuffer()
}

func (h *headers) address(from, to netip.Addr) []gopacket.SerializableLayer {
	h.ip4.Id++
	if from.Is4() {
		a, b := from.As4(), to.As4()
		copy(h.a[:], a[:])
		copy(h.b[:], b[:])
		_ = h.udp.SetNetworkLayerForChecksum(&h.ip4) // fails only for what is not IP
		return h.four
	}
	h.a, h.b = from.As16(), to.As16()
	_ = h.udp.SetNetworkLayerForChecksum(&h.ip6)
	return h.six
}

// ends are the two addresses in one family. A socket bound to every address
// reports its own end as unspecified and often of the other family; that says
// nothing, so it is written in the family of the sender.
func ends(p Packet) (from, to netip.AddrPort, err error) {
	from = netip.AddrPortFrom(p.From.Addr().Unmap().WithZone(""), p.From.Port())
	to = netip.AddrPortFrom(p.To.Addr().Unmap().WithZone(""), p.To.Port())
	if !from.IsValid() {
		return from, to, errors.New("the sender's address is missing")
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
