package wire

import (
	"bytes"
	"encoding/binary"
	"math"
)

// Arg is one argument. Its Tag says which of the fields hold something; the
// others are zero.
//
//	i h c    Number, and Bits for the whole integer where Number would round it
//	f d      Number, which may be NaN or infinite: it is what the sender sent
//	T F      Number, 1 and 0
//	s S b    Bytes, without padding
//	t r m    Bits: a TimeTag; red, green, blue, alpha; port, status, two data bytes
//	N I      nothing
type Arg struct {
	// Tag is the OSC type tag, one of "ifsbhtdScrmTFNI".
	Tag byte
	// Number is the value of a number. It is exact but for an h beyond 2 to the 53rd.
	Number float64
	// Bytes lie in the packet.
	Bytes []byte
	// Bits are sign-extended for i, h and c, so int64(Bits) is the integer.
	Bits uint64
}

// IsNumber reports whether Number holds the argument: tags i f h d c T F.
func (a *Arg) IsNumber() bool {
	switch a.Tag {
	case 'i', 'f', 'h', 'd', 'c', 'T', 'F':
		return true
	}
	return false
}

// IsText reports whether Bytes hold characters: tags s S. Nothing promises
// that they are ASCII or UTF-8.
func (a *Arg) IsText() bool { return a.Tag == 's' || a.Tag == 'S' }

// IsBlob reports whether Bytes hold a blob: tag b. A blob may have no bytes.
func (a *Arg) IsBlob() bool { return a.Tag == 'b' }

// Args walks the arguments of a message. The brackets of arrays are not
// arguments, and the walk goes through them. The zero value has none. An Args is
// used from one goroutine.
type Args struct {
	tags, data []byte
	tag, at    int // the next to look at in either
	arg        Arg
}

// Next moves to the next argument and reports whether there is one.
func (a *Args) Next() bool {
	for a.tag < len(a.tags) {
		tag := a.tags[a.tag]
		a.tag++
		if tag != '[' && tag != ']' {
			return a.take(tag)
		}
	}
	return false
}

// Arg is the argument that Next moved to. It holds until the next call of Next.
func (a *Args) Arg() *Arg { return &a.arg }

// take reads one argument from the front of the data. A Reader has checked
// that the argument is there; in a message made by hand it may be missing, and
// then the walk is over.
func (a *Args) take(tag byte) bool {
	data := a.data[a.at:]
	n := sizes[tag]
	if n == 0 || n > len(data) {
		var reason Reason
		if n, reason = size(tag, data); reason != 0 {
			a.tag = len(a.tags)
			return false
		}
	}
	a.at += n
	switch tag {
	case 'f':
		a.arg.set(tag, float64(math.Float32frombits(binary.BigEndian.Uint32(data))), 0)
	case 'i', 'c':
		n := int32(binary.BigEndian.Uint32(data))
		a.arg.set(tag, float64(n), uint64(int64(n)))
	case 'r', 'm':
		a.arg.set(tag, 0, uint64(binary.BigEndian.Uint32(data)))
	case 'd':
		a.arg.set(tag, math.Float64frombits(binary.BigEndian.Uint64(data)), 0)
	case 'h':
		bits := binary.BigEndian.Uint64(data)
		a.arg.set(tag, float64(int64(bits)), bits)
	case 't':
		a.arg.set(tag, 0, binary.BigEndian.Uint64(data))
	case 's', 'S':
		end := bytes.IndexByte(data, 0)
		a.arg = Arg{Tag: tag, Bytes: data[:end:end]}
	case 'b':
		end := 4 + int(binary.BigEndian.Uint32(data))
		a.arg = Arg{Tag: tag, Bytes: data[4:end:end]}
	case 'T':
		a.arg.set(tag, 1, 0)
	default:
		a.arg.set(tag, 0, 0)
	}
	return true
}

// set sets what is no text and no blob. Field by field and with an offset instead
// of shorter slices: storing a pointer tells the garbage collector of it, and that
// was a fifth of the time it took to read a message of one float.
func (a *Arg) set(tag byte, number float64, bits uint64) {
	a.Tag, a.Number, a.Bits = tag, number, bits
	if a.Bytes != nil {
		a.Bytes = nil
	}
}
