package wire

import (
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"strings"
)

// Symbol is a string that AppendMessage writes with the tag S.
type Symbol string

// Char is a character that AppendMessage writes with the tag c.
type Char rune

// RGBA is a colour that AppendMessage writes with the tag r, red in the
// highest byte.
type RGBA uint32

// MIDI is a MIDI message that AppendMessage writes with the tag m: port,
// status, two data bytes.
type MIDI [4]byte

// Impulse is the argument without a value that AppendMessage writes with the
// tag I, which OSC 1.0 calls Infinitum.
type Impulse struct{}

// AppendMessage appends an OSC message to dst and returns the longer slice. It
// serves asks, tests and the practice desk, and may allocate. On an error dst
// comes back as it was.
//
// What an argument becomes follows from its Go type: int and int32 i, int64 h,
// float32 f, float64 d, string s, Symbol S, []byte b, bool T or F, nil N,
// Impulse I, TimeTag t, Char c, RGBA r, MIDI m, and []any an array of such. A
// string with a NUL inside is an error, because its end would be lost, and so
// is an int beyond 32 bits, an address that does not begin with "/", and a
// message of more than MaxPacket bytes.
func AppendMessage(dst []byte, address string, args ...any) ([]byte, error) {
	if !strings.HasPrefix(address, "/") {
		return dst, fmt.Errorf("write message: address %q does not begin with \"/\"", address)
	}
	out, err := appendString(dst, address)
	if err != nil {
		return dst, fmt.Errorf("write message: address %q: %w", address, err)
	}
	tags, data, err := appendArgs([]byte{','}, nil, args)
	if err != nil {
		return dst, fmt.Errorf("write message %s: %w", address, err)
	}
	out = append(pad(append(out, tags...), len(out), 1), data...)
	if size := len(out) - len(dst); size > MaxPacket {
		return dst, fmt.Errorf("write message %s: %d bytes are more than %d", address, size, MaxPacket)
	}
	return out, nil
}

// AppendBundle appends a bundle with its elements, each a whole message or
// bundle, to dst and returns the longer slice. On an error dst comes back as
// it was: an element that is empty or not a multiple of four bytes, or a bundle
// of more than MaxPacket bytes.
func AppendBundle(dst []byte, at TimeTag, elements ...[]byte) ([]byte, error) {
	// On an error dst is returned: out may share its memory, but lies past its end.
	out := append(dst, bundleHead...)
	out = binary.BigEndian.AppendUint64(out, uint64(at))
	for i, element := range elements {
		if len(element) == 0 || len(element)%4 != 0 {
			return dst, fmt.Errorf("write bundle: element %d has %d bytes; want a multiple of 4", i, len(element))
		}
		out = binary.BigEndian.AppendUint32(out, uint32(len(element)))
		out = append(out, element...)
	}
	if size := len(out) - len(dst); size > MaxPacket {
		return dst, fmt.Errorf("write bundle: %d bytes are more than %d", size, MaxPacket)
	}
	return out, nil
}

// appendArgs appends the type tags of the arguments to one slice and their bytes
// to the other.
func appendArgs(tags, data []byte, args []any) (moreTags, moreData []byte, err error) {
	for i, arg := range args {
		if tags, data, err = appendArg(tags, data, arg); err != nil {
			return tags, data, fmt.Errorf("argument %d: %w", i, err)
		}
	}
	return tags, data, nil
}

func appendArg(tags, data []byte, arg any) (moreTags, moreData []byte, err error) {
	word := func(tag byte, bits uint32) ([]byte, []byte, error) {
		return append(tags, tag), binary.BigEndian.AppendUint32(data, bits), nil
	}
	twoWords := func(tag byte, bits uint64) ([]byte, []byte, error) {
		return append(tags, tag), binary.BigEndian.AppendUint64(data, bits), nil
	}
	switch v := arg.(type) {
	case nil:
		return append(tags, 'N'), data, nil
	case bool:
		if v {
			return append(tags, 'T'), data, nil
		}
		return append(tags, 'F'), data, nil
	case Impulse:
		return append(tags, 'I'), data, nil
	case int:
		if v < math.MinInt32 || v > math.MaxInt32 {
			return tags, data, fmt.Errorf("%d does not fit 32 bits; give an int64", v)
		}
		return word('i', uint32(v))
	case int32:
		return word('i', uint32(v))
	case Char:
		return word('c', uint32(v))
	case RGBA:
		return word('r', uint32(v))
	case float32:
		return word('f', math.Float32bits(v))
	case MIDI:
		return word('m', binary.BigEndian.Uint32(v[:]))
	case int64:
		return twoWords('h', uint64(v))
	case float64:
		return twoWords('d', math.Float64bits(v))
	case TimeTag:
		return twoWords('t', uint64(v))
	case string:
		data, err = appendString(data, v)
		return append(tags, 's'), data, err
	case Symbol:
		data, err = appendString(data, string(v))
		return append(tags, 'S'), data, err
	case []byte:
		data = binary.BigEndian.AppendUint32(data, uint32(len(v)))
		return append(tags, 'b'), pad(append(data, v...), len(data), 0), nil
	case []any:
		tags, data, err = appendArgs(append(tags, '['), data, v)
		return append(tags, ']'), data, err
	}
	return tags, data, fmt.Errorf("OSC has no type for a Go %T", arg)
}

var errNUL = errors.New("a NUL inside a string would end it")

func appendString(dst []byte, s string) ([]byte, error) {
	if strings.IndexByte(s, 0) >= 0 {
		return dst, errNUL
	}
	return pad(append(dst, s...), len(dst), 1), nil
}

// pad adds at least least NULs, and as many as make what follows start a
// multiple of four.
func pad(dst []byte, start, least int) []byte {
	size := len(dst) - start
	padded := (size + least + 3) &^ 3
	return append(dst, "\x00\x00\x00\x00"[:padded-size]...)
}
