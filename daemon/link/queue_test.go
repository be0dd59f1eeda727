package link

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"net/netip"
	"testing"
	"time"
)

var desk = netip.MustParseAddrPort("192.0.2.10:10700")

func TestQueueKeepsOrderAndCopies(t *testing.T) {
	var q queue
	q.init(8, 1<<10)
	buf := []byte("first")
	q.put(1, desk, buf)
	copy(buf, "xxxxx")
	q.put(2, desk, nil)
	q.put(3, desk, []byte("third"))
	got := fmt.Sprint(q.take(nil))
	want := fmt.Sprint([]Packet{{1, []byte("first"), desk}, {2, []byte{}, desk}, {3, []byte("third"), desk}})
	if got != want {
		t.Errorf("got %v, want %v", got, want)
	}
	if again := q.take(nil); len(again) != 0 {
		t.Errorf("taken twice: %v", again)
	}
}

func TestQueueDataHoldsUntilTheNextTake(t *testing.T) {
	var q queue
	q.init(8, 1<<10)
	q.put(1, desk, []byte("first"))
	taken := q.take(nil)
	for range 20 {
		q.put(2, desk, []byte("other"))
	}
	if got := string(taken[0].Data); got != "first" {
		t.Errorf("got %q, want first", got)
	}
}

func TestQueueDropsTheOldest(t *testing.T) {
	tests := []struct {
		name           string
		packets, bytes int
		sizes          []int
		dropped        uint64
		left           []int // which remain, by number
	}{
		{"too many", 3, 1 << 10, []int{1, 1, 1, 1, 1}, 2, []int{2, 3, 4}},
		{"too many bytes", 10, 100, []int{40, 40, 40}, 1, []int{1, 2}},
		{"one as large as all", 10, 100, []int{10, 10, 10, 100}, 3, []int{3}},
		{"one larger than all", 10, 100, []int{10, 101, 10}, 1, []int{0, 2}},
		{"round the end", 10, 100, []int{60, 30, 50, 30}, 2, []int{2, 3}},
		{"empty ones count too", 10, 4, []int{2, 2, 0, 0, 0}, 2, []int{2, 3, 4}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var q queue
			q.init(tt.packets, tt.bytes)
			var dropped uint64
			for i, size := range tt.sizes {
				dropped += q.put(time.Duration(i), desk, bytes.Repeat([]byte{byte(i)}, size))
			}
			var left []int
			for _, p := range q.take(nil) {
				left = append(left, int(p.At))
				if want := bytes.Repeat([]byte{byte(p.At)}, tt.sizes[p.At]); !bytes.Equal(p.Data, want) {
					t.Errorf("packet %d: % x, want % x", p.At, p.Data, want)
				}
			}
			if dropped != tt.dropped || fmt.Sprint(left) != fmt.Sprint(tt.left) {
				t.Errorf("dropped %d and left %v, want %d and %v", dropped, left, tt.dropped, tt.left)
			}
		})
	}
}

// TestQueueAgainstAModel puts and takes at random and expects the newest
// packets, whole and in order, and every other one counted as dropped.
func TestQueueAgainstAModel(t *testing.T) {
	dice := rand.New(rand.NewPCG(7, 8))
	for round := range 300 {
		var q queue
		q.init(1+dice.IntN(12), 1+dice.IntN(200))
		put, taken := 0, 0
		var dropped uint64
		for range 400 {
			if dice.IntN(10) > 0 {
				size := dice.IntN(60)
				dropped += q.put(time.Duration(put), desk, bytes.Repeat([]byte{byte(put)}, size))
				put++
				continue
			}
			last := time.Duration(-1)
			for _, p := range q.take(nil) {
				if p.At <= last {
					t.Fatalf("round %d: packet %d after %d", round, p.At, last)
				}
				if last = p.At; !bytes.Equal(p.Data, bytes.Repeat([]byte{byte(p.At)}, len(p.Data))) {
					t.Fatalf("round %d: packet %d holds another's bytes", round, p.At)
				}
				taken++
			}
		}
		taken += len(q.take(nil))
		if uint64(put) != uint64(taken)+dropped {
			t.Fatalf("round %d: %d put, %d taken and %d dropped", round, put, taken, dropped)
		}
	}
}

func TestQueueDoesNotAllocate(t *testing.T) {
	var q queue
	q.init(1024, 1<<20)
	data := make([]byte, 400)
	var taken []Packet
	once := func() {
		for range 100 {
			q.put(1, desk, data)
		}
		taken = q.take(taken[:0])
	}
	once()
	once() // both rings have grown
	if n := testing.AllocsPerRun(100, once); n != 0 {
		t.Errorf("%v allocations for 100 packets, want 0", n)
	}
}
