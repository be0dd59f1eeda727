package survey

import (
	"fmt"
	"math/bits"
	"slices"
	"strings"
	"time"

	"pawl/oscmap"
	"pawl/oscmap/wire"
)

// An address may be of one thing, or of many told apart by a number or a word among the
// arguments. Which it is shows in time only. So what comes is noted both as a whole and by
// what may tell it apart, and whoever looks sees one of the two: by what is known by then.

const (
	maxWords    = 32              // more different words are texts, and tell no kinds apart
	maxKeyArgs  = 4               // of a message that is about one strip
	maxRecord   = 8               // and of one that has a text among them, which no row of values has
	maxWordArgs = 3               // from the first, that may be a word
	earlyTime   = 2 * time.Second // within which a desk that tells of many things tells of two
	muchOfOne   = 50              // messages with one number: it is no strip's, or the only one's
)

// origin is an address as it came, and what tells it apart: the number at an argument, and
// the word at another. Without a number at and first are -1, without a word wordAt is.
type origin struct {
	address   string
	plain     bool // nothing in the message could tell it apart
	at, first int
	wordAt    int
	word      string
}

// addressed is all that came to an address in messages that may be told apart, or in others.
type addressed struct {
	all   *stream
	began time.Duration
	ints  [maxRecord]indices
	words [maxWordArgs]kinds
	least int  // arguments of a message
	kin   *int // how many addresses differ from it in numbers or letters only
}

// indices is what is known of the numbers at one argument, if they may be indices.
type indices struct {
	n         uint64
	different map[int]bool // nil once there are too many
	many      bool
	times     map[int]int
	again     int // of the different ones, how many came more than once
	early     int
	lo, hi    int
	last      int
	fell      bool // or stayed, from one message to the next
	stayed    uint64
	at        time.Duration // of the last
	crowded   bool          // two different ones came at one time, as a desk tells of two strips
}

// view is how an address is looked at.
type view struct {
	at   int // the argument that counts strips, -1 if none does
	word int // that says what it is about, -1 if none does
}

// view chooses how the address is looked at.
func (a *addressed) view() view {
	v := view{-1, -1}
	for at := range a.ints {
		i := &a.ints[at]
		if i.n == 0 || i.n != a.all.count || i.many || i.counter(a) || i.flags() {
			continue
		}
		// What takes several values at once counts strips. What only ever changes after a long
		// time may be a switch.
		if i.early < 2 && (at > 0 || len(i.different) < 4 && !(len(i.different) == 1 && i.n < muchOfOne && *a.kin < fewestLetters)) {
			continue
		}
		// Strips come again. The places that a fader is at on its way mostly do not.
		if i.early < 2 && len(i.different) >= 4 && 2*i.again < len(i.different) {
			continue
		}
		// While one strip is moved its number stays; a fader's place on its way does not.
		if i.early < 2 && len(i.different) > 1 && 2*i.stayed < i.n {
			continue
		}
		// Of a clock few numbers come at first, and ever more.
		if at > 0 && (i.hi-i.lo >= 2*len(i.different) && !i.inRuns() || 2*i.early < len(i.different)) {
			continue
		}
		if v.at < 0 || i.early > a.ints[v.at].early {
			v.at = at
		}
	}
	v.word = a.wordAt(v.at >= 0)
	return v
}

// inRuns reports whether the numbers go on without gaps but for a few: each kind of strip may
// have hundreds or thousands of its own.
func (i *indices) inRuns() bool {
	ends := 0
	for x := range i.different {
		if !i.different[x+1] {
			ends++
		}
	}
	return fewestNames*ends <= len(i.different)
}

// counter reports whether the numbers only ever rise, as those of revisions do. Names that
// are told once rise too, but at once.
func (i *indices) counter(a *addressed) bool {
	return !i.fell && i.n >= 4 && a.all.last-a.began > earlyTime
}

// atOnce is within which a desk that tells of several strips at one time does.
const atOnce = 20 * time.Millisecond

// mostStates is how many different ones the bits of a state make at most.
const mostStates = 16

