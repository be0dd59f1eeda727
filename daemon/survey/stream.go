package survey

import (
	"bytes"
	"math"
	"slices"
	"strings"
	"time"

	"pawl/oscmap"
	"pawl/oscmap/wire"
)

// stream is the messages to one address, or those of them with one number or word.
type stream struct {
	origin
	of    *addressed
	shown string // the address, fit to be shown
	from  int    // arguments before the first slot
	count uint64
	last  time.Duration
	slots []*slot
	hearing
}

// value is what stood in an argument. A text with a number in it has both.
type value struct {
	text  string
	num   float64
	isNum bool
}

func (v value) same(o value) bool {
	return v.text == o.text && v.isNum == o.isNum && (v.num == o.num || !v.isNum)
}

// tally is what is known of all the values of an argument, or of several that are
// alike. The zero value has seen none.
type tally struct {
	tags    string // type tags, each once; T stands for F as well
	count   uint64
	changes uint64

	lo, hi  float64
	numbers uint64 // that lie between them
	zeros   uint64 // of those
	whole   bool   // all of those are
	off     uint64 // minus infinities

	texts     []string // examples, each once
	moreTexts bool
	decibels  uint64 // texts with dB after the number
	ratios    uint64 // texts with :1 after the number

	least, most int // bytes of blobs
}

// numeric reports whether all the values could be read as numbers.
func (t *tally) numeric() bool { return t.count > 0 && t.numbers+t.off == t.count }

// isText reports whether there were only ever texts.
func (t *tally) isText() bool { return t.tags != "" && strings.Trim(t.tags, "sS") == "" }

// saysDecibels reports whether all that was said are texts with dB behind a number, or nothing at all.
func (t *tally) saysDecibels() bool {
	return t.isText() && t.decibels > 0 && t.decibels+t.off == t.count
}

// isSwitch reports whether all that was seen could be on and off, and how that is
// said: as words, as bools or as 0 and 1.
func (t *tally) isSwitch() bool {
	if t.isText() {
		return len(t.texts) > 0 && !t.moreTexts && !slices.ContainsFunc(t.texts, func(text string) bool {
			_, ok := oscmap.SwitchText([]byte(text))
			return !ok
		})
	}
	return t.tags == "T" || t.numbers > 0 && t.off == 0 && t.whole && t.lo >= 0 && t.hi <= 1
}

func (t *tally) addTag(tag byte) {
	if tag == 'F' {
		tag = 'T'
	}
	if strings.IndexByte(t.tags, tag) < 0 {
		t.tags += string(tag)
	}
}

func (t *tally) addNumber(v float64) {
	switch {
	case math.IsInf(v, -1):
		t.off++
		return
	case !(v <= math.MaxFloat64):
		return
	}
	t.within(v, v, v == math.Trunc(v))
	t.numbers++
	if v == 0 {
		t.zeros++
	}
}

// within widens the range.
func (t *tally) within(lo, hi float64, whole bool) {
	if t.numbers == 0 {
		t.lo, t.hi, t.whole = lo, hi, whole
	}
	t.lo, t.hi, t.whole = min(t.lo, lo), max(t.hi, hi), t.whole && whole
}

func (t *tally) addText(text string) {
	switch {
	case slices.Contains(t.texts, text):
	case len(t.texts) == maxExamples:
		t.moreTexts = true
	default:
		t.texts = append(t.texts, text)
	}
}

// addUnit notes what stands behind the number of a text.
func (t *tally) addUnit(text string) {
	switch _, rest, ok := oscmap.TextNumber([]byte(text)); {
	case !ok:
	case isDecibels(rest):
		t.decibels++
	case string(rest) == ":1":
		t.ratios++
	}
}

