package link

import (
	"net/netip"
	"sync"
	"time"
)

// Packet is what the desk sent in one datagram, or in one frame of a stream.
type Packet struct {
	// At is the daemon time at which it arrived.
	At time.Duration

	// Data is the packet's bytes; it may be empty. It is valid until the next
	// call of Take.
	Data []byte

	// From is who sent it. IPv4 addresses are plain ones.
	From netip.AddrPort
}

// Ready receives when packets wait to be taken. It holds one word however many
// packets there are: Take everything each time. It is never closed.
func (l *Link) Ready() <-chan struct{} { return l.ready }

// Take appends every packet that waits to dst, oldest first, and returns the
// longer slice. The Data of the packets it gave before is no longer valid. It
// does not wait; with nothing there, dst comes back as it is.
func (l *Link) Take(dst []Packet) []Packet { return l.queue.take(dst) }

// queue is two rings: the reader fills one while the engine works through the
// other. Nothing is allocated once they have grown to what is usual.
type queue struct {
	mu      sync.Mutex
	filling *ring
	taken   *ring
}

func (q *queue) init(packets, bytes int) {
	q.filling = &ring{slots: make([]slot, packets), max: bytes}
	q.taken = &ring{slots: make([]slot, packets), max: bytes}
}

// put keeps a copy of a packet and returns how many old ones had to go for it.
func (q *queue) put(at time.Duration, from netip.AddrPort, data []byte) (dropped uint64) {
	q.mu.Lock()
	defer q.mu.Unlock()
	return q.filling.put(at, from, data)
}

func (q *queue) take(dst []Packet) []Packet {
	q.mu.Lock()
	q.filling, q.taken = q.taken, q.filling
	q.filling.empty()
	q.mu.Unlock()
	return q.taken.appendTo(dst)
}

// ring keeps the newest packets in a bounded number of slots and of bytes. The
// bytes of a packet are never split around the end of the buffer.
type ring struct {
	slots []slot
	first int // of the slots in use
	n     int
	bytes []byte
	max   int // bytes it may grow to
	tail  int // where the next packet's bytes go
}

type slot struct {
	at       time.Duration
	from     netip.AddrPort
	off, len int
}

func (r *ring) empty() { r.first, r.n, r.tail = 0, 0, 0 }

func (r *ring) put(at time.Duration, from netip.AddrPort, data []byte) (dropped uint64) {
	// An empty packet takes a byte too, so that no two begin at the same place.
	size := max(len(data), 1)
	if size > r.max {
		return 1
	}
	if r.n == len(r.slots) {
		r.drop()
		dropped++
	}
	// As many as it takes: one large packet may need the place of several small ones.
	off, ok := r.room(size)
	for ; !ok; off, ok = r.room(size) {
		r.drop()
		dropped++
	}
	copy(r.bytes[off:], data)
	r.slots[(r.first+r.n)%len(r.slots)] = slot{at, from, off, len(data)}
	r.n++
	r.tail = off + size
	return dropped
}

// room finds where size bytes can go without touching a packet that waits.
func (r *ring) room(size int) (off int, ok bool) {
	if r.n == 0 {
		r.empty() // from the front, or a ring that is nearly full would grow for nothing
	}
	head := r.slots[r.first].off
	if last := r.slots[(r.first+r.n+len(r.slots)-1)%len(r.slots)].off; r.n > 0 && last < head {
		return r.tail, r.tail+size <= head // the newest have gone round
	}
	if r.tail+size > len(r.bytes) {
		r.grow(r.tail + size)
	}
	if r.tail+size <= len(r.bytes) {
		return r.tail, true
	}
	// What is left at the end stays unused: a packet in two parts would have to be
	// copied together again before it could be read.
	return 0, r.n > 0 && size <= head
}

// grow doubles the buffer as far as it may.
func (r *ring) grow(want int) {
	size := max(len(r.bytes), 16<<10)
	for size < want {
		size *= 2
	}
	if size = min(size, r.max); size > len(r.bytes) {
		r.bytes = append(r.bytes, make([]byte, size-len(r.bytes))...)
	}
}

func (r *ring) drop() {
	r.first = (r.first + 1) % len(r.slots)
	r.n--
}

func (r *ring) appendTo(dst []Packet) []Packet {
	for i := range r.n {
		s := &r.slots[(r.first+i)%len(r.slots)]
		dst = append(dst, Packet{At: s.at, From: s.from, Data: r.bytes[s.off : s.off+s.len : s.off+s.len]})
	}
	return dst
}
