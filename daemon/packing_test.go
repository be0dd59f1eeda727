package daemon

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"pawl/daemon/practice"
	"pawl/daemon/practice/practicetest"
	"pawl/oscmap/wire"
)

// TestHowMessagesArePackedChangesNothing: a desk may send what it has to say at one moment
// a message a packet, all in one bundle, or in bundles within bundles.
func TestHowMessagesArePackedChangesNothing(t *testing.T) {
	for _, name := range []string{"ratchet", "scene-change", "squeezed-group"} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			script, err := practicetest.Service(name)
			if err != nil {
				t.Fatal(err)
			}
			moments := momentsOf(script)
			h := harbourHall(t)
			judge := func(pack func([][]byte) [][]byte) string {
				e := newEngine(h)
				for _, m := range moments {
					for _, p := range pack(m.packets) {
						e.packet(m.at, p)
					}
				}
				e.advance(script.Length)
				out, err := json.Marshal(e.judge.Take(nil))
				if err != nil {
					t.Fatal(err)
				}
				return string(out)
			}
			want := judge(func(p [][]byte) [][]byte { return p })
			if !strings.Contains(want, `"move"`) {
				t.Fatal("nothing moved: the test proves nothing")
			}
			for seed := range 5 {
				packing := rapid.Custom(packed)
				n := 0
				got := judge(func(p [][]byte) [][]byte {
					n++
					return bundled(p, packing.Example(seed*1000+n%50))
				})
				if got != want {
					t.Fatalf("packed in way %d:\ngot  %s\nwant %s", seed, got, want)
				}
			}
		})
	}
}

// moment is all that was sent at one time.
type moment struct {
	at      time.Duration
	packets [][]byte
}

func momentsOf(s *practice.Script) (all []moment) {
	for at, packet := range practice.Play(s, practicetest.Dialects()[0], practice.Playing{}) {
		if n := len(all); n == 0 || all[n-1].at != at {
			all = append(all, moment{at: at})
		}
		last := &all[len(all)-1]
		last.packets = append(last.packets, slices.Clone(packet))
	}
	return all
}

// packed draws how many packets go into each bundle, and how deep it lies.
func packed(t *rapid.T) []int {
	return rapid.SliceOfN(rapid.IntRange(0, 12), 4, 9).Draw(t, "packed")
}

// bundled packs these: by each number so many of them into one bundle, the odd ones twice
// over; 0 leaves one as it is.
func bundled(packets [][]byte, by []int) (out [][]byte) {
	for i := 0; len(packets) > 0; i++ {
		n := by[i%len(by)]
		if n == 0 {
			out, packets = append(out, packets[0]), packets[1:]
			continue
		}
		n = min(n, len(packets))
		b, err := wire.AppendBundle(nil, wire.Immediately, packets[:n]...)
		if err == nil && n%2 == 1 {
			b, err = wire.AppendBundle(nil, wire.Immediately, b)
		}
		if err != nil {
			panic(err) // of packets that a desk has sent
		}
		out, packets = append(out, b), packets[n:]
	}
	return out
}
