package oscmap

import "pawl/rules/desk"

// Counts is what became of the messages a Hearer was given. The arrays are
// indexed by rules.Signal.
type Counts struct {
	Messages uint64 // given to Hear
	Unmapped uint64 // heard by no line of the map
	Passed   uint64 // of those, patterns that were not tried, since others of their packet had met too much

	// Clamped values lay outside the signal's range or the taper, and were taken
	// for the end of it.
	Clamped [signalCount]uint64

	// Refused values could not be values of the signal: not a number, plus
	// infinity, another type, an unknown word, a blob of another size. A
	// refused blob counts once.
	Refused [signalCount]uint64
}

const signalCount = int(desk.DeskAlive) + 1

// Counts is what was counted since the Hearer was made.
func (h *Hearer) Counts() Counts {
	c := h.counts
	for i, l := range h.m.lines {
		for _, s := range l.signals {
			c.Clamped[s] += h.doubts[i].clamped
			c.Refused[s] += h.doubts[i].refused
		}
	}
	return c
}

// LastUnmapped is the address of the latest message that no signal hears, cut
// to 120 bytes, and "" if all were heard. It helps a person who has the map of
// another desk. What in it would act on a terminal or a page is a question mark.
func (h *Hearer) LastUnmapped() string { return tamed(string(h.last), '?') }

const mostOfAddress = 120
