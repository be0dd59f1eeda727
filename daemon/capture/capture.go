// Package capture keeps what a desk sent in a file, and reads such files back.
//
// The files are pcapng, the open capture format, so that any packet tool can
// open what Pawl wrote and Pawl can read what any packet tool wrote, older pcap
// files included. Each record that it writes holds one datagram as it arrived,
// with its time to the nanosecond and the addresses it went between. What came
// over a TCP link is written one packet to a record, as if each had been a
// datagram.
//
// Read are UDP, put together from fragments if need be, and TCP as any packet
// tool captured it: each direction of a connection is put in order, and its OSC
// packets are told apart by the framing that the caller names. Either way a
// capture is a list of whole OSC packets.
//
// A packet's inside is not looked at, but for the first byte of what came out of
// TCP, which tells OSC from the traffic of others. The package opens no sockets, and
// files only where it keeps a folder of them: else the caller brings an io.Reader or an
// io.Writer.
package capture

import (
	"net/netip"
	"time"
)

// Packet is one datagram, or one OSC packet out of TCP. The zero value is an empty packet from nowhere.
type Packet struct {
	// At is when it arrived, to the nanosecond; out of TCP, when the segment
	// came that completed it. A Reader never hands on a packet with a time
	// before that of the packet ahead of it.
	At time.Time

	// From and To are the two ends. IPv4 addresses are plain ones, never
	// IPv4-mapped IPv6.
	From, To netip.AddrPort

	// Data is the payload, without any header; it may be empty. Whoever hands
	// out a Packet says how long Data stays valid.
	Data []byte
}