// flags reports whether the numbers are the bits of a state: never two of them at one time, with
// gaps between them, and made of so few bits that most of what those can be has come. Strips are
// counted without gaps.
func (i *indices) flags() bool {
	if i.crowded || len(i.different) < 2 || len(i.different) > mostStates {
		return false
	}
	all, none, beside := 0, -1, 0
	for x := range i.different {
		all, none = all|x, none&x
		if i.different[x-1] || i.different[x+1] {
			beside++
		}
	}
	return 2*beside < len(i.different) && 1<<bits.OnesCount(uint(all&^none)) <= 2*len(i.different)
}

// whole reports whether a stream is all that came to an address.
func (st *stream) whole() bool { return st.of == nil || st == st.of.all }

// seen reports whether a stream is looked at.
func (st *stream) seen() bool {
	if st.of == nil {
		return true
	}
	v := st.of.view()
	return st.at == v.at && st.wordAt == v.word
}

// mostKeys is how many numbers of a message may be it: the first, the last, and in a record that
// begins with two before a word the second, since the first may be a serial number.
const mostKeys = 3

// keys are what tells a message apart: some numbers and some words, of each of which only one
// can be it.
type keys struct {
	at, first [mostKeys]int
	n         int
	words     [maxWordArgs][]byte // nil where there is none
	any       bool                // of them
}

// keyOf finds what may tell a message apart from others to the same address.
func keyOf(m *wire.Message) (k keys) {
	// A row of whole numbers is a row of values.
	row := len(m.Tags) == maxKeyArgs && m.Tags[1] == 'i' && m.Tags[2] == 'i' || len(m.Tags) > maxKeyArgs && !isRecord(m.Tags)
	last := len(m.Tags) - 1
	for at := range min(len(m.Tags), maxWordArgs) {
		if m.Tags[at] == 's' && len(m.Tags) > 1 && !(len(m.Tags) == 2 && m.Tags[1-at] == 'i') {
			if a, ok := m.Arg(at); ok && isWord(a.Bytes) {
				k.words[at], k.any = a.Bytes, true
			}
		}
	}
	if len(m.Tags) < 2 || row {
		return k
	}
	add := func(at int) {
		if m.Tags[at] != 'i' || slices.Contains(k.at[:k.n], at) {
			return
		}
		if a, ok := m.Arg(at); ok && a.Number >= 0 && a.Number <= maxIndex {
			k.at[k.n], k.first[k.n] = at, int(a.Number)
			k.n++
		}
	}
	for at := range m.Tags {
		if m.Tags[at] == 'i' {
			add(at)
			break
		}
	}
	for at := last; at >= 0; at-- {
		if m.Tags[at] == 'i' {
			add(at)
			break
		}
	}
	if len(m.Tags) == maxKeyArgs && m.Tags[0] == 'i' && m.Tags[1] == 'i' && m.Tags[2] == 's' {
		add(1)
	}
	return k
}

// isRecord reports whether a longer message may be all that is told of one strip: it has a text,
// as a name is.
func isRecord[T string | []byte](tags T) bool {
	if len(tags) > maxRecord {
		return false
	}
	for at := range min(len(tags), maxWordArgs) {
		if tags[at] == 's' {
			return true
		}
	}
	return false
}

// isWord reports whether a text may say what a message is about: it is short, and no value.
func isWord(b []byte) bool {
	if len(b) == 0 || len(b) > 24 {
		return false
	}
	_, _, number := oscmap.TextNumber(b)
	return !number
}

// keyed reports whether a message of such types may be told apart by a number or a word.
func keyed[T string | []byte](tags T) bool {
	if len(tags) < 2 {
		return false
	}
	for at := range len(tags) {
		if tags[at] == 's' && at < maxWordArgs || tags[at] == 'i' && len(tags) <= maxKeyArgs {
			return true
		}
	}
	return false
}

