package capture

import (
	"net/netip"
	"time"

	"github.com/gopacket/gopacket"
	"github.com/gopacket/gopacket/layers"
	"github.com/gopacket/gopacket/reassembly"

	"pawl/oscmap/wire"
)

const (
	// maxStreams are followed at once; of more, the one that was silent longest is
	// given up. A desk and a few browsers beside it stay below.
	maxStreams = 64

	// maxHeld bounds what a stream keeps while a segment is missing, in the pages
	// of 1,900 bytes that the assembler keeps it in: about 1 MiB.
	maxHeld = 512

	// resend is how long a missing segment is waited for. A sender tries again
	// after 0.2, 0.4, 0.8 and 1.6 s (RFC 6298, with the shortest delay that is
	// common practice), so four times have come by then.
	resend = 3 * time.Second

	// farAway is a jump in sequence numbers that is no gap but another
	// connection between the same ends. Windows in use stay well below 16 MiB.
	farAway = 1 << 24
)

// streams puts TCP together. Each direction of a connection has an assembler to
// itself: one for all of them cannot be told to give up the one that has waited
// longest, nor that a new connection took the place of an old one.
type streams struct {
	framing wire.Framing
	between map[twoEnds]*stream
	all     []*stream
	turn    uint64 // counts segments, to tell which stream was silent longest
	closed  Counts // what streams counted that were given up

	ready []readyPacket
	given int    // of ready
	bytes []byte // the data of ready
}

type twoEnds struct{ from, to netip.AddrPort }

type readyPacket struct {
	ends       *twoEnds
	at         time.Time
	start, end int // in streams.bytes
}

func newStreams(f wire.Framing) *streams {
	return &streams{framing: f, between: map[twoEnds]*stream{}}
}

// next hands on a packet that is ready. None has a time before handed: where a
// gap was waited out, packets from elsewhere may have gone ahead.
func (s *streams) next(p *Packet, handed, now time.Time) bool {
	for s.given == len(s.ready) {
		s.given, s.ready, s.bytes = 0, s.ready[:0], s.bytes[:0]
		if !s.overdue(now) {
			return false
		}
	}
	r := &s.ready[s.given]
	s.given++
	*p = Packet{At: r.at, From: r.ends.from, To: r.ends.to, Data: s.bytes[r.start:r.end:r.end]}
	if p.At.Before(handed) {
		p.At = handed
	}
	return true
}

// overdue ends the wait of one stream that has waited long enough, so that what
// is ready at once stays bounded.
func (s *streams) overdue(now time.Time) bool {
	for _, h := range s.all {
		if h.waits() && now.Sub(h.held) >= resend {
			h.assembler.FlushWithOptions(reassembly.FlushOptions{T: now.Add(1 - resend)})
			h.held = now
			return true
		}
	}
	return false
}

// end gives up one stream with all that waits in it, and says false if none is
// left.
func (s *streams) end() bool {
	if len(s.all) == 0 {
		return false
	}
	last := len(s.all) - 1
	s.stop(s.all[last])
	s.all = s.all[:last]
	return true
}

// segment takes one segment.
func (s *streams) segment(from, to netip.AddrPort, t *layers.TCP, at time.Time) {
	s.turn++
	h := s.find(twoEnds{from, to}, t)
	if h == nil {
		return
	}
	if h.replacedBy(t) {
		s.stop(h)
		s.start(h, twoEnds{from, to})
	}
	h.turn = s.turn
	first := t.Seq
	if t.SYN {
		first++
	}
	after := first + uint32(len(t.Payload))
	came := &h.came
	if h.begun && int32(first-h.next) > 0 {
		came = new(arrival) // it is kept with what has to wait
	}
	*came = arrival{at, after}
	h.assembler.AssembleWithContext(gopacket.Flow{}, t, came)
	if h.begun && !h.ended && int32(after-h.next) > 0 {
		if !h.waits() {
			h.held = at
		}
		if int32(after-h.furthest) > 0 || !h.waits() {
			h.furthest = after
		}
	}
}

// find is the stream between two ends, begun if there is none and the segment
// has something in it.
func (s *streams) find(e twoEnds, t *layers.TCP) *stream {
	if h := s.between[e]; h != nil {
		return h
	}
	if len(t.Payload) == 0 && !t.SYN {
		return nil
	}
	var h *stream
	if len(s.all) < maxStreams {
		h = &stream{of: s}
		h.assembler = reassembly.NewAssembler(reassembly.NewStreamPool(h))
		h.assembler.MaxBufferedPagesPerConnection = maxHeld
		s.all = append(s.all, h)
	} else {
		h = s.all[0]
		for _, other := range s.all {
			if other.turn < h.turn {
				h = other
			}
		}
		s.stop(h)
	}
	s.start(h, e)
	return h
}

