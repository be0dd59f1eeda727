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
			if _, data, reason = cut(tag, data); reason != 0 {
				return nil, reason
			}
		}
	}
	if depth != 0 {
		return nil, UnbalancedArray
	}
	return data, 0
}

// cut splits data after the argument at its start, by the type tags of OSC 1.0.
// The body leaves out its padding, and a blob's its size.
func cut(tag byte, data []byte) (body, rest []byte, reason Reason) {
	size := 0
	switch tag {
	case 'T', 'F', 'N', 'I':
	case 'i', 'f', 'c', 'r', 'm':
		size = 4
	case 'h', 'd', 't':
		size = 8
	case 's', 'S':
		return cutString(data)
	case 'b':
		return cutBlob(data)
	default:
		return nil, nil, UnknownTag
	}
	if len(data) < size {
		return nil, nil, TruncatedArgument
	}
	return data[:size], data[size:], 0
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

// cutBlob splits b, whose size is a multiple of four, after the blob at its
// start. The size of a blob does not count the padding.
func cutBlob(b []byte) (body, rest []byte, reason Reason) {
	if len(b) < 4 {
		return nil, nil, TruncatedArgument
	}
	size := binary.BigEndian.Uint32(b)
	b = b[4:]
	end := (uint64(size) + 3) &^ 3 // in 64 bits, where no size can overflow
	if end > uint64(len(b)) {
		return nil, nil, BlobSize
	}
	n := int(size)
	if !zero(b[n:end]) {
		return nil, nil, BadPadding
	}
	return b[:n:n], b[end:], 0
}

func zero(b []byte) bool {
	for _, c := range b {
		if c != 0 {
			return false
		}
	}
	return true
}
