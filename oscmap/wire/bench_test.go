package wire

import (
	"fmt"
	"testing"

	"github.com/hypebeast/go-osc/osc"
)

// BenchmarkRead walks packets and looks at every argument; "library" parses the
// same bytes with the library that the differential tests use, for comparison.
func BenchmarkRead(b *testing.B) {
	var elements [][]byte
	for i := range 50 {
		elements = append(elements, message(b, fmt.Sprintf("/in/%d/throw", i+1), float32(i)/50))
	}
	for _, c := range []struct {
		name   string
		packet []byte
	}{
		{"one float", message(b, "/in/12/throw", float32(0.75))},
		{"bundle of 50 floats", inBundle(b, Immediately, elements...)},
		{"blob of 2 KiB", message(b, "/needles/in", make([]byte, 2048))},
	} {
		b.Run(c.name+"/wire", func(b *testing.B) {
			var r Reader
			b.ReportAllocs()
			for b.Loop() {
				walk(&r, c.packet)
			}
		})
		b.Run(c.name+"/library", func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := osc.ParsePacket(string(c.packet)); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkMatch(b *testing.B) {
	for _, c := range []struct{ name, pattern, address string }{
		{"star", "/in/*/quiet", "/in/12/quiet"},
		{"another part", "/in/*/quiet", "/hand/12/quiet"},
		{"list and set", "/in/{1,12}/s[a-z]nd?", "/in/12/send4"},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			pattern, address := []byte(c.pattern), []byte(c.address)
			for b.Loop() {
				Match(pattern, address)
			}
		})
	}
}
