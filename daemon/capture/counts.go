package capture

import (
	"fmt"
	"time"
)

// Counts says what a capture held and what could not be used. The zero value is
// an empty capture.
type Counts struct {
	Records     uint64 // in the file, of any kind
	Packets     uint64 // whole UDP datagrams handed on
	Pieces      uint64 // records that held a fragment of a datagram yet incomplete
	Lost        uint64 // datagrams of which some fragment never came
	Truncated   uint64 // records cut by the capturing tool's length limit
	Malformed   uint64 // records whose headers contradict themselves
	Other       uint64 // records that are not UDP over IP
	UnknownLink uint64 // those of Other that were captured on a kind of link we cannot read
	Backwards   uint64 // records with a time before the last; they were given the last
	SetBack     uint64 // times the clock was set back by more than records overtake each other; time went on

	// CutShort is true if the file stops in the middle of a record, as it does
	// after a power cut. Everything before that was read.
	CutShort bool

	last time.Time
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
	add(c.Truncated, "%d records were cut by the capturing tool; capture again without a length limit")
	add(c.Malformed, "%d records have headers that contradict themselves and were passed over")
	add(c.UnknownLink, "%d records come from a kind of link that is not read; want Ethernet, Linux cooked, loopback or raw IP")
	add(c.Lost, "%d fragmented datagrams are incomplete and were passed over")
	add(c.Backwards, "%d records have a time before the record ahead of them and were given its time")
	add(c.SetBack, "the clock was set back %d times; from there on times are counted on from the record before")
	if c.CutShort {
		notes = append(notes, fmt.Sprintf("the file ends in the middle of a record; the %d packets before it were read", c.Packets))
	}
	if c.Packets == 0 {
		notes = append(notes, fmt.Sprintf("the capture holds no UDP packets among its %d records", c.Records))
	}
	return notes
}
