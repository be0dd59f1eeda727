// Package wire turns the bytes of Open Sound Control packets into values, and
// values into bytes.
//
// It follows OSC 1.0 (Wright, CNMAT, 26 March 2002) with all of its optional
// types. Reading allocates nothing: addresses, strings and blobs are slices of
// the packet, good for as long as the packet is. A bundle is walked as it
// arrives, whatever its time tag says, because a desk whose clock runs ahead
// would otherwise be heard late.
//
// Bytes come from a network and are believed in nothing: a packet that breaks
// the rules gives a [Reason], never a panic. Strict where a wrong guess would
// invent a value: sizes in words of four bytes, NUL padding, every argument
// whole, every bracket closed. Lenient where the standard or honest senders
// need it: no type tag string at all, a blob of no bytes, a bundle of no
// elements, a nested bundle timed before its parent, and NUL words after the
// last argument, which come from senders with buffers of one fixed size.
//
// The package opens nothing, logs nothing, reads no clock and starts no
// goroutine; it knows nothing of desks.
package wire

// MaxPacket is the largest packet that AppendMessage and AppendBundle will
// make and that a Splitter passes on by default, in bytes. It is a little more
// than UDP can carry.
const MaxPacket = 65536

// MaxDepth is how many bundles may lie one inside the other. Real senders nest
// once or twice; the bound lets the walk keep its place without allocating.
const MaxDepth = 16

// TimeTag is an instant as OSC writes it: seconds since the start of the year
// 1900 in the upper 32 bits, fractions of a second in the lower.
type TimeTag uint64

// Immediately is the time tag that names no instant: at once, on arrival.
const Immediately TimeTag = 1
