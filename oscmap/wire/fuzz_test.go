package wire

import (
	"bytes"
	"math"
	"testing"
	"unsafe"
)

// FuzzReader reads any bytes at all. It must not panic, must say the same
// twice, must give slices of the packet only and leave the packet as it was;
// and each message it accepts must come out of AppendMessage byte for byte.
func FuzzReader(f *testing.F) {
	for _, c := range packets {
		f.Add([]byte(c.packet))
	}
	for _, row := range readCheck(f, "osc_examples.csv") {
		f.Add(unhex(f, row[1]))
	}
	f.Fuzz(func(t *testing.T, packet []byte) {
		before := bytes.Clone(packet)
		var r Reader
		first := show(&r, packet)
		show(&r, []byte("/other\x00\x00,i\x00\x00\x00\x00\x00\x01"))
		if second := show(&r, packet); second != first {
			t.Errorf("first  %s\nsecond %s", first, second)
		}
		for r.Reset(packet); r.Next(); {
			checkInside(t, packet, r.Message())
			checkRewrite(t, packet[r.element:], r.Message())
		}
		if r.element > len(packet) {
			t.Errorf("offset %d is past the end %d", r.element, len(packet))
		}
		if !bytes.Equal(packet, before) {
			t.Errorf("packet changed to %x", packet)
		}
	})
}

func checkInside(t *testing.T, packet []byte, m *Message) {
	t.Helper()
	slices := [][]byte{m.Address, m.Tags, m.Data}
	for args := m.Args(); args.Next(); {
		slices = append(slices, args.Arg().Bytes)
	}
	from := uintptr(unsafe.Pointer(unsafe.SliceData(packet)))
	for _, s := range slices {
		at := uintptr(unsafe.Pointer(unsafe.SliceData(s)))
		if len(s) > 0 && (at < from || at+uintptr(cap(s)) > from+uintptr(len(packet))) {
			t.Errorf("%q is not inside the packet", s)
		}
		if len(s) > 0 && cap(s) > len(s) {
			t.Errorf("an append to %q would write into the packet", s)
		}
	}
}

// checkRewrite leaves out what AppendMessage never writes: messages without
// type tags, those longer than MaxPacket, and the signalling kind of NaN.
func checkRewrite(t *testing.T, from []byte, m *Message) {
	t.Helper()
	if m.Untagged || len(m.Data) > MaxPacket/2 {
		return
	}
	args, quiet := goValues(m)
	if !quiet {
		return
	}
	got, err := AppendMessage(nil, string(m.Address), args...)
	if err != nil || !bytes.HasPrefix(from, got) {
		t.Errorf("wrote %x, %v\nread  %x", got, err, from)
	}
}

// goValues gives what to hand to AppendMessage for the message, and false if
// there is a NaN in it, whose bits a conversion may change.
func goValues(m *Message) (values []any, quiet bool) {
	stack := [][]any{nil}
	quiet = true
	args := m.Args()
	for _, tag := range m.Tags {
		top := len(stack) - 1
		switch tag {
		case '[':
			stack = append(stack, []any{})
			continue
		case ']':
			stack[top-1] = append(stack[top-1], any(stack[top]))
			stack = stack[:top]
			continue
		}
		args.Next()
		quiet = quiet && !math.IsNaN(args.Arg().Number)
		stack[top] = append(stack[top], goValue(args.Arg()))
	}
	return stack[0], quiet
}

func goValue(a *Arg) any {
	switch a.Tag {
	case 'i':
		return int32(a.Bits)
	case 'h':
		return int64(a.Bits)
	case 'f':
		return float32(a.Number)
	case 'd':
		return a.Number
	case 's':
		return string(a.Bytes)
	case 'S':
		return Symbol(a.Bytes)
	case 'b':
		return a.Bytes
	case 't':
		return TimeTag(a.Bits)
	case 'c':
		return Char(a.Number)
	case 'r':
		return RGBA(a.Bits)
	case 'm':
		return MIDI{byte(a.Bits >> 24), byte(a.Bits >> 16), byte(a.Bits >> 8), byte(a.Bits)}
	case 'I':
		return Impulse{}
	case 'T', 'F':
		return a.Number == 1
	}
	return nil
}
