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
	"time"

	"pawl/oscmap/wire"
)

// The bounds. A large desk that tells everything at once stays below them.
const (
	maxSources  = 4096 // addresses, and first arguments that look like an index
	maxSlots    = 8192 // arguments of all of them
	maxArgs     = 96   // arguments of one message that are looked at
	maxBlobs    = 64   // arguments that are blobs
	maxFirsts   = 128  // values of a first argument that may be an index
	maxAddress  = 255  // bytes
	maxIndex    = 1023
	maxExamples = 12
)

// Options say what a Survey is told besides packets. The zero value is fine.
type Options struct {
	// Heard says in a few words what a map makes of a message, "" for nothing. It
	// is asked until it has an answer for the address, on the goroutine of Hear.
	Heard func(m *wire.Message) string
}

// Survey gathers what arrives. Make one with New; it is used from one goroutine.
type Survey struct {
	options Options
	reader  wire.Reader

	sources map[origin]*source
	order   []*source
	split   map[string]int // how many first arguments an address has; -1 for too many
	slots   int
	blobs   int

	begun       bool
	first, last time.Duration

	packets, messages, malformed uint64
	left                         uint64 // messages whose address is not kept
}

// New makes a Survey that has heard nothing.
func New(o Options) *Survey {
	return &Survey{options: o, sources: map[origin]*source{}, split: map[string]int{}}
}

// Hear takes one packet. Times must not run backwards; one that does counts as
// the time before it. Nothing of data is kept but copies of a bounded size.
func (s *Survey) Hear(at time.Duration, data []byte) {
	if !s.begun {
		s.begun, s.first, s.last = true, at, at
	}
	s.last = max(s.last, at)
	s.packets++
	for s.reader.Reset(data); s.reader.Next(); {
		s.messages++
		s.message(s.reader.Message())
	}
	if s.reader.Err() != nil || s.reader.Skipped() > 0 {
		s.malformed++
	}
}

// Elapse lets time pass without a packet, so that rates and ages are right.
func (s *Survey) Elapse(at time.Duration) {
	if s.begun {
		s.last = max(s.last, at)
	}
}

// Counts is what has come so far.
func (s *Survey) Counts() Counts {
	return Counts{Packets: s.packets, Messages: s.messages, Malformed: s.malformed, Left: s.left, Over: s.last - s.first}
}

// Counts says how much a Survey has heard.
type Counts struct {
	Packets   uint64
	Messages  uint64        // in them
	Malformed uint64        // packets that broke the rules of OSC, wholly or in part
	Left      uint64        // messages to more addresses than are kept
	Over      time.Duration // from the first packet until now
}

func (s *Survey) message(m *wire.Message) {
	src := s.source(m)
	if src == nil {
		s.left++
		return
	}
	src.count++
	src.last = s.last
	if src.heard == "" && s.options.Heard != nil {
		src.heard = s.options.Heard(m)
	}
	n := 0
	for args := m.Args(); args.Next(); n++ {
		if n < src.from {
			continue
		}
		if n-src.from == len(src.slots) {
			if n >= maxArgs || s.slots == maxSlots {
				break
			}
			s.slots++
			src.slots = append(src.slots, &slot{source: src, arg: n})
		}
		s.argument(src.slots[n-src.from], args.Arg())
	}
	src.args = max(src.args, len(m.Tags))
}

// source finds or makes where a message is noted, nil if there is no room.
func (s *Survey) source(m *wire.Message) *source {
	if len(m.Address) > maxAddress {
		return nil
	}
	if first, ok := firstIndex(m); ok && s.split[string(m.Address)] >= 0 {
		if src := s.indexed(m, first); src != nil {
			return src
		}
	}
	if src := s.sources[origin{string(m.Address), -1}]; src != nil {
		return src
	}
	return s.add(origin{string(m.Address), -1}, &source{})
}

// indexed is the source of one value of the first argument. An address whose
// first argument takes very many values is not counting strips with it.
func (s *Survey) indexed(m *wire.Message, first int) *source {
	if src := s.sources[origin{string(m.Address), first}]; src != nil {
		return src
	}
	address := string(m.Address)
	if s.split[address]++; s.split[address] > maxFirsts {
		s.split[address] = -1
		s.forget(address)
		return nil
	}
	return s.add(origin{address, first}, &source{from: 1})
}

func (s *Survey) add(key origin, src *source) *source {
	if len(s.sources) == maxSources {
		return nil
	}
	src.origin, src.address, src.began = key, clean(key.address), s.last
	s.sources[key] = src
	s.order = append(s.order, src)
	return src
}

// forget drops the sources of an address that was split by mistake.
func (s *Survey) forget(address string) {
	kept := s.order[:0]
	for _, src := range s.order {
		if src.first >= 0 && src.origin.address == address {
			delete(s.sources, src.origin)
			s.slots -= len(src.slots)
			for _, t := range src.slots {
				if t.blob != nil {
					s.blobs--
				}
			}
			continue
		}
		kept = append(kept, src)
	}
	clear(s.order[len(kept):])
	s.order = kept
}

// firstIndex is the first argument of a message that may be for the strip of that
// number: a small whole number with a value or two after it.
func firstIndex(m *wire.Message) (int, bool) {
	if len(m.Tags) < 2 || len(m.Tags) > 4 || m.Tags[0] != 'i' {
		return 0, false
	}
	// A row of whole numbers is a row of values.
	if len(m.Tags) == 4 && m.Tags[1] == 'i' && m.Tags[2] == 'i' {
		return 0, false
	}
	a, ok := m.Arg(0)
	if !ok || a.Number < 0 || a.Number > maxIndex {
		return 0, false
	}
	return int(a.Number), true
}
