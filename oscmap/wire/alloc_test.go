package wire

import "testing"

// TestNoAllocations reads, matches and splits without allocating, good packets
// and bad ones alike.
func TestNoAllocations(t *testing.T) {
	var r Reader
	for _, c := range packets {
		packet := []byte(c.packet)
		if got := testing.AllocsPerRun(20, func() { walk(&r, packet) }); got != 0 {
			t.Errorf("%s: %v allocations, want 0", c.name, got)
		}
	}
	for _, c := range patterns {
		pattern, address := []byte(c.pattern), []byte(c.address)
		if got := testing.AllocsPerRun(20, func() { Match(pattern, address) }); got != 0 {
			t.Errorf("%s: %v allocations, want 0", c.name, got)
		}
	}
	for _, f := range []Framing{LengthPrefix, SLIP} {
		frame := AppendFrame(nil, message(t, "/a", 1), f)
		s := NewSplitter(&endless{of: frame}, f, 0)
		next := func() {
			if _, err := s.Next(); err != nil {
				t.Error(err)
			}
		}
		next()
		if got := testing.AllocsPerRun(20, next); got != 0 {
			t.Errorf("%v: %v allocations, want 0", f, got)
		}
	}
}

// walk does what a listener does with a packet: every argument is looked at.
func walk(r *Reader, packet []byte) (sum float64) {
	for r.Reset(packet); r.Next(); {
		for args := r.Message().Args(); args.Next(); {
			a := args.Arg()
			sum += a.Number + float64(len(a.Bytes))
		}
	}
	if r.Err() != nil {
		sum--
	}
	return sum
}

// endless reads the same bytes again and again.
type endless struct {
	of []byte
	at int
}

func (e *endless) Read(p []byte) (int, error) {
	n := copy(p, e.of[e.at:])
	e.at = (e.at + n) % len(e.of)
	return n, nil
}
