package survey

import (
	"time"

	"pawl/oscmap"
	"pawl/oscmap/wire"
)

// An address may be of one thing, or of many told apart by a number or a word among the
// arguments. Which it is shows in time only. So what comes is noted both as a whole and by
// what may tell it apart, and whoever looks sees one of the two: by what is known by then.

const (
	maxWords   = 32              // more different words are texts, and tell no kinds apart
	maxKeyArgs = 4               // of a message that is about one strip
	earlyTime  = 2 * time.Second // within which a desk that tells of many things tells of two
	muchOfOne  = 50              // messages with one number: it is no strip's, or the only one's
)

// origin is an address as it came, and what tells it apart: the number at an argument, and
// a word. Without a number at and first are -1.
type origin struct {
	address   string
	plain     bool // nothing in the message could tell it apart
	at, first int
	word      string
}

// addressed is all that came to an address in messages that may be told apart, or in others.
type addressed struct {
	all    *stream
	began  time.Duration
	ints   [maxKeyArgs]indices
	wordAt int            // -1 if there is none, or more than one place
	words  map[string]int // with a number that came with each
	early  int            // words
	shared bool           // a word came with several numbers
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
		if i.n == 0 || i.n != a.all.count || i.many || i.counter(a) {
			continue
		}
		// What takes several values at once counts strips. What only ever changes after a long
		// time may be a switch.
		if i.early < 2 && (at > 0 || len(i.different) < 4 && !(len(i.different) == 1 && i.n < muchOfOne)) {
			continue
		}
		// Strips come again. The places that a fader is at on its way mostly do not.
		if i.early < 2 && len(i.different) >= 4 && 2*i.again < len(i.different) {
			continue
		}
		// Of a clock few numbers come at first, and ever more.
		if at > 0 && (i.hi-i.lo >= 2*len(i.different) || 2*i.early < len(i.different)) {
			continue
		}
		if v.at < 0 || i.early > a.ints[v.at].early {
			v.at = at
		}
	}
	if a.wordAt >= 0 && (v.at >= 0 && a.shared || v.at < 0 && a.early >= 2) {
		v.word = a.wordAt
	}
	return v
}

// counter reports whether the numbers only ever rise, as those of revisions do. Names that
// are told once rise too, but at once.
func (i *indices) counter(a *addressed) bool {
	return !i.fell && i.n >= 4 && a.all.last-a.began > earlyTime
}

// seen reports whether a stream is looked at.
func (st *stream) seen() bool {
	if st.of == nil {
		return true
	}
	v := st.of.view()
	switch {
	case st.first >= 0:
		return st.at == v.at
	case st.word != "":
		return v.at < 0 && v.word >= 0
	}
	return v.at < 0 && v.word < 0
}

// keys are what tells a message apart: up to two numbers, of which only one can be it.
type keys struct {
	at, first [2]int
	n         int
	wordAt    int
	word      []byte
}

// keyOf finds what may tell a message apart from others to the same address.
func keyOf(m *wire.Message) (k keys) {
	k.wordAt = -1
	// A row of whole numbers is a row of values.
	row := len(m.Tags) == maxKeyArgs && m.Tags[1] == 'i' && m.Tags[2] == 'i'
	last := len(m.Tags) - 1
	for at := range min(len(m.Tags), 3) {
		if m.Tags[at] == 's' && k.wordAt < 0 && at < last && !(len(m.Tags) == 2 && m.Tags[last] == 'i') {
			if a, ok := m.Arg(at); ok && isWord(a.Bytes) {
				k.wordAt, k.word = at, a.Bytes
			}
		}
	}
	if len(m.Tags) < 2 || len(m.Tags) > maxKeyArgs || row {
		return k
	}
	add := func(at int) {
		if m.Tags[at] != 'i' || k.n == 1 && k.at[0] == at {
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
	return k
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
	for at := range len(tags) - 1 {
		if tags[at] == 's' || tags[at] == 'i' && len(tags) <= maxKeyArgs {
			return true
		}
	}
	return len(tags) <= maxKeyArgs && tags[len(tags)-1] == 'i'
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
	st := s.add(&stream{origin: origin{string(m.Address), plain, -1, -1, ""}})
	if st == nil {
		return nil
	}
	a := &addressed{all: st, began: s.last, wordAt: -1}
	st.of = a
	s.known[plain][st.address] = a
	return a
}

// tellApart notes what may tell a message apart.
func (s *Survey) tellApart(a *addressed, k keys) {
	early := s.last-a.began <= earlyTime
	if k.wordAt >= 0 && (a.wordAt == k.wordAt || a.words == nil) {
		if a.words == nil {
			a.wordAt, a.words = k.wordAt, map[string]int{}
		}
		first, had := a.words[string(k.word)]
		number := -1
		if k.n > 0 {
			number = k.first[0]
		}
		switch {
		case had:
			a.shared = a.shared || first != number
		case len(a.words) == maxWords:
			a.wordAt = -1
		default:
			a.words[string(k.word)] = number
			if early {
				a.early++
			}
		}
	} else if a.words != nil {
		a.wordAt = -1 // not every message has it there
	}
	for j := range k.n {
		i := &a.ints[k.at[j]]
		x := k.first[j]
		i.fell = i.fell || i.n > 0 && x <= i.last
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

// apart are the streams that a message is noted in besides that of its whole address.
func (s *Survey) apart(a *addressed, k keys) (all [3]*stream) {
	word := k.word
	if a.wordAt < 0 || k.wordAt != a.wordAt {
		word = nil
	}
	if word != nil {
		all[2] = s.keyedStream(a, -1, -1, word)
	}
	for j := range k.n {
		if !a.ints[k.at[j]].many {
			all[j] = s.keyedStream(a, k.at[j], k.first[j], word)
		}
	}
	return all
}

// keyedStream finds or makes the stream of one number and word.
func (s *Survey) keyedStream(a *addressed, at, first int, word []byte) *stream {
	if st := s.streams[origin{a.all.address, false, at, first, string(word)}]; st != nil {
		return st
	}
	if len(s.streams) == maxStreams {
		return nil
	}
	st := &stream{origin: origin{a.all.address, false, at, first, string(word)}, of: a}
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
			s.forget(a, at)
			return nil
		}
		if s.last-a.began <= earlyTime {
			i.early++
		}
	}
	return s.add(st)
}
