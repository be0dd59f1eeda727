package oscmap

import (
	"encoding/binary"
	"math"
)

// layout is how a number lies in a blob.
type layout uint8

const (
	int8Layout layout = iota + 1
	uint8Layout
	int16LE
	int16BE
	uint16LE
	uint16BE
	int32LE
	int32BE
	uint32LE
	uint32BE
	float32LE
	float32BE
	float64LE
	float64BE
)

// Words are the words a map may use.
func (layout) Words() []string {
	return []string{"", "int8", "uint8", "int16-le", "int16-be", "uint16-le", "uint16-be", "int32-le", "int32-be",
		"uint32-le", "uint32-be", "float32-le", "float32-be", "float64-le", "float64-be"}
}

// size is in bytes.
func (l layout) size() int {
	return [...]int{0, 1, 1, 2, 2, 2, 2, 4, 4, 4, 4, 4, 4, 8, 8}[l]
}

// float reports whether the numbers have no bits to speak of.
func (l layout) float() bool { return l >= float32LE }

// read gives the number at the start of b, which is long enough.
func (l layout) read(b []byte) float64 {
	le, be := binary.LittleEndian, binary.BigEndian
	switch l {
	case int8Layout:
		return float64(int8(b[0]))
	case uint8Layout:
		return float64(b[0])
	case int16LE:
		return float64(int16(le.Uint16(b)))
	case int16BE:
		return float64(int16(be.Uint16(b)))
	case uint16LE:
		return float64(le.Uint16(b))
	case uint16BE:
		return float64(be.Uint16(b))
	case int32LE:
		return float64(int32(le.Uint32(b)))
	case int32BE:
		return float64(int32(be.Uint32(b)))
	case uint32LE:
		return float64(le.Uint32(b))
	case uint32BE:
		return float64(be.Uint32(b))
	case float32LE:
		return float64(math.Float32frombits(le.Uint32(b)))
	case float32BE:
		return float64(math.Float32frombits(be.Uint32(b)))
	case float64LE:
		return math.Float64frombits(le.Uint64(b))
	}
	return math.Float64frombits(be.Uint64(b))
}
