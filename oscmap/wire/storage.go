package wire

import (
	"encoding/binary"
	"math/bits"
)

// storage is how an argument is kept in a packet. Zero is the storage of
// a tag that OSC 1.0 does not have.
type storage uint8

const (
	nothing  storage = iota + 1 // the tag says it all
	word                        // four bytes, the highest first
	twoWords                    // eight
	text                        // characters, a NUL, NULs to a multiple of four
	blob                        // a size, so many bytes, NULs to a multiple of four
)

// storages has the type tags of OSC 1.0, brackets aside.
var storages = [256]storage{
	'T': nothing, 'F': nothing, 'N': nothing, 'I': nothing,
	'i': word, 'f': word, 'c': word, 'r': word, 'm': word,
	'h': twoWords, 'd': twoWords, 't': twoWords,
	's': text, 'S': text,
	'b': blob,
}

// skipAll goes past the arguments that tags promise, so that whoever walks them
// afterwards may rely on every one. It gives what is left of data.
func skipAll(tags, data []byte) (rest []byte, reason Reason) {
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
			if data, reason = skip(tag, data); reason != 0 {
				return nil, reason
			}
		}
	}
	if depth != 0 {
		return nil, UnbalancedArray
	}
	return data, 0
}

func skip(tag byte, data []byte) (rest []byte, reason Reason) {
	switch storages[tag] {
	case nothing:
		return data, 0
	case word:
		if len(data) < 4 {
			return nil, TruncatedArgument
		}
		return data[4:], 0
	case twoWords:
		if len(data) < 8 {
			return nil, TruncatedArgument
		}
		return data[8:], 0
	case text:
		_, rest, reason = cutString(data)
		return rest, reason
	case blob:
		_, rest, reason = cutBlob(data)
		return rest, reason
	}
	return nil, UnknownTag
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
