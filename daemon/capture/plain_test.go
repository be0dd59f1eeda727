package capture

import (
	"bytes"
	"testing"

	"github.com/gopacket/gopacket"
	"github.com/gopacket/gopacket/layers"
)

// TestPlainIsLayers gives every byte of a frame every value, and cuts the frame off at
// every byte: what is opened at once must be what the layers find in it, and what they do
// not find whole must not be opened at once.
func TestPlainIsLayers(t *testing.T) {
	p := Packet{noon, desk, pawl, []byte("/a\x00\x00,i\x00\x00\x00\x00\x00\x01")}
	for _, link := range []layers.LinkType{layers.LinkTypeRaw, layers.LinkTypeEthernet, layers.LinkTypeNull, layers.LinkTypeLinuxSLL} {
		good := framed(t, link, p)
		if link == layers.LinkTypeEthernet && len(good) == etherHeader+ipv4Header+udpHeader+len(p.Data) {
			t.Fatal("the frame is not padded")
		}
		opened, left := 0, 0
		general := newOpener(false)
		compare := func(frame []byte) {
			var plain opener
			first := firstLayer(link, frame)
			if !plain.plain(first, frame) {
				left++
				if plain.from.IsValid() || plain.to.IsValid() || plain.data != nil {
					t.Fatalf("% x is left to the layers and touched", frame)
				}
				return
			}
			opened++
			if v := general.decode(first, frame, noon); v != whole || general.hasTCP {
				t.Fatalf("% x is opened, and the layers say %v", frame, v)
			}
			if plain.from != general.from || plain.to != general.to || !bytes.Equal(plain.data, general.data) {
				t.Fatalf("% x: %v to %v, %q; the layers say %v to %v, %q",
					frame, plain.from, plain.to, plain.data, general.from, general.to, general.data)
			}
		}
		for i := range good {
			compare(good[:i])
			frame := bytes.Clone(good)
			for v := range 256 {
				frame[i] = byte(v)
				compare(frame)
			}
		}
		switch whole := link == layers.LinkTypeRaw || link == layers.LinkTypeEthernet; {
		case whole && (opened < 1500 || left < 1500):
			t.Errorf("link %v: %d opened and %d left; the test proves little", link, opened, left)
		case !whole && opened > 0:
			t.Errorf("link %v: %d opened, want none", link, opened)
		}
	}
}

// FuzzPlain does the same with any bytes.
func FuzzPlain(f *testing.F) {
	p := Packet{noon, desk, pawl, []byte("/a\x00\x00")}
	for _, link := range []layers.LinkType{layers.LinkTypeRaw, layers.LinkTypeEthernet} {
		f.Add(framed(f, link, p))
	}
	f.Fuzz(func(t *testing.T, frame []byte) {
		for _, first := range []gopacket.LayerType{layers.LayerTypeIPv4, layers.LayerTypeEthernet} {
			var plain opener
			general := newOpener(false)
			if !plain.plain(first, frame) {
				continue
			}
			if v := general.decode(first, frame, noon); v != whole || plain.from != general.from || plain.to != general.to || !bytes.Equal(plain.data, general.data) {
				t.Fatalf("% x: %v to %v, %q; the layers say %v, %v to %v, %q",
					frame, plain.from, plain.to, plain.data, v, general.from, general.to, general.data)
			}
		}
	})
}
