package survey

import (
	"encoding/binary"
	"testing"
	"time"

	"pawl/oscmap"
	"pawl/oscmap/wire"
)

// A blob begins with the number of the message, and has a fader that is moved evenly: neither the
// counter nor the fader read the wrong way round can be a hand's, and the fader can.
func TestMisreadCells(t *testing.T) {
	s := New(Options{})
	for i := range 200 {
		b := binary.LittleEndian.AppendUint32(nil, uint32(1000+i))
		b = binary.LittleEndian.AppendUint16(b, uint16(40*min(i, 200-i)))
		packet, err := wire.AppendMessage(nil, "/travel", append(b, 7, 7))
		if err != nil {
			t.Fatal(err)
		}
		s.Hear(time.Duration(i)*100*time.Millisecond, packet)
	}
	cell := func(at int, l oscmap.Layout) *slot {
		for _, c := range s.order[0].slots[0].cells {
			if c.at == at && c.layout == l {
				return c
			}
		}
		t.Fatalf("no cell at %d as %s", at, l)
		return nil
	}
	for _, c := range []struct {
		at               int
		as               oscmap.Layout
		counter, misread bool
	}{
		{0, oscmap.Int32LE, true, false},
		{1, oscmap.Uint8, true, false},
		{2, oscmap.Int16LE, true, false},
		{4, oscmap.Uint16LE, false, false},
		{4, oscmap.Uint16BE, false, true},
	} {
		if got := cell(c.at, c.as); got.inCounter() != c.counter || got.misread() != c.misread {
			t.Errorf("byte %d as %s: in a counter %t, misread %t; want %t, %t", c.at, c.as, got.inCounter(), got.misread(), c.counter, c.misread)
		}
	}
}
