package capture

import (
	"bytes"
	"net/netip"
	"time"

	"github.com/gopacket/gopacket/ip4defrag"
	"github.com/gopacket/gopacket/ip6defrag"
	"github.com/gopacket/gopacket/layers"
)

const (
	// maxOpen datagrams may be incomplete at once. A desk whose packets need
	// fragments sends their pieces back to back, so a few are plenty. Pieces of
	// eight bytes cost the most to keep, about 2 MiB a datagram, which bounds the
	// memory at 32 MiB whatever a capture holds.
	maxOpen = 16

	// patience is how long the rest of a datagram may take in the capture's own
	// time. Identifications are used again after that.
	patience = 30 * time.Second
)

// pieceKey says which datagram a fragment belongs to, as RFC 791 and RFC 8200 do.
type pieceKey struct {
	from, to netip.Addr
	protocol layers.IPProtocol
	id       uint32
}

// pieces puts fragmented datagrams together. The zero value is ready. Each
// datagram has a defragmenter to itself: those keep any number of datagrams for
// ever, and cannot be told to give up the one that has waited longest.
type pieces struct {
	open [maxOpen]partial
	lost uint64 // datagrams given up
}

// partial is one datagram on its way.
type partial struct {
	key  pieceKey
	used bool
	at   time.Time // of its last piece
	four *ip4defrag.IPv4Defragmenter
	six  *ip6defrag.IPv6Defragmenter
}

// piece4 takes the fragment in ip4, and opens the datagram if it was the last one
// missing.
func (o *opener) piece4(truncated bool, at time.Time) verdict {
	if !o.wanted(o.ip4.Protocol) {
		return other
	}
	if truncated {
		return short
	}
	d := o.pieces.find(o.pieceKey(o.ip4.Protocol, uint32(o.ip4.Id)), at)
	first := !d.used
	d.used = true
	fragment := o.ip4 // it is kept while the layer and the frame are used again
	fragment.Payload = bytes.Clone(fragment.Payload)
	joined, err := d.four.DefragIPv4WithTimestamp(&fragment, at)
	switch {
	case err != nil:
		// Fragments that overlap or contradict each other never make a datagram.
		d.used = false
		if !first {
			o.pieces.lost++
		}
		return nonsense
	case joined == nil:
		return piece
	}
	d.used = false
	return o.decode(joined.Protocol.LayerType(), joined.Payload, at)
}

// piece6 does the same for the fragment in ip6 and frag. The defragmenter does not
// say when fragments contradict each other; such a datagram is counted as lost
// once nothing more comes of it.
func (o *opener) piece6(truncated bool, at time.Time) verdict {
	if !o.wanted(o.frag.NextHeader) {
		return other
	}
	if truncated {
		return short
	}
	d := o.pieces.find(o.pieceKey(o.frag.NextHeader, o.frag.Identification), at)
	d.used = true
	fragment := o.frag
	fragment.Payload = bytes.Clone(fragment.Payload)
	joined := d.six.DefragIPv6(&layers.IPv6{SrcIP: o.ip6.SrcIP, DstIP: o.ip6.DstIP}, &fragment)
	if joined == nil {
		return piece
	}
	d.used = false
	return o.decode(joined.NextHeader.LayerType(), joined.Payload, at)
}

func (o *opener) wanted(p layers.IPProtocol) bool {
	o.hasTCP = p == layers.IPProtocolTCP
	return p == layers.IPProtocolUDP || o.hasTCP && o.readTCP
}

func (o *opener) pieceKey(protocol layers.IPProtocol, id uint32) pieceKey {
	return pieceKey{from: o.from.Addr(), to: o.to.Addr(), protocol: protocol, id: id}
}

// find is where the datagram is kept: where it began, else a free place, else
// the place of the one that has waited longest.
func (p *pieces) find(key pieceKey, at time.Time) *partial {
	oldest, free := &p.open[0], (*partial)(nil)
	for i := range p.open {
		d := &p.open[i]
		if d.used && at.Sub(d.at) > patience {
			p.giveUp(d)
		}
		switch {
		case !d.used:
			free = d
		case d.key == key:
			d.at = at
			return d
		case !oldest.used || d.at.Before(oldest.at):
			oldest = d
		}
	}
	if free == nil {
		p.giveUp(oldest)
		free = oldest
	}
	if free.four == nil {
		free.four, free.six = ip4defrag.NewIPv4Defragmenter(), ip6defrag.NewIPv6Defragmenter()
	}
	free.key, free.at = key, at
	return free
}

func (p *pieces) giveUp(d *partial) {
	p.lost++
	*d = partial{}
}

// unfinished counts the datagrams that are still waiting.
func (p *pieces) unfinished() (n uint64) {
	for i := range p.open {
		if p.open[i].used {
			n++
		}
	}
	return n
}
