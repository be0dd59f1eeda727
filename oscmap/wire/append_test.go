package wire

import (
	"fmt"
	"math"
	"strconv"
	"testing"
)

func TestAppendMessageErrors(t *testing.T) {
	for _, c := range []struct {
		name, address string
		args          []any
		want          string
	}{
		{"no address", "", nil, `write message: address "" does not begin with "/"`},
		{"no slash", "a", nil, `write message: address "a" does not begin with "/"`},
		{"NUL in the address", "/a\x00b", nil, `write message: address "/a\x00b": a NUL inside a string would end it`},
		{"NUL in a string", "/a", []any{1, "b\x00"}, `write message /a: argument 1: a NUL inside a string would end it`},
		{"NUL in a symbol", "/a", []any{Symbol("\x00b")}, `write message /a: argument 0: a NUL inside a string would end it`},
		{"NUL in an array", "/a", []any{0, []any{"\x00"}}, `write message /a: argument 1: argument 0: a NUL inside a string would end it`},
		{"no such type", "/a", []any{1, uint(2)}, `write message /a: argument 1: OSC has no type for a Go uint`},
		{"no such type in an array", "/a", []any{[]any{complex(1, 2)}}, `write message /a: argument 0: argument 0: OSC has no type for a Go complex128`},
		{"too long", "/a", []any{make([]byte, MaxPacket)}, `write message /a: 65548 bytes are more than 65536`},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := AppendMessage([]byte("kept"), c.address, c.args...)
			if err == nil || err.Error() != c.want {
				t.Errorf("got  %v\nwant %s", err, c.want)
			}
			if string(got) != "kept" {
				t.Errorf("got %q, want what was there", got)
			}
		})
	}
}

// TestAppendWideInt needs an int of 64 bits to have one that does not fit.
func TestAppendWideInt(t *testing.T) {
	if strconv.IntSize < 64 {
		t.Skip("every int fits 32 bits here")
	}
	for _, wide := range []int64{math.MaxInt32 + 1, math.MinInt32 - 1} {
		want := fmt.Sprintf("write message /a: argument 0: %d does not fit 32 bits; give an int64", wide)
		if _, err := AppendMessage(nil, "/a", int(wide)); err == nil || err.Error() != want {
			t.Errorf("got  %v\nwant %s", err, want)
		}
	}
}

func TestAppendBundleErrors(t *testing.T) {
	for _, c := range []struct {
		name    string
		element []byte
		want    string
	}{
		{"empty", nil, "write bundle: element 0 has 0 bytes; want a multiple of 4"},
		{"odd", make([]byte, 6), "write bundle: element 0 has 6 bytes; want a multiple of 4"},
		{"too long", make([]byte, MaxPacket), "write bundle: 65556 bytes are more than 65536"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := AppendBundle([]byte("kept"), Immediately, c.element)
			if err == nil || err.Error() != c.want {
				t.Errorf("got  %v\nwant %s", err, c.want)
			}
			if string(got) != "kept" {
				t.Errorf("got %q, want what was there", got)
			}
		})
	}
}
