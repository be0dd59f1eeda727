package rules

import (
	"time"

	"pawl/rules/desk"
)

// Beat is how often levels are folded and every rule is asked. Fader moves are
// judged at the instant they come to rest and do not wait for it.
const Beat = 100 * time.Millisecond

// meterSlots beats are remembered: ten seconds, the longest mean anyone asks for.
const meterSlots = int(LongestMean / Beat)

// LongestMean is the longest time over which a level can be averaged.
const LongestMean = 10 * time.Second

// meter keeps ten seconds of one level as mean powers, one slot a beat. Between
// readings the last one holds, because many desks repeat nothing.
type meter struct {
	heard bool
	last  desk.Power
	sum   desk.Power // of the readings since the last fold
	count int

	slots [meterSlots]desk.Power
	next  int
	full  int // how many slots hold something, to meterSlots
}

func (m *meter) hear(p desk.Power) {
	m.heard, m.last = true, p
	m.sum += p
	m.count++
}

// fold closes the current slot. A meter never heard of has no slots.
func (m *meter) fold() {
	if !m.heard {
		return
	}
	p := m.last
	if m.count > 0 {
		p = m.sum / desk.Power(m.count)
	}
	m.sum, m.count = 0, 0
	m.slots[m.next] = p
	if m.next++; m.next == meterSlots {
		m.next = 0
	}
	m.full = min(m.full+1, meterSlots)
}

// mean is the mean power of the last d, or of as much as there is.
func (m *meter) mean(d time.Duration) desk.Power {
	n := min(max(int(d/Beat), 1), m.full)
	if n == 0 {
		return m.last
	}
	var sum desk.Power
	for i, at := 0, m.next; i < n; i++ {
		if at--; at < 0 {
			at = meterSlots - 1
		}
		sum += m.slots[at]
	}
	return sum / desk.Power(n)
}