// addressed finds or makes what is known of the address of a message, nil if there is no room.
func (s *Survey) addressed(m *wire.Message) *addressed {
	if len(m.Address) > maxAddress {
		return nil
	}
	plain := !keyed(m.Tags)
	if a := s.known[plain][string(m.Address)]; a != nil {
		return a
	}
	st := s.add(&stream{origin: origin{string(m.Address), plain, -1, -1, -1, ""}})
	if st == nil {
		return nil
	}
	a := &addressed{all: st, began: s.last, kin: s.kinOf(st.address, plain)}
	st.of = a
	s.known[plain][st.address] = a
	return a
}

// kinOf counts an address among those that differ from it in numbers or single letters only.
// Where there are several, it is they that count strips.
func (s *Survey) kinOf(address string, plain bool) *int {
	parts, _ := cutNumbers(address)
	segments := strings.Split(strings.Join(parts, "*"), "/")
	for i := range segments {
		if isLetter(segments[i]) {
			segments[i] = "*"
		}
	}
	key := fmt.Sprint(plain, strings.Join(segments, "/"))
	if s.kin[key] == nil {
		s.kin[key] = new(int)
	}
	*s.kin[key]++
	return s.kin[key]
}

// tellApart notes what may tell a message apart.
func (s *Survey) tellApart(a *addressed, k keys, tags []byte) {
	early := s.last-a.began <= earlyTime
	if a.least == 0 || len(tags) < a.least {
		a.least = len(tags)
	}
	number := -1
	if k.n > 0 {
		number = k.first[0]
	}
	for at := range k.words {
		if w := &a.words[at]; k.words[at] != nil && !w.note(k.words[at], number, tags, at, early) {
			s.forget(a, func(st *stream) bool { return st.wordAt == at })
		}
	}
	for j := range k.n {
		i := &a.ints[k.at[j]]
		x := k.first[j]
		i.fell = i.fell || i.n > 0 && x <= i.last
		switch {
		case i.n == 0:
		case x == i.last:
			i.stayed++
		case s.last-i.at < atOnce:
			i.crowded = true
		}
		i.at = s.last
		if i.n == 0 {
			i.lo, i.hi = x, x
		}
		if i.times == nil {
			i.times = map[int]int{}
		}
		if n := i.times[x]; n > 0 || len(i.times) <= maxFirsts {
			i.times[x] = n + 1
			if n == 1 {
				i.again++
			}
		}
		i.lo, i.hi, i.last = min(i.lo, x), max(i.hi, x), x
		i.n++
	}
}

// apart notes a message in the streams of what may tell it apart, besides that of its whole
// address.
func (s *Survey) apart(a *addressed, k keys, note func(*stream)) {
	for wordAt := -1; wordAt < len(k.words); wordAt++ {
		var word []byte
		if wordAt >= 0 {
			if word = k.words[wordAt]; word == nil || !a.mayTell(wordAt) {
				continue
			}
			note(s.keyedStream(a, -1, -1, wordAt, word))
		}
		for j := range k.n {
			if !a.ints[k.at[j]].many {
				note(s.keyedStream(a, k.at[j], k.first[j], wordAt, word))
			}
		}
	}
}

// keyedStream finds or makes the stream of one number and word, nil if there is no room.
func (s *Survey) keyedStream(a *addressed, at, first, wordAt int, word []byte) *stream {
	if st := s.streams[origin{a.all.address, false, at, first, wordAt, string(word)}]; st != nil {
		return st
	}
	if len(s.streams) == maxStreams {
		return nil
	}
	st := &stream{origin: origin{a.all.address, false, at, first, wordAt, string(word)}, of: a}
	if at == 0 {
		st.from = 1
	}
	if at < 0 {
		return s.add(st)
	}
	i := &a.ints[at]
	if !i.different[first] {
		if i.different == nil {
			i.different = map[int]bool{}
		}
		i.different[first] = true
		// No desk has so many strips of a kind; what is told apart so far was a value.
		if len(i.different) > maxFirsts {
			i.many, i.different = true, nil
			s.forget(a, func(st *stream) bool { return st.at == at })
			return nil
		}
		if s.last-a.began <= earlyTime {
			i.early++
		}
	}
	return s.add(st)
}