func (s *streams) start(h *stream, e twoEnds) {
	*h = stream{of: s, ends: &e, assembler: h.assembler, frames: frames{framing: s.framing}}
	s.between[e] = h
}

// stop hands on what waits in a stream and adds up what it counted.
func (s *streams) stop(h *stream) {
	h.assembler.FlushAll()
	h.count(&s.closed)
	delete(s.between, *h.ends)
}

func (s *streams) count(c *Counts) {
	c.framing = s.framing
	c.Streamed += s.closed.Streamed
	c.Gaps += s.closed.Gaps
	c.Midway += s.closed.Midway
	c.Unframed += s.closed.Unframed
	for _, h := range s.between {
		h.count(c)
	}
}

// stream is one direction of a TCP connection.
type stream struct {
	of        *streams
	ends      *twoEnds // never written to: packets that are ready point at it
	assembler *reassembly.Assembler
	frames    frames
	turn      uint64
	came      arrival // of a segment in order, which is done with at once

	begun    bool
	ended    bool      // by the sender
	first    uint32    // sequence number of the first byte
	next     uint32    // of the byte to be handed on next
	furthest uint32    // after the last byte seen
	held     time.Time // since when bytes wait for others to come before them
	at       time.Time // when the last byte handed on could have been read

	midway        bool
	packets, gaps uint64
}

// arrival is the time of a segment and the sequence number after it. The
// assembler keeps it beside the segment's bytes.
type arrival struct {
	at    time.Time
	after uint32
}

// GetCaptureInfo carries the sequence number in the field for a length, the only
// way through the assembler.
func (a *arrival) GetCaptureInfo() gopacket.CaptureInfo {
	return gopacket.CaptureInfo{Timestamp: a.at, Length: int(a.after)}
}

// waits reports whether bytes are held back because others are missing.
func (h *stream) waits() bool { return h.begun && int32(h.furthest-h.next) > 0 }

// replacedBy reports whether a segment belongs to a later connection between the
// same two ends.
func (h *stream) replacedBy(t *layers.TCP) bool {
	if !h.begun {
		return false
	}
	if t.SYN {
		return t.Seq+1 != h.first
	}
	if len(t.Payload) == 0 {
		return false
	}
	d := int32(t.Seq - h.next)
	return d > farAway || d < -farAway || h.ended && d > 0
}

// New is for the assembler, which asks for the stream when its first segment comes.
func (h *stream) New(_, _ gopacket.Flow, _ *layers.TCP, _ reassembly.AssemblerContext) reassembly.Stream {
	return h
}

// Accept begins with whatever comes first: a capture may begin in the middle of
// a connection.
func (h *stream) Accept(t *layers.TCP, _ gopacket.CaptureInfo, _ reassembly.TCPFlowDirection, _ reassembly.Sequence, start *bool, _ reassembly.AssemblerContext) bool {
	if h.begun {
		return true
	}
	*start = true
	h.begun, h.first = true, t.Seq
	if t.SYN {
		h.first++
	} else {
		h.midway, h.frames.lost = true, true
	}
	h.next, h.furthest = h.first, h.first
	return true
}

// ReassembledSG takes bytes that are in order. A byte could have been read once it
// and all before it had come, so its time is the latest of theirs.
func (h *stream) ReassembledSG(sg reassembly.ScatterGather, _ reassembly.AssemblerContext) {
	size, _ := sg.Lengths()
	_, _, ended, skipped := sg.Info()
	h.ended = ended
	if skipped > 0 {
		h.gaps++
		h.next += uint32(skipped)
		h.frames.lose()
	}
	if size == 0 {
		return
	}
	data := sg.Fetch(size)
	for done := 0; done < size; {
		info := sg.CaptureInfo(done)
		n := int(int32(uint32(info.Length) - h.next))
		if n <= 0 || n > size-done {
			n = size - done
		}
		if info.Timestamp.After(h.at) {
			h.at = info.Timestamp
		}
		h.frames.read(data[done:done+n], h.give)
		done += n
		h.next += uint32(n)
	}
}

// ReassemblyComplete has the assembler forget the connection.
func (h *stream) ReassemblyComplete(reassembly.AssemblerContext) bool { return true }

// give keeps a copy of a packet until Next asks for it.
func (h *stream) give(packet []byte) {
	h.packets++
	s := h.of
	start := len(s.bytes)
	s.bytes = append(s.bytes, packet...)
	s.ready = append(s.ready, readyPacket{ends: h.ends, at: h.at, start: start, end: len(s.bytes)})
}

func (h *stream) count(c *Counts) {
	if h.packets == 0 {
		return
	}
	c.Streamed += h.packets
	c.Gaps += h.gaps
	c.Unframed += h.frames.unread()
	if h.midway {
		c.Midway++
	}
}
