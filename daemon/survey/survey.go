// Package survey looks at what a desk of an unknown dialect sends, and makes of it
// what can be made: a table of addresses by their shape, and the draft of a map.
//
// It is given packets with their times and gives back findings. It opens no
// socket, no file and no terminal, and reads no clock. What it keeps is bounded,
// whatever is sent to it: beyond the bounds it counts and says so.
//
// A first map cannot be guessed from bytes alone, because nothing in them says
// which number is the fader of input 1. So the package also holds a Guide: a list
// of plain questions, each asking for one move on the desk, whose answers are
// read from what changed. A signal that is still unknown afterwards is written
// into the draft as a comment that says so.
package survey

import (
	"slices"
	"time"

	"pawl/oscmap"
	"pawl/oscmap/wire"
)

// The bounds. A large desk that tells everything at once stays below them.
const (
	maxStreams  = 4096 // addresses, and first arguments that look like an index
	maxSlots    = 8192 // arguments of all of them
	maxArgs     = 96   // arguments of one message that are looked at
	maxBlobs    = 64   // arguments that are blobs
	maxFirsts   = 128  // values of a first argument that may be an index
	maxAddress  = 255  // bytes
	maxIndex    = 9999
	maxExamples = 12
)

// Options say what a Survey is told besides packets. The zero value is fine.
type Options struct {
	// Map is one that is held against what arrives, nil for none.
	Map *oscmap.Map
}

// Survey gathers what arrives. Make one with New; it is used from one goroutine.
type Survey struct {
	reader    wire.Reader
	explainer *oscmap.Explainer // nil without a map

	streams map[origin]*stream
	order   []*stream
	known   map[bool]map[string]*addressed // by whether messages have several arguments
	kin     map[string]*int                // how many addresses differ in what counts only
	slots   int
	blobs   int

	wholeCells, apartCells int // see cellCount

	tape tape

	begun       bool
	first, last time.Duration
	counts      Counts
}

// New makes a Survey that has heard nothing.
func New(o Options) *Survey {
	s := &Survey{streams: map[origin]*stream{}, kin: map[string]*int{}, known: map[bool]map[string]*addressed{false: {}, true: {}}}
	if o.Map != nil {
		s.explainer = o.Map.NewExplainer()
	}
	return s
}

// Hear takes one packet. Times must not run backwards; one that does counts as
// the time before it. Nothing of data is kept but copies of a bounded size.
func (s *Survey) Hear(at time.Duration, data []byte) {
	if !s.begun {
		s.begun, s.first, s.last = true, at, at
	}
	s.last = max(s.last, at)
	s.counts.Packets++
	if s.explainer != nil {
		s.explainer.Packet()
	}
	for s.reader.Reset(data); s.reader.Next(); {
		s.counts.Messages++
		s.message(s.reader.Message(), s.reader.Bytes())
	}
	if s.reader.Err() != nil || s.reader.Skipped() > 0 {
		s.counts.Malformed++
	}
}

// Elapse lets time pass without a packet, so that rates and ages are right.
func (s *Survey) Elapse(at time.Duration) {
	if s.begun {
		s.last = max(s.last, at)
	}
}

// Doubts are the lines of the map that do not fit what arrived.
func (s *Survey) Doubts() []oscmap.Doubt {
	if s.explainer == nil {
		return nil
	}
	return s.explainer.Doubts()
}

// Counts says how much a Survey has heard.
type Counts struct {
	Packets   uint64
	Messages  uint64        // in them
	Malformed uint64        // packets that broke the rules of OSC, wholly or in part
	Left      uint64        // messages to more addresses than are kept
	Over      time.Duration // from the first packet until now
}

// Counts is what has come so far.
func (s *Survey) Counts() Counts {
	c := s.counts
	c.Over = s.last - s.first
	return c
}

func (s *Survey) message(m *wire.Message, data []byte) {
	a := s.addressed(m)
	if a == nil {
		s.counts.Left++
		return
	}
	var explained *oscmap.Explanation
	if s.explainer != nil {
		explained = s.explainer.Explain(m)
	}
	k := keyOf(m)
	s.note(a.all, m, explained)
	of := a.all
	if k.n > 0 || k.any {
		s.tellApart(a, k, m.Tags)
		s.apart(a, k, func(st *stream) {
			if st != nil {
				s.note(st, m, explained)
				of = st
			}
		})
	}
	s.tape.keep(of, of == a.all && len(m.Tags) > 1, s.heard(), data)
}

// heard is the number of the last message.
func (s *Survey) heard() order { return order(s.counts.Messages) }

// note keeps what a message says in a stream.
func (s *Survey) note(st *stream, m *wire.Message, explained *oscmap.Explanation) {
	st.count++
	st.last = s.last
	if explained != nil {
		st.hearing.add(explained)
	}
	n := 0
	for args := m.Args(); args.Next(); n++ {
		if n < st.from {
			continue
		}
		if n-st.from == len(st.slots) {
			// A hostile packet holds thousands of arguments, a desk's rows some dozens.
			if n >= maxArgs || s.slots == maxSlots {
				break
			}
			s.slots++
			st.slots = append(st.slots, &slot{stream: st, arg: n})
		}
		s.argument(st.slots[n-st.from], args.Arg())
	}
}

func (s *Survey) add(st *stream) *stream {
	if len(s.streams) == maxStreams {
		return nil
	}
	st.shown = clean(st.address)
	s.streams[st.origin] = st
	s.order = append(s.order, st)
	return st
}

// forget drops the streams of an address that were told apart by mistake.
func (s *Survey) forget(a *addressed, mistaken func(*stream) bool) {
	s.order = slices.DeleteFunc(s.order, func(st *stream) bool {
		if st.of != a || st.whole() || !mistaken(st) {
			return false
		}
		delete(s.streams, st.origin)
		s.slots -= len(st.slots)
		for _, t := range st.slots {
			if t.blob != nil {
				s.blobs--
			}
			*s.cellCount(t) -= len(t.cells)
		}
		return true
	})
}
