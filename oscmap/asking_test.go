package oscmap

import (
	"bytes"
	"testing"

	"github.com/hypebeast/go-osc/osc"

	"pawl/oscmap/wire"
)

// TestAsksMarshalled holds the packets of asks against what go-osc writes, and what
// it has no types for against our own writer, itself held against the examples of
// OSC 1.0.
func TestAsksMarshalled(t *testing.T) {
	tests := []struct {
		address string
		args    []any
	}{
		{"/hello", nil},
		{"/listen", []any{int32(60)}},
		{"/in/1/lift", nil},
		{"/in/2/lift", nil},
		{"/tell", []any{"/in/1/shut", int32(1)}},
		{"/tell", []any{"/in/2/shut", int32(2)}},
		{"/all", []any{int32(1), float32(0.5), "text", true, false, int64(5), float32(2), 0.25, wire.Symbol("s"), wire.Char('c'), true, nil,
			wire.Impulse{}, []byte{1, 2, 3}, wire.TimeTag(1), wire.RGBA(0x01020304), wire.MIDI{0, 144, 60, 64}, []any{int32(1), "a"}}},
	}
	asks := loadFile(t, formsDir+"/asks.yaml").Asks()
	for _, tt := range tests {
		want, err := osc.NewMessage(tt.address, tt.args...).MarshalBinary()
		if tt.address == "/all" {
			want, err = wire.AppendMessage(nil, tt.address, tt.args...)
		}
		if err != nil {
			t.Fatal(err)
		}
		found := false
		for _, a := range asks {
			found = found || bytes.Equal(a.Packet(), want)
		}
		if !found {
			t.Errorf("no ask is %s %v", tt.address, tt.args)
		}
	}
}

func TestAskCannotBeChanged(t *testing.T) {
	m := loadFile(t, formsDir+"/asks.yaml")
	before := m.Asks()[0].Packet()
	m.Asks()[0].Packet()[1] = 'x'
	m.Asks()[0] = Ask{}
	if after := m.Asks()[0].Packet(); !bytes.Equal(before, after) {
		t.Errorf("got %q, want %q", after, before)
	}
	if p := (Ask{}).Packet(); len(p) != 0 {
		t.Errorf("the zero Ask holds %q, want nothing", p)
	}
}
