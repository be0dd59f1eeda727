package survey

import (
	"encoding/binary"
	"math"
	"time"
)

const (
	maxBlobBytes = 1024 // larger blobs are measured and not looked into
	recentBlobs  = 60
	spreadBlobs  = 40
)

// blobs is what is known of an argument that is a blob.
type blobs struct {
	least, most int // bytes
	recent      ring[blobSample]
	spread      [][]byte // over the whole time, ever further apart
	every, wait int
}

type blobSample struct {
	at   time.Duration
	data []byte
}

func (s *Survey) blobArgument(t *slot, data []byte) {
	if t.blob == nil {
		if s.blobs == maxBlobs {
			return
		}
		s.blobs++
		t.blob = &blobs{least: len(data), most: len(data), every: 1}
	}
	b := t.blob
	b.least, b.most = min(b.least, len(data)), max(b.most, len(data))
	if len(data) > maxBlobBytes {
		return
	}
	if n := len(b.recent.all); n > 0 && string(b.recent.all[(b.recent.next+n-1)%n].data) != string(data) {
		t.changes++
		t.changedAt = s.last
	}
	b.keep(s.last, data)
	if b.wait++; b.wait < b.every {
		return
	}
	b.wait = 0
	b.spread = append(b.spread, append([]byte(nil), data...))
	if len(b.spread) == spreadBlobs {
		for i := range spreadBlobs / 2 {
			b.spread[i] = b.spread[2*i]
		}
		b.spread = b.spread[:spreadBlobs/2]
		b.every *= 2
	}
}

// keep puts a copy among the recent, over the oldest once there are many.
func (b *blobs) keep(at time.Duration, data []byte) {
	if len(b.recent.all) < recentBlobs {
		b.recent.add(blobSample{at, append([]byte(nil), data...)}, recentBlobs)
		return
	}
	oldest := b.recent.all[b.recent.next].data
	b.recent.add(blobSample{at, append(oldest[:0], data...)}, recentBlobs)
}

// layout is one way in which numbers may lie in a blob.
type layout struct {
	of     string // in the words of a map
	size   int
	float  bool
	number func([]byte) float64
}

// layouts are those that meters come in, the likelier first. Unsigned and 8-bit
// numbers are left out: nearly every blob could be made of them.
var layouts = []layout{
	{"float32-le", 4, true, func(b []byte) float64 { return float64(math.Float32frombits(binary.LittleEndian.Uint32(b))) }},
	{"float32-be", 4, true, func(b []byte) float64 { return float64(math.Float32frombits(binary.BigEndian.Uint32(b))) }},
	{"float64-le", 8, true, func(b []byte) float64 { return math.Float64frombits(binary.LittleEndian.Uint64(b)) }},
	{"float64-be", 8, true, func(b []byte) float64 { return math.Float64frombits(binary.BigEndian.Uint64(b)) }},
	{"int16-be", 2, false, func(b []byte) float64 { return float64(int16(binary.BigEndian.Uint16(b))) }},
	{"int16-le", 2, false, func(b []byte) float64 { return float64(int16(binary.LittleEndian.Uint16(b))) }},
	{"int32-be", 4, false, func(b []byte) float64 { return float64(int32(binary.BigEndian.Uint32(b))) }},
	{"int32-le", 4, false, func(b []byte) float64 { return float64(int32(binary.LittleEndian.Uint32(b))) }},
}

// least is what stands for nothing at all in whole numbers of a size.
func (l layout) least() float64 {
	switch {
	case l.float:
		return math.Inf(-1)
	case l.size == 2:
		return math.MinInt16
	}
	return math.MinInt32
}

// form is how a blob is thought to be laid out.
type form struct {
	layout
	skip  int
	n     int
	count string // the layout of a count at the start, "" if there is none
}

// values is what a blob of this form holds.
func (f form) values(data []byte) []float64 {
	out := make([]float64, 0, f.n)
	for at := f.skip; at+f.size <= len(data) && len(out) < f.n; at += f.size {
		out = append(out, f.number(data[at:]))
	}
	return out
}

