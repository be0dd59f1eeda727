package survey

import (
	"encoding/binary"
	"math"
	"math/rand/v2"
	"testing"
)

// TestForms makes blobs of meters in many layouts and wants each found.
func TestForms(t *testing.T) {
	le, be := binary.LittleEndian, binary.BigEndian
	level := func(v float64) float64 { return v }
	power := func(v float64) float64 { return math.Pow(10, v/10) }
	for _, c := range []struct {
		name   string
		header func(n int) []byte
		number func(v float64) []byte
		value  func(float64) float64
		n      int
		want   string
		skip   int
	}{
		{"float32-le", nil, func(v float64) []byte { return le.AppendUint32(nil, math.Float32bits(float32(v))) }, level, 16, "float32-le", 0},
		{"float32-be of powers", nil, func(v float64) []byte { return be.AppendUint32(nil, math.Float32bits(float32(v))) }, power, 8, "float32-be", 0},
		{"float64-be", nil, func(v float64) []byte { return be.AppendUint64(nil, math.Float64bits(v)) }, level, 5, "float64-be", 0},
		{"int16-le of hundredths", nil, func(v float64) []byte { return le.AppendUint16(nil, uint16(int16(v*100))) }, level, 12, "int16-le", 0},
		{"int16-be of hundredths, counted", func(n int) []byte { return be.AppendUint16(nil, uint16(n)) },
			func(v float64) []byte { return be.AppendUint16(nil, uint16(int16(v*100))) }, level, 24, "int16-be", 2},
		{"int32-be of hundredths", nil, func(v float64) []byte { return be.AppendUint32(nil, uint32(int32(v*100))) }, level, 7, "int32-be", 0},
		{"float32-le after a word that stays", func(int) []byte { return []byte{9, 9, 9, 9} },
			func(v float64) []byte { return le.AppendUint32(nil, math.Float32bits(float32(v))) }, level, 16, "float32-le", 4},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := rand.New(rand.NewPCG(3, 4))
			var all []said
			levels := make([]float64, c.n)
			for i := range levels {
				levels[i] = -30 - 20*r.Float64()
			}
			for range 100 {
				var blob []byte
				if c.header != nil {
					blob = c.header(c.n)
				}
				for i := range levels {
					levels[i] += r.NormFloat64()
					blob = append(blob, c.number(c.value(levels[i]))...)
				}
				all = append(all, said{"/m", []any{blob}})
			}
			f, ok := surveyOf(t, all...).order[0].slots[0].form()
			if !ok || f.layout.String() != c.want || f.skip != c.skip || f.n != c.n {
				t.Errorf("got %s after %d, %d values, %v; want %s after %d, %d", f.layout, f.skip, f.n, ok, c.want, c.skip, c.n)
			}
		})
	}
}

// TestNoForm leaves alone what is no row of meters.
func TestNoForm(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for _, c := range []struct {
		name string
		blob func(i int) []byte
	}{
		{"sizes that differ", func(i int) []byte { return make([]byte, 4+i%3) }},
		{"noise", func(int) []byte {
			b := make([]byte, 63)
			for i := range b {
				b[i] = byte(r.Uint32())
			}
			return b
		}},
		{"too large", func(int) []byte { return make([]byte, 2*maxBlobBytes) }},
	} {
		t.Run(c.name, func(t *testing.T) {
			var all []said
			for i := range 50 {
				all = append(all, said{"/m", []any{c.blob(i)}})
			}
			if f, ok := surveyOf(t, all...).order[0].slots[0].form(); ok {
				t.Errorf("got %s after %d", f.layout, f.skip)
			}
		})
	}
}
