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
	tags, err := appendTags([]byte{','}, args)
	if err != nil {
		return dst, fmt.Errorf("write message %s: %w", address, err)
	}
	out = pad(append(out, tags...), len(out), 1)
	if out, err = appendArgs(out, args); err != nil {
		return dst, fmt.Errorf("write message %s: %w", address, err)
	}
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

func appendTags(dst []byte, args []any) ([]byte, error) {
	for i, arg := range args {
		if array, ok := arg.([]any); ok {
			inner, err := appendTags(append(dst, '['), array)
			if err != nil {
				return dst, err
			}
			dst = append(inner, ']')
			continue
		}
		tag, ok := tagOf(arg)
		if !ok {
			return dst, fmt.Errorf("argument %d: OSC has no type for a Go %T", i, arg)
		}
		dst = append(dst, tag)
	}
	return dst, nil
}

func tagOf(arg any) (tag byte, ok bool) {
	switch v := arg.(type) {
	case nil:
		return 'N', true
	case bool:
		if v {
			return 'T', true
		}
		return 'F', true
	case int, int32:
		return 'i', true
	case int64:
		return 'h', true
	case float32:
		return 'f', true
	case float64:
		return 'd', true
	case string:
		return 's', true
	case Symbol:
		return 'S', true
	case []byte:
		return 'b', true
	case TimeTag:
		return 't', true
	case Char:
		return 'c', true
	case RGBA:
		return 'r', true
	case MIDI:
		return 'm', true
	case Impulse:
		return 'I', true
	}
	return 0, false
}

func appendArgs(dst []byte, args []any) ([]byte, error) {
	for i, arg := range args {
		var err error
		if dst, err = appendArg(dst, arg); err != nil {
			return dst, fmt.Errorf("argument %d: %w", i, err)
		}
	}
	return dst, nil
}

// appendArg writes the bytes of an argument whose type appendTags has passed.
func appendArg(dst []byte, arg any) ([]byte, error) {
	switch v := arg.(type) {
	case int:
		if v < math.MinInt32 || v > math.MaxInt32 {
			return dst, fmt.Errorf("%d does not fit 32 bits; give an int64", v)
		}
		return binary.BigEndian.AppendUint32(dst, uint32(v)), nil
	case int32:
		return binary.BigEndian.AppendUint32(dst, uint32(v)), nil
	case Char:
		return binary.BigEndian.AppendUint32(dst, uint32(v)), nil
	case RGBA:
		return binary.BigEndian.AppendUint32(dst, uint32(v)), nil
	case float32:
		return binary.BigEndian.AppendUint32(dst, math.Float32bits(v)), nil
	case int64:
		return binary.BigEndian.AppendUint64(dst, uint64(v)), nil
	case float64:
		return binary.BigEndian.AppendUint64(dst, math.Float64bits(v)), nil
	case TimeTag:
		return binary.BigEndian.AppendUint64(dst, uint64(v)), nil
	case MIDI:
		return append(dst, v[:]...), nil
	case string:
		return appendString(dst, v)
	case Symbol:
		return appendString(dst, string(v))
	case []byte:
		dst = binary.BigEndian.AppendUint32(dst, uint32(len(v)))
		return pad(append(dst, v...), len(dst), 0), nil
	case []any:
		return appendArgs(dst, v)
	}
	return dst, nil
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
