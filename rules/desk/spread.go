package desk

import "time"

// spread is how one quantity was distributed over the last beats that counted: for
// each span a running histogram in steps of 0.1 dB. A beat enters each histogram
// once and leaves it once, so that nothing is ever sorted.
type spread struct {
	lowest float64  // of the first bin; what lies below is counted in it
	ring   []uint16 // the bin of each beat, the longest span of them
	next   int
	full   int
	spans  []binCount
}

// binCount is the histogram of one span.
type binCount struct {
	beats int
	count []uint16
}

// binsPerDB is as fine as any figure is shown.
const binsPerDB = 10

// newSpread covers lowest to highest, in decibels, over these spans, shortest first.
func newSpread(lowest, highest float64, spans ...time.Duration) spread {
	s := spread{lowest: lowest, ring: make([]uint16, spans[len(spans)-1]/Beat)}
	for _, d := range spans {
		s.spans = append(s.spans, binCount{int(d / Beat), make([]uint16, int((highest-lowest)*binsPerDB)+1)})
	}
	return s
}

// add counts one beat.
func (s *spread) add(v float64) {
	last := len(s.spans[0].count) - 1
	bin := uint16(min(max((v-s.lowest)*binsPerDB+0.5, 0), float64(last)))
	for i := range s.spans {
		h := &s.spans[i]
		if s.full >= h.beats {
			gone := s.next - h.beats
			if gone < 0 {
				gone += len(s.ring)
			}
			h.count[s.ring[gone]]--
		}
		h.count[bin]++
	}
	s.ring[s.next] = bin
	if s.next++; s.next == len(s.ring) {
		s.next = 0
	}
	s.full = min(s.full+1, len(s.ring))
}

// quantile is the value that the share q of the last span lay at or below, to
// 0.1 dB: of n beats the one in place n·q, counted from 0. Before the first beat,
// and for a span that is not kept, there is none.
func (s *spread) quantile(span time.Duration, q float64) (v float64, ok bool) {
	for i := range s.spans {
		h := &s.spans[i]
		if h.beats != int(span/Beat) {
			continue
		}
		place := int(float64(min(s.full, h.beats)) * q)
		for bin, n := range h.count {
			if place -= int(n); place < 0 {
				return s.lowest + float64(bin)/binsPerDB, true
			}
		}
	}
	return 0, false
}
