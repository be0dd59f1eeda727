package survey

import (
	"fmt"
	"strconv"
	"strings"
	"testing"
	"time"

	"pawl/daemon/practice"
	"pawl/daemon/practice/practicetest"
	"pawl/oscmap"
)

// BenchmarkHear is the cost of looking at one packet of a desk's traffic, without a
// map and with one.
func BenchmarkHear(b *testing.B) {
	for _, d := range practicetest.Dialects() {
		m, faults := oscmap.Load("map.yaml", d.Map(), nil)
		if m == nil {
			b.Fatal(faults)
		}
		b.Run(d.Name(), func(b *testing.B) { benchmarkHear(b, d, Options{}) })
		b.Run(d.Name()+" with its map", func(b *testing.B) { benchmarkHear(b, d, Options{Map: m}) })
	}
}

func benchmarkHear(b *testing.B, d practicetest.Dialect, o Options) {
	script, err := practicetest.Service("ratchet")
	if err != nil {
		b.Fatal(err)
	}
	var packets [][]byte
	for at, packet := range practice.Play(script, d, practice.Playing{}) {
		if packets = append(packets, packet); at > 20*time.Second {
			break
		}
	}
	s := New(o)
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		s.Hear(time.Duration(i)*time.Millisecond, packets[i%len(packets)])
	}
}

// BenchmarkRows is the cost of a table, of a desk and of as many addresses as are
// kept, also where all of them are made up below one name.
func BenchmarkRows(b *testing.B) {
	for _, n := range []int{100, 10_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			var all []said
			for i := range n {
				all = append(all, said{fmt.Sprintf("/x%c/%d/y%c", 'a'+i%7, i%50, 'a'+i%26), []any{i}},
					said{fmt.Sprintf("/odd%x/%x", i*7919%10007, i), []any{float32(i)}})
			}
			s := surveyOf(b, all...)
			for b.Loop() {
				s.Rows()
			}
		})
	}
	b.Run("flood", func(b *testing.B) {
		var all []said
		for i := range maxStreams {
			letters := strings.Map(func(c rune) rune { return c - '0' + 'a' }, strconv.Itoa(i))
			all = append(all, said{"/flood/" + letters + "/x", []any{float32(i)}})
		}
		s := surveyOf(b, all...)
		for b.Loop() {
			s.Rows()
		}
	})
}
