package capture

import (
	"fmt"
	"time"

	"pawl/oscmap/wire"
)

// Counts says what a capture held and what could not be used. The zero value is
// an empty capture. Every record is one of Packets without Streamed, Segments,
// Pieces, Truncated, Malformed and Other.
type Counts struct {
	Records     uint64 // in the file, of any kind
	Packets     uint64 // handed on: whole UDP datagrams, and OSC packets out of TCP
	Pieces      uint64 // records that held a fragment of a datagram yet incomplete
	Lost        uint64 // datagrams of which some fragment never came
	Truncated   uint64 // records cut by the capturing tool's length limit
	Malformed   uint64 // records whose headers contradict themselves
	Other       uint64 // records that are not UDP over IP, nor TCP that is read
	UnknownLink uint64 // those of Other that were captured on a kind of link we cannot read
	TCP         uint64 // those of Other that hold TCP, which is read only after ReadTCP
	Backwards   uint64 // records with a time before the last; they were given the last
	SetBack     uint64 // times the clock was set back by more than records overtake each other; time went on
	Missing     uint64 // packets that the capturing tool says it lost

	// Of TCP, if it is read. A stream is one direction of a connection. What is
	// wrong with a stream counts only if some OSC packet came out of it: the rest
	// is other people's traffic.
	Segments uint64 // records that held a segment of TCP
	Streamed uint64 // those of Packets that came out of TCP
	Gaps     uint64 // times that segments are missing in a stream
	Midway   uint64 // streams that had begun before the capture, or were taken up again in their middle
	Unframed uint64 // frames that are no OSC packets, and places where no frame could be told

	// CutShort is true if the file stops in the middle of a record, as it does
	// after a power cut. Everything before that was read.
	CutShort bool

	// Damaged is true if what stands behind the last record is none, and no end of it is to be
	// found, so that nothing after it was read.
	Damaged bool

	last    time.Time
	framing wire.Framing // of TCP, if it is read
}

// Notes are sentences for a person about everything that was not read or not
// read as it stood; none if all is well.
func (c Counts) Notes() []string {
	var notes []string
	add := func(n uint64, format string) {
		if n > 0 {
			notes = append(notes, fmt.Sprintf(format, n))
		}
	}
	add(c.Missing, "%d packets are missing: the capturing tool could not keep them")
	add(c.Truncated, "%d records were cut by the capturing tool; capture again without a length limit")
	add(c.Malformed, "%d records have headers that contradict themselves and were passed over")
	add(c.UnknownLink, "%d records come from a kind of link that is not read; want Ethernet, Linux cooked, loopback or raw IP")
	add(c.Lost, "%d fragmented datagrams are incomplete and were passed over")
	add(c.Gaps, "TCP segments are missing from the capture in %d places, and with them the packets that they held a part of")
	add(c.Midway, "%d TCP streams had begun before the capture; each is read from the first packet that begins in it")
	add(c.Unframed, "%d frames in TCP streams are not OSC packets and were passed over")
	add(c.Backwards, "%d records have a time before the record ahead of them and were given its time")
	add(c.SetBack, "the clock was set back %d times; from there on times are counted on from the record before")
	if c.CutShort {
		notes = append(notes, fmt.Sprintf("the file ends in the middle of a record; the %d packets before it were read", c.Packets))
	}
	if c.Damaged {
		notes = append(notes, fmt.Sprintf("the file is damaged after record %d, and what comes after cannot be read", c.Records))
	}
	if c.Packets == 0 {
		notes = append(notes, c.nothing())
	}
	return notes
}

// nothing says why there was no packet to hand on.
func (c Counts) nothing() string {
	switch {
	case c.TCP > 0:
		return fmt.Sprintf("the capture holds no UDP packets among its %d records; %d hold TCP, which is read if the map names its transport, tcp-slip or tcp-length",
			c.Records, c.TCP)
	case c.Segments > 0:
		return fmt.Sprintf("the capture holds no UDP packets among its %d records; %d hold TCP, but no OSC packet framed by %v",
			c.Records, c.Segments, c.framing)
	}
	return fmt.Sprintf("the capture holds no UDP packets among its %d records", c.Records)
}