// merge adds what is known of others.
func (t *tally) merge(o *tally) {
	for i := range len(o.tags) {
		t.addTag(o.tags[i])
	}
	if o.numbers > 0 {
		t.within(o.lo, o.hi, o.whole)
	}
	for _, text := range o.texts {
		t.addText(text)
	}
	if t.count == 0 {
		t.least = o.least
	}
	t.least, t.most = min(t.least, o.least), max(t.most, o.most)
	t.moreTexts = t.moreTexts || o.moreTexts
	t.count, t.changes = t.count+o.count, t.changes+o.changes
	t.numbers, t.zeros, t.off = t.numbers+o.numbers, t.zeros+o.zeros, t.off+o.off
	t.decibels, t.ratios = t.decibels+o.decibels, t.ratios+o.ratios
}

// slot is one argument of a stream, and all that is known of it.
type slot struct {
	tally
	stream *stream
	arg    int

	last      value
	raw       []byte // of the last text, to know it again without making it fit to be shown
	changedAt time.Duration
	falls     uint64  // changes that were no rise
	leap      float64 // the most that one was
	way       float64 // all of them together, up and down
	busy      int     // seconds in which there was one
	second    int     // of the last
	recent    ring[sample]
	blob      *blobs
	cells     []*slot // of a blob: what may be numbers in it

	// Of a cell only: how and where it lies in its blob.
	in     *slot
	layout oscmap.Layout
	at     int
}

// sample is a number and when it came.
type sample struct {
	at time.Duration
	v  float64
}

// recently is how many numbers or blobs of a slot are kept: of a meter at 20 a
// second the last six seconds.
const recently = 120

// ring keeps the newest of many.
type ring[T any] struct {
	all []T
	n   int // how many there have been
}

// next is where the newest is to be put, over the oldest once there are many.
func (r *ring[T]) next() *T {
	if len(r.all) < recently {
		r.all = append(r.all, *new(T))
	}
	r.n++
	return r.back(0)
}

// len is how many there are.
func (r *ring[T]) len() int { return len(r.all) }

// back is the newest, or one of those before it.
func (r *ring[T]) back(i int) *T { return &r.all[(r.n-1-i)%recently] }

func (s *Survey) argument(t *slot, a *wire.Arg) {
	t.count++
	t.addTag(a.Tag)
	if a.IsBlob() {
		s.blobArgument(t, a.Bytes)
		return
	}
	// The same text again is the usual case, and is not to be copied each time.
	again := a.IsText() && t.count > 1 && t.last.text != "" && bytes.Equal(a.Bytes, t.raw)
	if !again {
		v := read(a)
		switch {
		case t.count == 1:
			t.last, t.changedAt = v, s.last
		case !v.same(t.last):
			t.changes++
			t.moves(t.last, v, s.last)
			t.last, t.changedAt = v, s.last
		}
		if a.IsText() {
			t.raw = append(t.raw[:0], a.Bytes[:min(len(a.Bytes), maxText)]...)
			t.addText(v.text)
		}
	}
	if a.IsText() {
		t.addUnit(t.last.text)
	}
	if x := t.last.num; t.last.isNum {
		if x == math.MinInt32 {
			x = math.Inf(-1) // the least whole number there is stands for nothing at all
		}
		*t.recent.next() = sample{s.last, x}
		t.addNumber(x)
	}
}

// read is the value of an argument that is no blob. What is not a number, or has no
// end upwards, counts as none.
func read(a *wire.Arg) value {
	switch {
	case a.IsNumber() && a.Number <= math.MaxFloat64:
		return value{num: a.Number, isNum: true}
	case a.IsNumber():
		return value{text: "not a number"}
	case a.IsText():
		text := printable(a.Bytes)
		x, ok := numberIn(text)
		return value{text: text, num: x, isNum: ok}
	case a.Bits != 0:
		return value{text: string(rune(a.Tag))}
	}
	return value{}
}

// mean of what was nothing at all most of the time is minus infinity, of none it is
// not a number.
func mean(values []float64) float64 {
	sum, n := 0.0, 0.0
	for _, v := range values {
		if !math.IsInf(v, -1) {
			sum, n = sum+v, n+1
		}
	}
	if 2*n < float64(len(values)) {
		return math.Inf(-1)
	}
	return sum / n
}
