package daemon

import (
	"bytes"
	"cmp"
	"maps"
	"slices"

	"pawl/rules/desk"
)

// known keeps the newest message of the desk about each of its settings, so that a
// capture may begin in the middle of an evening with how the desk stands. Levels are not
// settings, and a scene is not where the desk stands but that it was recalled.
type known struct {
	of map[setting]saying
	n  uint64 // messages so far
}

// setting is one thing that a desk has: a fader, a name, a place in a group.
type setting struct {
	signal    desk.Signal
	index, to int
}

type saying struct {
	n       uint64
	message []byte
}

func newKnown() *known { return &known{of: map[setting]saying{}} }

// hear takes what the map made of a message. It does nothing if nobody asks.
func (k *known) hear(readings []desk.Reading, message []byte) {
	if k == nil {
		return
	}
	var kept []byte
	for i := range readings {
		r := &readings[i]
		if !isSetting[r.Signal] {
			continue
		}
		if kept == nil {
			kept = bytes.Clone(message)
			k.n++
		}
		k.of[setting{r.Signal, r.Index, r.To}] = saying{k.n, kept}
	}
}

// isSetting tells by signal.
var isSetting = func() (is [256]bool) {
	for _, s := range desk.Signals() {
		is[s] = s.Control() && s.Of() != desk.StripScene
	}
	return is
}()

// messages are what the desk would have to say to be known as it is, each in a packet of
// its own, in the order in which it said it.
func (k *known) messages() (all [][]byte) {
	var last uint64
	for _, t := range slices.SortedFunc(maps.Values(k.of), func(a, b saying) int { return cmp.Compare(a.n, b.n) }) {
		if t.n != last { // one message may tell of several
			all, last = append(all, t.message), t.n
		}
	}
	return all
}
