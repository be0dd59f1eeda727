package wire

import (
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
// arguments, and the walk goes through them. The zero value has none. An Args is used from one goroutine.
type Args struct {
	tags, data []byte
	arg        Arg
}

// Next moves to the next argument and reports whether there is one.
func (a *Args) Next() bool {
	for len(a.tags) > 0 {
		tag := a.tags[0]
		a.tags = a.tags[1:]
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
	switch storages[tag] {
	case word:
		if len(a.data) < 4 {
			return a.stop()
		}
		a.arg = wordArg(tag, binary.BigEndian.Uint32(a.data))
		a.data = a.data[4:]
	case twoWords:
		if len(a.data) < 8 {
			return a.stop()
		}
		a.arg = twoWordArg(tag, binary.BigEndian.Uint64(a.data))
		a.data = a.data[8:]
	case text:
		return a.takeBytes(tag, cutString)
	case blob:
		return a.takeBytes(tag, cutBlob)
	case nothing:
		a.arg = Arg{Tag: tag}
		if tag == 'T' {
			a.arg.Number = 1
		}
	default:
		return a.stop()
	}
	return true
}

func (a *Args) takeBytes(tag byte, cut func([]byte) ([]byte, []byte, Reason)) bool {
	b, rest, reason := cut(a.data)
	if reason != 0 {
		return a.stop()
	}
	a.arg, a.data = Arg{Tag: tag, Bytes: b}, rest
	return true
}

func (a *Args) stop() bool {
	a.tags = nil
	return false
}

func wordArg(tag byte, bits uint32) Arg {
	switch tag {
	case 'f':
		return Arg{Tag: tag, Number: float64(math.Float32frombits(bits))}
	case 'r', 'm':
		return Arg{Tag: tag, Bits: uint64(bits)}
	}
	n := int32(bits)
	return Arg{Tag: tag, Number: float64(n), Bits: uint64(int64(n))}
}

func twoWordArg(tag byte, bits uint64) Arg {
	switch tag {
	case 'd':
		return Arg{Tag: tag, Number: math.Float64frombits(bits)}
	case 't':
		return Arg{Tag: tag, Bits: bits}
	}
	return Arg{Tag: tag, Number: float64(int64(bits)), Bits: bits}
}
