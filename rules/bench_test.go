package rules

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"golang.org/x/sys/unix"

	"pawl/daemon/practice/practicetest"
	"pawl/rules/desk"
)

// benchDesk is a desk of n inputs in four groups under six DCAs, all playing for
// twenty seconds.
func benchDesk(n int) *Judge {
	r := band(n, []string{"a", "b", "c", "d", "e", "f"}, []string{"a", "b", "c", "d"})
	for i := range n {
		r.Inputs[i].Main, r.Inputs[i].Groups, r.Inputs[i].DCAs = false, []int{i % 4}, []int{i % 6}
	}
	j := newJudge(r)
	for i := range n {
		j.Hear(set(desk.InputFader, i, -10))
		j.Hear(set(desk.InputLevel, i, -20))
	}
	for k := range 4 {
		j.Hear(set(desk.GroupReduction, k, 2))
	}
	j.Advance(20 * time.Second)
	j.Take(nil)
	return j
}

// claimed is a desk with a ratchet said and still open.
func claimed(n int) *Judge {
	j := benchDesk(n)
	for turn := range 2 {
		for i := range n {
			j.Hear(desk.Reading{At: j.at + time.Second, Signal: desk.InputFader, Index: i, Value: float64(-8 + 2*turn)})
		}
	}
	j.Advance(j.at + time.Second)
	return j
}

func eachDesk(b *testing.B, f func(b *testing.B, n int)) {
	for _, n := range []int{16, 64} {
		b.Run(fmt.Sprintf("inputs=%d", n), func(b *testing.B) { f(b, n) })
	}
}

func BenchmarkHearFader(b *testing.B) {
	eachDesk(b, func(b *testing.B, n int) {
		j := benchDesk(n)
		b.ReportAllocs()
		for i := 0; b.Loop(); i++ {
			j.Hear(desk.Reading{At: j.at, Signal: desk.InputFader, Index: i % n, Value: -10 + float64(i&7)/100})
		}
	})
}

func BenchmarkHearLevel(b *testing.B) {
	eachDesk(b, func(b *testing.B, n int) {
		j := benchDesk(n)
		b.ReportAllocs()
		for i := 0; b.Loop(); i++ {
			j.Hear(desk.Reading{At: j.at, Signal: desk.InputLevel, Index: i % n, Value: -20 + float64(i&7)})
		}
	})
}

// BenchmarkHearDCAThenPostLevel is the dearest reading: a DCA moves every gain,
// and a meter taken after the fader asks for one at once.
func BenchmarkHearDCAThenPostLevel(b *testing.B) {
	eachDesk(b, func(b *testing.B, n int) {
		j := benchDesk(n)
		b.ReportAllocs()
		for i := 0; b.Loop(); i++ {
			j.Hear(desk.Reading{At: j.at, Signal: desk.DCAFader, Index: i % 6, Value: float64(i&7) / 100})
			j.Hear(desk.Reading{At: j.at, Signal: desk.InputLevel, Index: i % n, Value: -20, Post: true})
		}
	})
}

func BenchmarkBeat(b *testing.B) {
	eachDesk(b, func(b *testing.B, n int) {
		j := benchDesk(n)
		b.ReportAllocs()
		for b.Loop() {
			j.link.heard = j.at
			j.Advance(j.at + desk.Beat)
		}
	})
}

func BenchmarkBeatWhileClaimed(b *testing.B) {
	eachDesk(b, func(b *testing.B, n int) {
		j := claimed(n)
		if said := said(j); len(said) == 0 {
			b.Fatal("nothing is claimed")
		}
		r := j.rules[0].rule.(*ratchet)
		b.ReportAllocs()
		for b.Loop() {
			j.link.heard, r.episode.kept = j.at, j.at // so that it is never accepted
			j.Advance(j.at + desk.Beat)
		}
	})
}

// BenchmarkService is a minute of a busy desk: meters of every input twenty-five
// times a second, and a hand on a fader.
func BenchmarkService(b *testing.B) {
	eachDesk(b, func(b *testing.B, n int) {
		j := benchDesk(n)
		b.ReportAllocs()
		at, readings := j.at, 0
		var all []Entry
		for b.Loop() {
			all = j.Take(all)
			for range 25 {
				at += 40 * time.Millisecond
				for i := range n {
					j.Hear(desk.Reading{At: at, Signal: desk.InputLevel, Index: i, Value: -20 + float64(readings&3)})
					readings++
				}
				j.Hear(desk.Reading{At: at, Signal: desk.InputFader, Index: readings % n, Value: -10 + float64(readings&1)/10})
				readings++
			}
		}
		b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(readings), "ns/reading")
	})
}

