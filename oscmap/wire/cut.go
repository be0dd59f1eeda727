package wire

import (
	"encoding/binary"
	"math/bits"
)

// cutAll goes past the arguments that tags promise, so that whoever walks them
// afterwards may rely on every one. It gives what is left of data.
func cutAll(tags, data []byte) (rest []byte, reason Reason) {
	// A count is enough, because OSC has one kind of bracket.
	depth := 0
	for _, tag := range tags {
		switch tag {
		case '[':
			depth++
		case ']':
			if depth--; depth < 0 {
				return nil, UnbalancedArray
			}
		default:
			// Numbers need no call: it would take a message of one float a tenth longer.
			n := sizes[tag]
			if n == 0 || n > len(data) {
				if n, reason = size(tag, data); reason != 0 {
					return nil, reason
				}
			}
			data = data[n:]
		}
	}
	if depth != 0 {
		return nil, UnbalancedArray
	}
	return data, 0
}

// sizes has the bytes of the arguments that all have as many, by the type tags of
// OSC 1.0.
var sizes = [256]int{'i': 4, 'f': 4, 'c': 4, 'r': 4, 'm': 4, 'h': 8, 'd': 8, 't': 8}

// size is how many bytes the argument at the start of data takes, if not as many as
// sizes has.
func size(tag byte, data []byte) (n int, reason Reason) {
	rest := data
	switch tag {
	case 'T', 'F', 'N', 'I':
	case 's', 'S':
		_, rest, reason = cutString(data)
	case 'b':
		rest, reason = cutBlob(data)
	default:
		if sizes[tag] > 0 {
			return 0, TruncatedArgument
		}
		return 0, UnknownTag
	}
	return len(data) - len(rest), reason
}

// cutString splits b, whose size is a multiple of four, after the OSC-string
// at its start. It looks at four bytes at a time: the string ends in the first
// word that has a NUL, and from there on that word must be NUL.
func cutString(b []byte) (s, rest []byte, reason Reason) {
	for i := 0; i+4 <= len(b); i += 4 {
		w := binary.LittleEndian.Uint32(b[i:])
		// The lowest bit that stays is the highest of the first byte that is zero.
		ends := (w - 0x01010101) &^ w & 0x80808080
		if ends == 0 {
			continue
		}
		n := bits.TrailingZeros32(ends) / 8
		if w>>(8*n) != 0 {
			return nil, nil, BadPadding
		}
		return b[: i+n : i+n], b[i+4:], 0
	}
	return nil, nil, UnterminatedString
}

// cutBlob gives what follows the blob at the start of b, whose size is a multiple of
// four. The size of a blob does not count the padding.
func cutBlob(b []byte) (rest []byte, reason Reason) {
	if len(b) < 4 {
		return nil, TruncatedArgument
	}
	size := uint64(binary.BigEndian.Uint32(b))
	b = b[4:]
	end := (size + 3) &^ 3 // in 64 bits, where no size can overflow
	if end > uint64(len(b)) {
		return nil, BlobSize
	}
	if !zero(b[size:end]) {
		return nil, BadPadding
	}
	return b[end:], 0
}

func zero(b []byte) bool {
	for _, c := range b {
		if c != 0 {
			return false
		}
	}
	return true
}
