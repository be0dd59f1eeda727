package survey

import (
	"cmp"
	"math"
	"slices"
	"time"

	"pawl/oscmap"
)

const (
	maxBlobBytes = 1024 // larger blobs are measured and not looked into
	spreadBlobs  = 40
)

// blobs is what is known of an argument that is a blob.
type blobs struct {
	recent      ring[blobSample]
	spread      [][]byte // over the whole time, ever further apart
	every, wait int
}

type blobSample struct {
	at   time.Duration
	data []byte
}

func (s *Survey) blobArgument(t *slot, data []byte) {
	if t.count == 1 {
		t.least = len(data)
	}
	t.least, t.most = min(t.least, len(data)), max(t.most, len(data))
	if t.blob == nil && s.blobs < maxBlobs {
		s.blobs++
		t.blob = &blobs{every: 1}
	}
	b := t.blob
	if b == nil || len(data) > maxBlobBytes {
		return
	}
	s.cells(t, data)
	// Whether it moved is told of the whole: which values there are in it is not known.
	if b.recent.n > 0 && string(b.recent.back(0).data) != string(data) {
		t.changes++
		t.changedAt = s.last
	}
	newest := b.recent.next()
	newest.at, newest.data = s.last, append(newest.data[:0], data...)
	if b.wait++; b.wait < b.every {
		return
	}
	b.wait = 0
	b.spread = append(b.spread, slices.Clone(data))
	// Every second one goes, so that those left are of the whole time, evenly.
	if len(b.spread) == spreadBlobs {
		for i := range spreadBlobs / 2 {
			b.spread[i] = b.spread[2*i]
		}
		b.spread = b.spread[:spreadBlobs/2]
		b.every *= 2
	}
}

// meterLayouts are those that meters come in, the likelier first. Unsigned and
// 8-bit numbers are left out: nearly every blob could be made of them.
var meterLayouts = []oscmap.Layout{oscmap.Float32LE, oscmap.Float32BE, oscmap.Float64LE, oscmap.Float64BE,
	oscmap.Int16BE, oscmap.Int16LE, oscmap.Int32BE, oscmap.Int32LE}

// form is how a blob is thought to be laid out.
type form struct {
	layout  oscmap.Layout
	skip, n int
	counted bool // the bytes that are skipped hold n
	numbers bool // or they number the blobs
}

// silence is what stands for nothing at all: of whole numbers that may be below 0 the least.
func (f form) silence() float64 {
	if f.layout.Float() || unsigned(f.layout) {
		return math.Inf(-1)
	}
	return -math.Ldexp(1, 8*f.layout.Size()-1)
}

// at is value k of a blob of this form.
func (f form) at(data []byte, k int) float64 {
	v := f.layout.Read(data[f.skip+k*f.layout.Size():])
	if v == f.silence() {
		return math.Inf(-1)
	}
	return v
}

// form guesses the layout of a blob from all of its samples. It wants one that
// makes sense of every sample; a count at the start that is right, and values
// that move like meters, speak for it.
func (t *slot) form() (best form, ok bool) {
	best, _, ok = t.forms()
	return best, ok
}

// forms is also what others make nearly as much sense.
func (t *slot) forms() (best form, rivals []form, ok bool) {
	b := t.blob
	// Of blobs that change in size no one form is true, and one alone shows no movement.
	if b == nil || t.least != t.most || t.most > maxBlobBytes || len(b.spread) < 2 {
		return form{}, nil, false
	}
	score := 0.0
	scores := map[form]float64{}
	// Whoever puts a count, a time or a kind in front keeps the numbers at even bytes.
	for _, skip := range []int{0, 2, 4, 6, 8} {
		for _, l := range meterLayouts {
			f := form{layout: l, skip: skip, n: (t.most - skip) / l.Size()}
			if f.n < 1 || (t.most-skip)%l.Size() != 0 {
				continue
			}
			if f.counted = counts(b.spread[0], skip, f.n); skip > 0 && !f.counted && !b.constant(skip) {
				f.numbers = b.rising(skip)
			}
			if skip > 0 && !f.counted && !f.numbers && !b.constant(skip) {
				continue
			}
			got := b.sense(f)
			if got > score {
				best, score = f, got
			}
			if got > 0 {
				scores[f] = got
			}
		}
	}
	for f, got := range scores {
		if f != best && got > score-0.6 {
			rivals = append(rivals, f)
		}
	}
	slices.SortFunc(rivals, func(a, b form) int {
		return cmp.Or(cmp.Compare(a.n, b.n), cmp.Compare(a.layout.String(), b.layout.String()))
	})
	return best, rivals, score > 0
}

