package capture

import (
	"math/bits"
	"net/netip"
	"slices"
	"time"
)

const (
	// maxOpen datagrams may be incomplete at once. A desk whose packets need
	// fragments sends their pieces back to back, so a few are plenty; with 64 KiB
	// each this bounds the memory at 1 MiB whatever a capture holds.
	maxOpen = 16

	// patience is how long the rest of a datagram may take in the capture's own
	// time. Identifications are used again after that.
	patience = 30 * time.Second
)

// pieceKey says which datagram a fragment belongs to, as RFC 791 and RFC 8200
// do. The protocol is always UDP here.
type pieceKey struct {
	from, to netip.Addr
	id       uint32
}

// pieces puts fragmented datagrams together. The zero value is ready. It is
// strict as receivers are: fragments that overlap or contradict each other
// never make a datagram. Exact repeats are ignored.
type pieces struct {
	open [maxOpen]partial
	lost uint64 // datagrams given up
}

// partial is one datagram on its way. In use while total or got is not zero.
type partial struct {
	key   pieceKey
	at    time.Time
	buf   []byte
	have  [maxUDP/8/64 + 1]uint64 // one bit for each 8 bytes of buf
	got   int                     // bytes
	end   int                     // the furthest byte seen
	total int                     // bytes; 0 until the last fragment comes
}

// add takes one fragment. The bytes it returns with whole are valid until the
// next add.
func (p *pieces) add(key pieceKey, offset int, more bool, body []byte, at time.Time) ([]byte, verdict) {
	end := offset + len(body)
	if len(body) == 0 || end > maxUDP || more && len(body)%8 != 0 {
		return nil, nonsense
	}
	d := p.find(key, at)
	d.at = at
	switch d.place(offset, more, body) {
	case repeated:
		return nil, piece
	case contradicted:
		p.lost++
		d.close()
		return nil, nonsense
	}
	if d.total == 0 || d.got < d.total {
		return nil, piece
	}
	joined := d.buf[:d.total]
	d.close()
	return joined, whole
}

// find is where the datagram is kept: where it began, else a free place, else
// the place of the one that has waited longest.
func (p *pieces) find(key pieceKey, at time.Time) *partial {
	oldest, free := &p.open[0], (*partial)(nil)
	for i := range p.open {
		d := &p.open[i]
		if !d.used() {
			free = d
			continue
		}
		if at.Sub(d.at) > patience {
			p.lost++
			d.close()
			free = d
			continue
		}
		if d.key == key {
			return d
		}
		if !oldest.used() || d.at.Before(oldest.at) {
			oldest = d
		}
	}
	if free == nil {
		p.lost++
		oldest.close()
		free = oldest
	}
	free.key = key
	return free
}

// unfinished counts the datagrams that are still waiting.
func (p *pieces) unfinished() (n uint64) {
	for i := range p.open {
		if p.open[i].used() {
			n++
		}
	}
	return n
}

func (d *partial) used() bool { return d.got > 0 }

func (d *partial) close() {
	clear(d.have[:])
	d.got, d.end, d.total = 0, 0, 0
}

type fit uint8

const (
	fresh fit = iota
	repeated
	contradicted
)

// place copies a fragment in. On fresh it has been taken; otherwise nothing has
// changed.
func (d *partial) place(offset int, more bool, body []byte) fit {
	end := offset + len(body)
	seen := d.seen(offset, end)
	units := (len(body) + 7) / 8
	switch {
	case seen == units && end <= d.end && (more || end == d.total):
		return repeated
	case seen > 0, d.total > 0 && (!more || end > d.total), !more && end < d.end:
		return contradicted
	}
	if len(d.buf) < end {
		d.buf = slices.Grow(d.buf, end-len(d.buf))[:end]
	}
	copy(d.buf[offset:], body)
	for u := offset / 8; u < (end+7)/8; u++ {
		d.have[u/64] |= 1 << (u % 64)
	}
	d.got += len(body)
	d.end = max(d.end, end)
	if !more {
		d.total = end
	}
	return fresh
}

// seen counts how many 8-byte units of a stretch are already there.
func (d *partial) seen(offset, end int) (n int) {
	for u := offset / 8; u < (end+7)/8; u++ {
		n += bits.OnesCount64(d.have[u/64] & (1 << (u % 64)))
	}
	return n
}