// form guesses the layout of a blob from all of its samples. It wants one that
// makes sense of every sample; a count at the start that is right, and values
// that move like meters, speak for it.
func (b *blobs) form() (best form, ok bool) {
	if b.least != b.most || b.most > maxBlobBytes || len(b.spread) < 2 {
		return form{}, false
	}
	score := 0.0
	for _, skip := range []int{0, 2, 4, 8} {
		for _, l := range layouts {
			if n := (b.most - skip) / l.size; n < 1 || (b.most-skip)%l.size != 0 {
				continue
			}
			f := form{layout: l, skip: skip, n: (b.most - skip) / l.size}
			if f.count = countAt(b.spread[0], skip, f.n); skip > 0 && f.count == "" && !b.constant(skip) {
				continue
			}
			if got := b.sense(f); got > score {
				best, score = f, got
			}
		}
	}
	return best, score > 0
}

// countAt is how the number n lies in the first bytes of a blob, "" if it does not.
func countAt(data []byte, skip, n int) string {
	le, be := binary.LittleEndian, binary.BigEndian
	switch {
	case skip == 2 && int(be.Uint16(data)) == n:
		return "uint16-be"
	case skip == 2 && int(le.Uint16(data)) == n:
		return "uint16-le"
	case skip == 4 && int(be.Uint32(data)) == n:
		return "uint32-be"
	case skip == 4 && int(le.Uint32(data)) == n:
		return "uint32-le"
	}
	return ""
}

// constant reports whether the first bytes are the same in every sample.
func (b *blobs) constant(n int) bool {
	for _, d := range b.spread {
		if string(d[:n]) != string(b.spread[0][:n]) {
			return false
		}
	}
	return true
}

// sense is how much sense the samples make when read in a form: 0 for none.
func (b *blobs) sense(f form) float64 {
	var moved, width, tiny, seen, fixed float64
	for k := range f.n {
		lo, hi, before := math.Inf(1), math.Inf(-1), math.NaN()
		step := 0.0
		for _, d := range b.inOrder() {
			v := f.number(d[f.skip+k*f.size:])
			if !f.plausible(v) {
				return 0
			}
			seen++
			if v != 0 && math.Abs(v) < 1e-12 {
				tiny++
			}
			if v == f.least() {
				before = math.NaN()
				continue
			}
			lo, hi = min(lo, v), max(hi, v)
			if before == before {
				step += math.Abs(v - before)
			}
			before = v
		}
		if hi > lo {
			moved, width = moved+step, width+(hi-lo)*float64(len(b.recent.all)-1)
		} else {
			fixed++
		}
	}
	if tiny > 0.1*seen {
		return 0
	}
	score := 1.0
	if width > 0 {
		score += 1 - moved/width // noise moves through a third of its range each time
	}
	// The upper half of each number, taken for a number, hardly ever moves.
	score -= 0.5 * fixed / float64(f.n)
	if f.count != "" {
		score += 2
	}
	if f.float {
		score += 0.5 // that bytes look like floats by chance is unlikely
	}
	if f.skip > 0 && f.count == "" {
		score -= 0.5
	}
	return score
}

func (b *blobs) inOrder() [][]byte {
	out := make([][]byte, 0, len(b.recent.all))
	n := len(b.recent.all)
	for i := range n {
		out = append(out, b.recent.all[(b.recent.next+i)%n].data)
	}
	return out
}

// plausible reports whether a number could be of a meter.
func (f form) plausible(v float64) bool {
	switch {
	case v == f.least():
		return true
	case f.float:
		return v >= -400 && v <= 100 && (v == 0 || math.Abs(v) > 1e-30)
	case f.size == 2:
		return v <= 12000
	}
	return v >= -100000 && v <= 30000
}

// mean is the mean of each value of the blobs that came since a time.
func (b *blobs) mean(f form, since time.Duration) []float64 {
	means := make([]mean, f.n)
	for _, s := range b.recent.all {
		if s.at < since || len(s.data) != b.most {
			continue
		}
		for k, v := range f.values(s.data) {
			if v == f.least() {
				v = math.Inf(-1)
			}
			means[k].add(v)
		}
	}
	out := make([]float64, f.n)
	for k := range means {
		out[k] = means[k].value()
	}
	return out
}
