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
func (a Arg) IsNumber() bool {
	switch a.Tag {
	case 'i', 'f', 'h', 'd', 'c', 'T', 'F':
		return true
	}
	return false
}

// IsText reports whether Bytes hold characters: tags s S. Nothing promises
// that they are ASCII or UTF-8.
func (a Arg) IsText() bool { return a.Tag == 's' || a.Tag == 'S' }

// IsBlob reports whether Bytes hold a blob: tag b. A blob may have no bytes.
func (a Arg) IsBlob() bool { return a.Tag == 'b' }

// Args walks the arguments of a message. The brackets of arrays are not
// arguments: the walk goes through them, and Depth tells when it is inside.
// The zero value has none. An Args is used from one goroutine.
type Args struct {
	tags, data []byte
	arg        Arg
	depth      int
	reason     Reason
}

// Next moves to the next argument and reports whether there is one.
func (a *Args) Next() bool {
	for len(a.tags) > 0 {
		tag := a.tags[0]
		a.tags = a.tags[1:]
		switch tag {
		case '[':
			a.depth++
		case ']':
			a.depth--
			if a.depth < 0 {
				return a.fail(UnbalancedArray)
			}
		default:
			return a.take(tag)
		}
	}
	return false
}

// Arg is the argument that Next moved to.
func (a *Args) Arg() Arg { return a.arg }

// Depth is how many arrays the argument lies in, 0 outside of any.
func (a *Args) Depth() int { return a.depth }

// take reads one argument from the front of the data.
func (a *Args) take(tag byte) bool {
	switch tag {
	case 'i', 'f', 'c', 'r', 'm':
		return a.take32(tag)
	case 'h', 'd', 't':
		return a.take64(tag)
	case 's', 'S':
		s, rest, reason := cutString(a.data)
		if reason != 0 {
			return a.fail(reason)
		}
		a.arg, a.data = Arg{Tag: tag, Bytes: s}, rest
	case 'b':
		return a.takeBlob()
	case 'T':
		a.arg = Arg{Tag: tag, Number: 1}
	case 'F', 'N', 'I':
		a.arg = Arg{Tag: tag}
	default:
		return a.fail(UnknownTag)
	}
	return true
}

func (a *Args) take32(tag byte) bool {
	if len(a.data) < 4 {
		return a.fail(TruncatedArgument)
	}
	bits := binary.BigEndian.Uint32(a.data)
	a.data = a.data[4:]
	switch tag {
	case 'f':
		a.arg = Arg{Tag: tag, Number: float64(math.Float32frombits(bits))}
	case 'r', 'm':
		a.arg = Arg{Tag: tag, Bits: uint64(bits)}
	default:
		n := int32(bits)
		a.arg = Arg{Tag: tag, Number: float64(n), Bits: uint64(int64(n))}
	}
	return true
}

func (a *Args) take64(tag byte) bool {
	if len(a.data) < 8 {
		return a.fail(TruncatedArgument)
	}
	bits := binary.BigEndian.Uint64(a.data)
	a.data = a.data[8:]
	switch tag {
	case 'd':
		a.arg = Arg{Tag: tag, Number: math.Float64frombits(bits)}
	case 't':
		a.arg = Arg{Tag: tag, Bits: bits}
	default:
		a.arg = Arg{Tag: tag, Number: float64(int64(bits)), Bits: bits}
	}
	return true
}

// takeBlob reads a size that does not count the padding, the bytes and the
// padding.
func (a *Args) takeBlob() bool {
	if len(a.data) < 4 {
		return a.fail(TruncatedArgument)
	}
	declared := binary.BigEndian.Uint32(a.data)
	body := a.data[4:]
	if uint64(declared) > uint64(len(body)) {
		return a.fail(BlobSize)
	}
	n := int(declared)
	end := padded(n)
	if end > len(body) {
		return a.fail(BlobSize)
	}
	if !zero(body[n:end]) {
		return a.fail(BadPadding)
	}
	a.arg, a.data = Arg{Tag: 'b', Bytes: body[:n:n]}, body[end:]
	return true
}

// fail ends the walk and remembers why. It is always false, to be returned.
func (a *Args) fail(reason Reason) bool {
	a.reason = reason
	a.tags = nil
	a.arg = Arg{}
	return false
}
