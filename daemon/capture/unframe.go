package capture

import (
	"bytes"
	"encoding/binary"
	"errors"

	"pawl/oscmap/wire"
)

// frames tells the OSC packets of one TCP stream apart. The framing itself is
// done by a wire.Splitter, as it is on a live link; what is added is to find a
// place to begin where bytes are missing.
type frames struct {
	framing  wire.Framing
	splitter *wire.Splitter
	rest     []byte // what the splitter has yet to read
	lost     bool   // the next byte may be in the middle of a packet
	faults   uint64
}

// errDry is told to the splitter when it has read all bytes that have come.
var errDry = errors.New("no more bytes yet")

// Read feeds the splitter.
func (f *frames) Read(b []byte) (int, error) {
	if len(f.rest) == 0 {
		return 0, errDry
	}
	n := copy(b, f.rest)
	f.rest = f.rest[n:]
	return n, nil
}

// read takes the next bytes of the stream, and gives the packets that end in them.
func (f *frames) read(data []byte, give func([]byte)) {
	if f.lost {
		begin := f.place(data)
		if begin < 0 {
			return
		}
		data, f.lost = data[begin:], false
	}
	if f.splitter == nil {
		f.splitter = wire.NewSplitter(f, f.framing, 0)
	}
	f.rest = data
	for {
		packet, err := f.splitter.Next()
		switch {
		case err == errDry:
			return
		case err != nil:
			// The size is none: this is no OSC, or not the framing that it has.
			f.faults++
			f.lose()
			return
		case !isOSC(packet):
			f.faults++
		default:
			give(packet)
		}
	}
}

// lose drops the packet that is on its way and has the next one looked for.
func (f *frames) lose() {
	f.faults += f.dropped()
	f.lost, f.splitter, f.rest = true, nil, nil
}

func (f *frames) dropped() uint64 {
	if f.splitter == nil {
		return 0
	}
	return uint64(f.splitter.Dropped())
}

// unread counts the frames that were not packets.
func (f *frames) unread() uint64 { return f.faults + f.dropped() }

// place is where in data a packet begins, or negative if that is not known. In
// SLIP an END stands nowhere but between packets. With length prefixes a place
// will do that reads as a size before a packet, with another after it.
func (f *frames) place(data []byte) int {
	if f.framing == wire.SLIP {
		return bytes.IndexByte(data, slipEnd)
	}
	for i := range data {
		size, ok := prefixed(data[i:])
		if !ok {
			continue
		}
		after := data[min(i+size, len(data)):]
		if _, ok := prefixed(after); ok || len(after) < shortestPrefixed {
			return i
		}
	}
	return -1
}

const (
	slipEnd = 0xc0 // RFC 1055

	// shortestPrefixed is a size and the first byte of its packet.
	shortestPrefixed = 5
)

// prefixed reports whether b begins with the size of a packet and its first byte,
// and how long both are.
func prefixed(b []byte) (int, bool) {
	if len(b) < shortestPrefixed {
		return 0, false
	}
	size := binary.BigEndian.Uint32(b)
	return 4 + int(size), size > 0 && size%4 == 0 && size <= wire.MaxPacket && begins(b[4])
}

// isOSC tells other people's traffic, which may have ENDs in it too, from OSC:
// a packet's size is a multiple of 4, and its first byte says that it is a
// message or a bundle (OSC 1.0).
func isOSC(packet []byte) bool { return len(packet)%4 == 0 && begins(packet[0]) }

func begins(c byte) bool { return c == '/' || c == '#' }