// counts reports whether the first bytes of a blob hold the number n.
func counts(data []byte, size, n int) bool {
	return slices.ContainsFunc([]oscmap.Layout{oscmap.Uint16BE, oscmap.Uint16LE, oscmap.Uint32BE, oscmap.Uint32LE},
		func(l oscmap.Layout) bool { return l.Size() == size && l.Read(data) == float64(n) })
}

// constant reports whether the first bytes are the same in every sample.
func (b *blobs) constant(n int) bool {
	return !slices.ContainsFunc(b.spread, func(d []byte) bool { return string(d[:n]) != string(b.spread[0][:n]) })
}

// rising reports whether the first bytes count the blobs, in either byte order.
func (b *blobs) rising(n int) bool {
	return slices.ContainsFunc([]oscmap.Layout{oscmap.Uint16BE, oscmap.Uint16LE, oscmap.Uint32BE, oscmap.Uint32LE}, func(l oscmap.Layout) bool {
		if l.Size() != n || b.recent.len() < 10 {
			return false
		}
		// By as much each time, from each to the next.
		step := l.Read(b.recent.back(0).data) - l.Read(b.recent.back(1).data)
		for i := 1; i < b.recent.len()-1; i++ {
			if l.Read(b.recent.back(i).data)-l.Read(b.recent.back(i+1).data) != step {
				return false
			}
		}
		return step > 0
	})
}

// sense is how much sense the samples make when read in a form: 0 for none.
func (b *blobs) sense(f form) float64 {
	var moved, width, tiny, fixed float64
	for k := range f.n {
		lo, hi, step, before := math.Inf(1), math.Inf(-1), 0.0, math.NaN()
		for i := range b.recent.all {
			v := f.at(b.recent.back(i).data, k)
			switch {
			case math.IsInf(v, -1):
				before = math.NaN()
				continue
			case !f.plausible(v):
				return 0
			case v != 0 && math.Abs(v) < 1e-12:
				tiny++ // whole numbers, taken for floats, mostly are: as a power it is below -120 dB
			}
			lo, hi = min(lo, v), max(hi, v)
			if before == before { // across silence nothing can be said
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
	if tiny > 0.1*float64(len(b.recent.all)*f.n) {
		return 0
	}
	score := 1.0
	if width > 0 {
		score += 1 - moved/width // noise moves through a third of its range each time
	}
	// The upper half of each number, taken for a number, hardly ever moves.
	score -= 0.5 * fixed / float64(f.n)
	if f.layout.Float() {
		score += 0.5 // that bytes look like floats by chance is unlikely
	}
	switch {
	case f.counted:
		score += 2 // a right count by chance is one in thousands
	case f.numbers:
		score++ // and so is one more each time, but the rest of the blob may lie otherwise too
	case f.skip > 0:
		score -= 0.5 // a head is possible, but the plainer form should win
	}
	return score
}

// plausible reports whether a number could be of a meter.
func (f form) plausible(v float64) bool {
	// Meters hold decibels from about -200 to 40, or factors from 0 to some ten; whole
	// numbers up to 256ths of a decibel. Twice as much is let pass.
	switch {
	case f.layout.Float():
		return v >= -400 && v <= 100 && (v == 0 || math.Abs(v) > 1e-30)
	case f.layout.Size() == 2:
		return v <= 12000
	}
	return v >= -100000 && v <= 30000
}

// tally is what is known of the values of all blobs that were kept, and whether any
// of them moved.
func (b *blobs) tally(f form) (t tally, moved bool) {
	all := slices.Clone(b.spread)
	for _, s := range b.recent.all {
		all = append(all, s.data)
	}
	for _, d := range all {
		for k := range f.n {
			v := f.at(d, k)
			moved = moved || v != f.at(b.spread[0], k)
			t.addNumber(v)
		}
	}
	t.whole = !f.layout.Float()
	return t, moved && t.numbers > 0
}
