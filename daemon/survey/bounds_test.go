package survey

import (
	"fmt"
	"math/rand/v2"
	"runtime"
	"strings"
	"testing"
	"time"

	"pawl/daemon/practice"
	"pawl/daemon/practice/practicetest"
	"pawl/oscmap"
	"pawl/oscmap/wire"
)

// TestBounded sends what no desk sends: a hundred thousand addresses, rows of
// hundreds of values, blobs as large as a packet. What is kept stays small, and
// the table says that there was more.
func TestBounded(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	s := New(Options{})
	var before, after runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	row := make([]any, 300)
	for i := range row {
		row[i] = float32(i)
	}
	var packet []byte
	for i := range 100_000 {
		address := fmt.Sprintf("/%x/%x/%d", r.Uint32(), r.Uint32(), i)
		args := []any{make([]byte, 1000+i%3000)}
		switch i % 3 {
		case 1:
			args = row[:1+i%300]
		case 2:
			args = []any{strings.Repeat("x", i%900), i % 1000}
		}
		var err error
		if packet, err = wire.AppendMessage(packet[:0], address, args...); err != nil {
			t.Fatal(err)
		}
		s.Hear(time.Duration(i)*time.Millisecond, packet)
	}
	runtime.GC()
	runtime.ReadMemStats(&after)
	if grown := int64(after.HeapAlloc) - int64(before.HeapAlloc); grown > 48<<20 {
		t.Errorf("%d MiB are kept, want 48 at most", grown>>20)
	}
	lines := s.Table(80, 24)
	if len(lines) > 24 || !strings.Contains(lines[len(lines)-1], "more") {
		t.Errorf("a table of %d lines, the last %q", len(lines), lines[len(lines)-1])
	}
	if c := s.Counts(); c.Left == 0 || !strings.Contains(s.Table(400, 0)[0], "not kept") {
		t.Errorf("%d left; the headline is %q", c.Left, s.Table(400, 0)[0])
	}
	checked(t, s.Draft(nil, DraftOptions{}))
}

// nothingTold begins a draft in which nothing is told for certain.
const nothingTold = "# Nothing could be told for certain"

// tests is what checked needs of a test, of a generated one too.
type tests interface {
	Helper()
	Fatalf(string, ...any)
}

// checked wants a draft that a map's checker passes, or that it refuses for the one reason that
// nothing is told in it. That one is given as a map that hears nothing.
func checked(t tests, draft string) *oscmap.Map {
	t.Helper()
	m, faults := oscmap.Load("draft.yaml", []byte(draft), nil)
	switch nothing := strings.HasPrefix(draft, nothingTold); {
	case nothing && (len(faults) != 1 || faults[0].Path != "signals" || strings.Contains(draft, "\n  - ")):
		t.Fatalf("nothing is told, and yet %v\n%s", faults, draft)
	case nothing:
		m, _ = oscmap.Load("draft.yaml", []byte("desk: none\nsignals: [{hear: /nothing/was/told, is: desk.alive}]\n"), nil)
	case m == nil:
		t.Fatalf("%v\n%s", faults, draft)
	}
	return m
}

// TestSteadyTrafficAllocatesNothing holds the cost of looking to that of a desk's
// traffic going by, since a daemon looks all the time.
func TestSteadyTrafficAllocatesNothing(t *testing.T) {
	for _, d := range practicetest.Dialects() {
		t.Run(d.Name(), func(t *testing.T) {
			script, err := practicetest.Service("ratchet")
			if err != nil {
				t.Fatal(err)
			}
			s := New(Options{Map: load(t, d.Map())})
			var packets [][]byte
			for at, packet := range practice.Play(script, d, practice.Playing{}) {
				s.Hear(at, packet)
				if at > time.Minute {
					packets = append(packets, packet)
				}
				if len(packets) == 200 {
					break
				}
			}
			i, at := 0, 2*time.Minute
			got := testing.AllocsPerRun(1000, func() {
				s.Hear(at, packets[i%len(packets)])
				i++
			})
			// A text that differs from the last is copied, and so is one blob in many.
			if most := map[string]float64{"spoken": 12}[d.Name()]; got > most {
				t.Errorf("%v allocations a packet, want %v at most", got, most)
			}
		})
	}
}

func FuzzSurvey(f *testing.F) {
	for _, d := range practicetest.Dialects() {
		script, err := practicetest.Service("ratchet")
		if err != nil {
			f.Fatal(err)
		}
		var all []byte
		for _, packet := range practice.Play(script, d, practice.Playing{}) {
			if all = wire.AppendFrame(all, packet, wire.LengthPrefix); len(all) > 4000 {
				break
			}
		}
		f.Add(all, "\n-10\nnone\n\n\n")
	}
	f.Add(wire.AppendFrame(nil, []byte("/\n# x\x00\x00,s\x00\x00\"\\:{\x00"), wire.LengthPrefix), "stop")
	f.Fuzz(func(t *testing.T, stream []byte, typed string) {
		s := New(Options{})
		var g *Guide
		lines := strings.Split(typed, "\n")
		frames := wire.NewSplitter(strings.NewReader(string(stream)), wire.LengthPrefix, 2048)
		for at := time.Duration(0); ; at += 700 * time.Millisecond {
			packet, err := frames.Next()
			if err != nil {
				break
			}
			s.Hear(at, packet)
			if g == nil && at > 2*time.Second {
				g = s.Guide()
			}
			if g != nil && len(lines) > 0 && int(at/time.Millisecond)%2 == 0 {
				g.Answer(lines[0])
				lines = lines[1:]
			}
		}
		for _, width := range []int{0, 80, 140} {
			for _, line := range s.Table(width, 0) {
				if n := len([]rune(line)); n > max(width, 60) {
					t.Fatalf("%d characters in %d: %q", n, width, line)
				}
			}
		}
		checked(t, s.Draft(nil, DraftOptions{}))
		checked(t, s.Draft(g, DraftOptions{Desk: typed, From: typed}))
	})
}

// Addresses without end, each with a number that could be an index: once nothing more is
// kept of them, nothing is counted of them either.
func TestFirstNumbersAreBounded(t *testing.T) {
	s := New(Options{})
	var packet []byte
	for i := range 5 * maxStreams {
		var err error
		if packet, err = wire.AppendMessage(packet[:0], fmt.Sprintf("/%d", i), int32(1), float32(0)); err != nil {
			t.Fatal(err)
		}
		s.Hear(0, packet)
	}
	if len(s.known[false])+len(s.known[true]) > maxStreams || len(s.streams) > maxStreams {
		t.Errorf("%d addresses are counted and %d kept, want %d at most", len(s.known[false])+len(s.known[true]), len(s.streams), maxStreams)
	}
}
