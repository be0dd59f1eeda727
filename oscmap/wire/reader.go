package wire

import "encoding/binary"

const bundleHead = "#bundle\x00"

// Reader walks one packet at a time and gives its messages in the order they
// were written, those of nested bundles in their place. It allocates nothing
// and is used from one goroutine; keep one and Reset it for each packet.
//
//	for r.Reset(packet); r.Next(); {
//		m := r.Message()
//		…
//	}
//	if r.Err() != nil { … }
//
// Messages that stand before a fault have been given by then: a fault ends the
// packet, it does not take back. The zero value is ready and holds no packet.
type Reader struct {
	packet  []byte
	at      int // the next byte to look at
	element int // where the element in hand begins
	root    bool
	depth   int
	ends    [MaxDepth]int // of the bundles that the walk is inside, depth of them
	message Message
	bytes   []byte // of message
	skipped int
	err     Reason
}

// Reset begins a new packet and forgets the last one, its messages and its
// fault. The Reader only reads packet; the caller must leave it alone until
// the walk is over.
func (r *Reader) Reset(packet []byte) {
	r.packet = packet
	r.at, r.element, r.depth, r.skipped = 0, 0, 0, 0
	r.root, r.err = true, 0
}

// Next moves to the next message and reports whether there is one. It is false
// at the end of the packet and from the first fault on; Err tells which. A
// message that Next has accepted is whole: every argument is present.
func (r *Reader) Next() bool {
	for r.err == 0 {
		size, ok := r.nextElement()
		if !ok {
			return false
		}
		element := r.packet[r.element : r.element+size : r.element+size]
		switch element[0] {
		case '/':
			r.at += size
			r.bytes = element
			switch reason := r.message.read(element); reason {
			case 0:
				return true
			case UnknownTag:
				// How long its arguments are is not known, but where the message ends is.
				r.skipped++
			default:
				r.fail(reason)
			}
		case '#':
			r.enter(element)
		default:
			r.fail(NotOSC)
		}
	}
	return false
}

// Message is the message that Next moved to. It belongs to the Reader and
// holds until the next call of Next or Reset; before the first Next it is of
// no meaning.
func (r *Reader) Message() *Message { return &r.message }

// Bytes is that message as it lies in the packet, good for as long as Message is.
func (r *Reader) Bytes() []byte { return r.bytes }

// Err is nil, or the Reason that ended the packet. It allocates nothing.
func (r *Reader) Err() error {
	if r.err == 0 {
		return nil
	}
	return r.err
}

// Skipped counts the messages of this packet that were passed over because a
// type tag was unknown: OSC 1.0 asks that these be discarded, and their size
// is known, so the rest of the packet is still good.
func (r *Reader) Skipped() int { return r.skipped }

// nextElement finds the next message or bundle: the packet itself, or what
// follows the next size in the innermost bundle. It leaves at on its first byte.
func (r *Reader) nextElement() (size int, ok bool) {
	if r.root {
		r.root = false
		switch size = len(r.packet); {
		case size == 0:
			return 0, r.fail(EmptyPacket)
		case size%4 != 0:
			return 0, r.fail(OddSize)
		}
		return size, true
	}
	// Several may end at one place, an inner bundle being the last of its outer.
	for r.depth > 0 && r.at == r.ends[r.depth-1] {
		r.depth--
	}
	if r.depth == 0 {
		return 0, false
	}
	// Sizes are multiples of four throughout, so where one byte is left there are four.
	r.element = r.at // for the fault, if there is one
	left := r.ends[r.depth-1] - r.at - 4
	declared := binary.BigEndian.Uint32(r.packet[r.at:])
	if declared == 0 || declared%4 != 0 || uint64(declared) > uint64(left) {
		return 0, r.fail(ElementSize)
	}
	r.at += 4
	r.element = r.at
	return int(declared), true
}

// enter steps into a bundle and leaves at on its first element.
func (r *Reader) enter(element []byte) {
	switch {
	case len(element) < len(bundleHead) || string(element[:len(bundleHead)]) != bundleHead:
		r.fail(NotOSC)
	case len(element) < len(bundleHead)+8:
		r.fail(ShortBundle)
	case r.depth == MaxDepth:
		r.fail(TooDeep)
	default:
		r.ends[r.depth] = r.at + len(element)
		r.depth++
		r.at += len(bundleHead) + 8
	}
}

// fail ends the packet. It is always false, to be returned.
func (r *Reader) fail(reason Reason) bool {
	r.err = reason
	return false
}