// BenchmarkFrames is a second of the largest desk that is asked of us: 64 inputs, 8
// groups and 8 DCAs, metered twenty times a second, with every rule at work and every window
// full; while nothing is to be remarked, and while as much is as can be.
func BenchmarkFrames(b *testing.B) {
	for _, s := range deskScenes {
		b.Run(s.name, func(b *testing.B) {
			d := newFullDesk()
			d.seconds(1300) // until the longest window is full
			s.play(d)
			b.ReportAllocs()
			before, used := d.stamped, processor(b)
			for b.Loop() {
				d.seconds(1)
				d.stays()
			}
			b.ReportMetric(100*(processor(b)-used).Seconds()/float64(b.N), "%core")
			b.ReportMetric(float64(d.stamped-before)/float64(b.N), "entries/op")
		})
	}
}

// processor is how long this process has had a core, which others on the machine disturb less
// than the time.
func processor(tb testing.TB) time.Duration {
	tb.Helper()
	var used unix.Rusage
	if err := unix.Getrusage(unix.RUSAGE_SELF, &used); err != nil {
		tb.Fatal(err)
	}
	return time.Duration(used.Utime.Nano() + used.Stime.Nano())
}

// TestNoAllocation: what happens thousands of times a second leaves no garbage, while
// nothing is open and while all rules have something open, by scenes. An entry is an
// allocation, because it is kept by whoever takes it. Once a minute creep keeps a mix, for
// twenty of them in memory of its own, and a finding may grow: so one span of two seconds in
// six may have more.
func TestNoAllocation(t *testing.T) {
	practicetest.SkipRaced(t)
	spoke := map[string]bool{}
	for _, s := range deskScenes {
		d := newFullDesk()
		s.play(d)
		for _, name := range d.open() {
			spoke[name] = true
		}
		for _, c := range []struct {
			name  string
			heard []desk.Reading
		}{
			{"meters", nil},
			{"faders", []desk.Reading{set(desk.InputFader, pads, -10), set(desk.InputFader, pads, -10.01)}},
			{"DCAs", []desk.Reading{set(desk.DCAFader, partOf(speakers), 0), set(desk.DCAFader, partOf(speakers), -0.01)}},
			{"levels after the fader", []desk.Reading{{Signal: desk.InputLevel, Index: cues, Post: true, Value: -30}}},
		} {
			if !slices.Equal(d.open(), s.open) {
				t.Errorf("%s, before %s: open is %v, want %v", s.name, c.name, d.open(), s.open)
			}
			i := 0
			span := func() {
				for range 2 * framesASecond {
					if i++; c.heard != nil {
						r := c.heard[i%len(c.heard)]
						r.At = d.at
						d.Hear(r)
					}
					d.frames(1)
				}
				d.all = d.Take(d.all)
			}
			span()
			var more []float64
			for range 6 {
				before := d.stamped
				if allocs := testing.AllocsPerRun(1, span); allocs > float64(d.stamped-before)/2 {
					more = append(more, allocs)
				}
			}
			if len(more) > 1 {
				t.Errorf("%s, %s: %v allocations in two seconds each, want none besides the entries", s.name, c.name, more)
			}
		}
	}
	for _, k := range Kinds {
		if !spoke[k.Name] && k.Name != "quiet-desk" { // which is of a desk that sends nothing
			t.Errorf("%s has nothing open in any scene", k.Name)
		}
	}
}

// TestNoAllocationByHands is the same of moves, and of meters alone, while nothing is open.
func TestNoAllocationByHands(t *testing.T) {
	for name, heard := range map[string][]desk.Reading{
		"moves": {set(desk.InputFader, 1, -10), set(desk.InputFader, 1, -4)},
		"DCAs":  {set(desk.DCAFader, 1, 0), set(desk.DCAFader, 1, -4)},
		"meters": {set(desk.InputLevel, 1, -20), set(desk.MainLevel, 0, -20), set(desk.GroupReduction, 0, 3),
			{Signal: desk.InputLevel, Post: true, Value: -30}, set(desk.InputPeak, 1, -6), set(desk.InputReduction, 2, 4)},
		"beats": {},
	} {
		j := benchDesk(16)
		var all []Entry
		i := 0
		turn := func() {
			for range 2 * int(time.Second/desk.Beat) {
				if i++; len(heard) > 0 {
					r := heard[i%len(heard)]
					r.At = j.at
					j.Hear(r)
				}
				j.link.heard = j.at
				j.Advance(j.at + desk.Beat)
			}
			all = j.Take(all)
		}
		for range 60 {
			turn()
		}
		before := j.stamped
		allocs := testing.AllocsPerRun(10, turn)
		if entries := float64(j.stamped-before) / 11; allocs > entries {
			t.Errorf("%s: %v allocations in two seconds for %v entries, want none besides", name, allocs, entries)
		}
	}
}
