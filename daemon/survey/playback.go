package survey

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"pawl/oscmap"
	"pawl/oscmap/wire"
	"pawl/rules/desk"
)

// What the lines of a draft read from the messages that it was made of.

// playedLine is an entry of a draft, and what it reads.
type playedLine struct {
	*entry
	signal   desk.Signal
	readings []desk.Reading // each at a time that is the number of its message
	refused  uint64
}

// playback plays what was kept to each line that is certain. Of one that was played already it
// is remembered.
func (d *drafter) playback(o DraftOptions) (lines []*playedLine) {
	var tape []taped
	for i := range d.entries {
		e := &d.entries[i]
		if e.unsure {
			continue
		}
		text := d.mapOf(e, o)
		l := d.played[text]
		if l == nil {
			if tape == nil {
				tape = d.survey.tape.all()
			}
			l = play(text, tape)
			if d.played == nil {
				d.played = map[string]*playedLine{}
			}
			d.played[text] = l
		}
		if l.signal != desk.NoSignal {
			l.entry = e
			lines = append(lines, l)
		}
	}
	return lines
}

// mapOf is a map of one line.
func (d *drafter) mapOf(e *entry, o DraftOptions) string {
	var b strings.Builder
	fmt.Fprintf(&b, "desk: draft\n")
	if o.Strips != "" {
		fmt.Fprintf(&b, "%s\n", strings.TrimSpace(o.Strips))
	}
	if strings.Contains(e.value, "taper: ") && d.scale.taper != "" {
		fmt.Fprintf(&b, "tapers:\n  %s: %s\n", taperName, d.scale.taper)
	}
	b.WriteString("signals:\n")
	bare := *e
	bare.why = nil
	bare.write(&b, "  ")
	return b.String()
}

// play plays messages to a map of one line.
func play(text string, tape []taped) *playedLine {
	l := &playedLine{}
	m, _ := oscmap.Load("draft", []byte(text), nil)
	if m == nil {
		return l // what is wrong with it is said of the whole
	}
	l.signal = m.Heard()[0]
	h := m.NewHearer()
	var r wire.Reader
	for _, t := range tape {
		h.Packet()
		for r.Reset(t.data); r.Next(); {
			l.readings = h.Hear(l.readings, t.n, r.Message())
		}
	}
	l.refused = h.Counts().Refused[l.signal]
	return l
}

// at is the last value of a strip up to a message and after another, false if there is none.
func (l *playedLine) at(index int, after, by order) (v float64, ok bool) {
	for i := len(l.readings) - 1; i >= 0; i-- {
		r := &l.readings[i]
		if r.At <= after {
			break
		}
		if r.At <= by && r.Index == index {
			return r.Value, true
		}
	}
	return 0, false
}

// mean is the mean power of a strip in a step, in dB; not a number if nothing was read.
func (l *playedLine) mean(index int, after, by order) float64 {
	power, n := 0.0, 0
	for i := range l.readings {
		if r := &l.readings[i]; r.Index == index && r.At > after && r.At <= by {
			power += math.Pow(10, r.Value/10)
			n++
		}
	}
	return 10 * math.Log10(power/float64(n))
}

// last is the least that a strip is at in the last of what was read in a step; not a number if nothing was.
func (l *playedLine) last(index int, st step) float64 {
	least, n := math.NaN(), 0
	for i := len(l.readings) - 1; i >= 0 && n < lastRead; i-- {
		if r := &l.readings[i]; r.Index == index && r.At > st.asked && r.At <= st.answered {
			if least, n = min(least, r.Value), n+1; n == 1 {
				least = r.Value
			}
		}
	}
	return least
}

// lastRead is how many values of a meter at the end of a step are after the hand's move.
const lastRead = 3

// indices are the strips that something was read of.
func (l *playedLine) indices() (all []int) {
	for i := range l.readings {
		if k := l.readings[i].Index; !slices.Contains(all, k) {
			all = append(all, k)
		}
	}
	slices.Sort(all)
	return all
}

// merged is several lines of one signal as one.
func merged(lines []*playedLine) *playedLine {
	all := &playedLine{entry: lines[0].entry, signal: lines[0].signal}
	for _, l := range lines {
		all.readings = append(all.readings, l.readings...)
		all.refused += l.refused
	}
	if len(lines) > 1 {
		slices.SortStableFunc(all.readings, func(a, b desk.Reading) int { return int(a.At - b.At) })
	}
	return all
}
