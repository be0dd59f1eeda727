package survey

import (
	"bytes"
	"math"
	"time"

	"pawl/oscmap/wire"
)

// origin is an address as it came, and the first argument if that may be an
// index; otherwise first is -1.
type origin struct {
	address string
	first   int
}

// source is one address, or one value of the first argument of an address.
type source struct {
	origin
	address string // fit to be shown
	from    int    // arguments before the first slot
	args    int    // the most in one message
	count   uint64
	began   time.Duration
	last    time.Duration
	heard   string // what the map makes of it
	slots   []*slot
}

// value is what stood in an argument. A text with a number in it has both.
type value struct {
	text  string
	num   float64 // NaN if there is none
	isNum bool
}

func (v value) same(o value) bool {
	return v.text == o.text && v.isNum == o.isNum && (v.num == o.num || !v.isNum)
}

// sample is a number and when it came.
type sample struct {
	at time.Duration
	v  float64
}

// slot is one argument of a source, and all that is known of it.
type slot struct {
	source *source
	arg    int
	tags   string // the type tags it had, each once; T and F count as T

	count     uint64
	changes   uint64
	changedAt time.Duration
	last      value
	raw       []byte // of the last text, to know it again without making it fit to be shown

	numbers uint64 // how many could be read as a number
	lo, hi  float64
	zeros   uint64
	off     uint64 // minus infinities
	whole   bool   // every number so far

	texts     []string // examples, each once
	moreTexts bool
	decibels  uint64 // texts with dB after the number
	ratios    uint64 // texts with :1 after the number

	recent ring[sample]
	blob   *blobs
}

// ring keeps the newest of many.
type ring[T any] struct {
	all  []T
	next int
}

func (r *ring[T]) add(v T, most int) {
	if len(r.all) < most {
		r.all = append(r.all, v)
		return
	}
	r.all[r.next] = v
	r.next = (r.next + 1) % most
}

// recentNumbers is how many numbers of a slot are kept: of a meter at 20 a second
// the last three seconds.
const recentNumbers = 60

func (s *Survey) argument(t *slot, a *wire.Arg) {
	t.count++
	t.tag(a.Tag)
	if a.IsBlob() {
		s.blobArgument(t, a.Bytes)
		return
	}
	if a.IsText() && t.count > 1 && t.last.text != "" && bytes.Equal(a.Bytes, t.raw) {
		s.again(t)
		return
	}
	v := read(a)
	if a.IsText() {
		t.raw = append(t.raw[:0], a.Bytes[:min(len(a.Bytes), maxText)]...)
	}
	if t.count == 1 {
		t.last, t.changedAt = v, s.last
	} else if !v.same(t.last) {
		t.changes++
		t.changedAt = s.last
		t.last = v
	}
	if v.isNum {
		t.number(s.last, v.num)
	}
	if a.IsText() {
		t.text(v.text)
	}
}

// again is a text that is the same as the one before it.
func (s *Survey) again(t *slot) {
	if !t.last.isNum {
		return
	}
	t.number(s.last, t.last.num)
	if _, rest, _ := leadingNumber(t.last.text); hasDecibels(rest) {
		t.decibels++
	}
}

func (t *slot) tag(tag byte) {
	if tag == 'F' {
		tag = 'T'
	}
	for i := range len(t.tags) {
		if t.tags[i] == tag {
			return
		}
	}
	t.tags += string(tag)
}

func (t *slot) number(at time.Duration, v float64) {
	// The least whole number there is stands for nothing at all.
	if v == math.MinInt32 {
		v = math.Inf(-1)
	}
	t.recent.add(sample{at, v}, recentNumbers)
	t.numbers++
	switch {
	case math.IsInf(v, -1):
		t.off++
		return
	case math.IsInf(v, 1):
		return
	}
	if t.numbers-t.off == 1 {
		t.lo, t.hi, t.whole = v, v, true
	}
	t.lo, t.hi = min(t.lo, v), max(t.hi, v)
	t.whole = t.whole && v == math.Trunc(v)
	if v == 0 {
		t.zeros++
	}
}

func (t *slot) text(text string) {
	if _, rest, ok := leadingNumber(text); ok {
		switch {
		case hasDecibels(rest):
			t.decibels++
		case rest == ":1":
			t.ratios++
		}
	}
	for _, have := range t.texts {
		if have == text {
			return
		}
	}
	if len(t.texts) == maxExamples {
		t.moreTexts = true
		return
	}
	t.texts = append(t.texts, text)
}

// read is the value of an argument that is no blob. Not a number counts as none.
func read(a *wire.Arg) value {
	switch {
	case a.IsNumber():
		if a.Number != a.Number {
			return value{text: "not a number"}
		}
		return value{num: a.Number, isNum: true}
	case a.IsText():
		text := printable(a.Bytes)
		x, ok := numberIn(text)
		return value{text: text, num: x, isNum: ok}
	case a.Bits != 0:
		return value{text: string(rune(a.Tag))}
	}
	return value{}
}

// rate is how often a second something happened that happened n times.
func rate(n uint64, over time.Duration) float64 {
	if over <= 0 || n < 2 {
		return 0
	}
	return float64(n) / over.Seconds()
}

// mean is the mean of what a slot said since a time, and of how many. What was
// nothing at all most of the time is minus infinity.
func (t *slot) mean(since time.Duration) (float64, int) {
	var m mean
	for _, s := range t.recent.all {
		if s.at >= since {
			m.add(s.v)
		}
	}
	return m.value(), m.n + m.off
}

// mean gathers a mean.
type mean struct {
	sum    float64
	n, off int
}

func (m *mean) add(v float64) {
	if math.IsInf(v, 0) {
		m.off++
		return
	}
	m.sum, m.n = m.sum+v, m.n+1
}

func (m *mean) value() float64 {
	if m.off > m.n {
		return math.Inf(-1)
	}
	return m.sum / float64(m.n) // of nothing it is not a number
}

// isText reports whether the slot only ever held texts.
func (t *slot) isText() bool {
	return t.tags == "s" || t.tags == "S" || t.tags == "sS" || t.tags == "Ss"
}

// isSwitch reports whether all that was seen could be on and off, and how that is
// said: as words, as bools or as 0 and 1.
func (t *slot) isSwitch() bool {
	if t.isText() {
		return len(t.texts) > 0 && len(t.texts) <= 2 && !t.moreTexts && switchWords(t.texts)
	}
	return t.tags == "T" || t.numbers > 0 && t.off == 0 && t.whole && t.lo >= 0 && t.hi <= 1
}
