package oscmap

import (
	"encoding/binary"
	"math"
)

// Layout is how a number lies in a blob. The zero value is none.
type Layout uint8

// The layouts that a map can name: whole numbers with and without a sign, floats,
// by their bits, the least (LE) or the most significant byte (BE) first.
const (
	Int8 Layout = iota + 1
	Uint8
	Int16LE
	Int16BE
	Uint16LE
	Uint16BE
	Int32LE
	Int32BE
	Uint32LE
	Uint32BE
	Float32LE
	Float32BE
	Float64LE
	Float64BE
)

// Words are the words a map may use.
func (Layout) Words() []string {
	return []string{"", "int8", "uint8", "int16-le", "int16-be", "uint16-le", "uint16-be", "int32-le", "int32-be",
		"uint32-le", "uint32-be", "float32-le", "float32-be", "float64-le", "float64-be"}
}

// String is the word that a map uses.
func (l Layout) String() string { return l.Words()[l] }

// Size is in bytes.
func (l Layout) Size() int {
	return [...]int{0, 1, 1, 2, 2, 2, 2, 4, 4, 4, 4, 4, 4, 8, 8}[l]
}

// Float reports whether the numbers have no bits to speak of.
func (l Layout) Float() bool { return l >= Float32LE }

// Read gives the number at the start of b, which must have Size bytes.
func (l Layout) Read(b []byte) float64 {
	le, be := binary.LittleEndian, binary.BigEndian
	switch l {
	case Int8:
		return float64(int8(b[0]))
	case Uint8:
		return float64(b[0])
	case Int16LE:
		return float64(int16(le.Uint16(b)))
	case Int16BE:
		return float64(int16(be.Uint16(b)))
	case Uint16LE:
		return float64(le.Uint16(b))
	case Uint16BE:
		return float64(be.Uint16(b))
	case Int32LE:
		return float64(int32(le.Uint32(b)))
	case Int32BE:
		return float64(int32(be.Uint32(b)))
	case Uint32LE:
		return float64(le.Uint32(b))
	case Uint32BE:
		return float64(be.Uint32(b))
	case Float32LE:
		return float64(math.Float32frombits(le.Uint32(b)))
	case Float32BE:
		return float64(math.Float32frombits(be.Uint32(b)))
	case Float64LE:
		return math.Float64frombits(le.Uint64(b))
	}
	return math.Float64frombits(be.Uint64(b))
}
