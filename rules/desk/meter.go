package desk

import "time"

// Beat is how often levels are folded and every rule is asked. Fader moves are
// judged at the instant they come to rest and do not wait for it.
const Beat = 100 * time.Millisecond

// The spans that statistics are kept over. Means may be asked for over any time up
// to LongestMean; to LongestBeats they end with the last beat, beyond that with the
// last whole second.
const (
	LongestBeats = 10 * time.Second
	Syllable     = 500 * time.Millisecond // bridges the gaps between syllables, and a knock on the microphone is over when it is
	Passage      = 20 * time.Second       // a phrase or two: what a compressor is judged over
	Minute       = time.Minute
	LongestMean  = 20 * time.Minute
)

const (
	meterSlots  = int(LongestBeats / Beat)
	secondSlots = int(LongestMean / time.Second)
)

// meter keeps one level as mean powers: a slot a beat for ten seconds, a slot a
// second for twenty minutes. Between readings the last one holds, because many
// desks repeat nothing. Sums are taken anew when they are asked for: a running sum
// of powers would keep the rounding of its loudest moment as a floor for ever.
type meter struct {
	heard bool
	last  Power
	sum   Power // of the readings since the last fold
	count int

	slots  [meterSlots]Power
	levels [meterSlots]DBFS // of them: whoever compares them does so with many, and a logarithm is dear
	next   int
	full   int // how many slots hold something, to meterSlots

	second  Power // of the beats since the last whole second
	beats   int
	seconds []Power // a ring of secondSlots once it is full
	oldest  int

	asked time.Duration // the longer mean that was last asked for since the last whole second, 0 for none
	was   Power
}

func (m *meter) hear(p Power) {
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
		p = m.sum / Power(m.count)
	}
	m.sum, m.count = 0, 0
	m.put(m.next, p)
	if m.next++; m.next == meterSlots {
		m.next = 0
	}
	m.full = min(m.full+1, meterSlots)
	m.second += p
	if m.beats++; m.beats == int(time.Second/Beat) {
		m.closeSecond()
	}
}

func (m *meter) closeSecond() {
	p := m.second / Power(m.beats)
	m.second, m.beats, m.asked = 0, 0, 0
	if len(m.seconds) < secondSlots {
		if m.seconds == nil {
			m.seconds = make([]Power, 0, secondSlots) // at once, so that nothing grows later
		}
		m.seconds = append(m.seconds, p)
		return
	}
	m.seconds[m.oldest] = p
	m.oldest = (m.oldest + 1) % secondSlots
}

// newest is the mean power of the last beat.
func (m *meter) newest() Power {
	if m.full == 0 {
		return m.last
	}
	return m.slots[(m.next+meterSlots-1)%meterSlots]
}

// put enters the power of a beat in a slot.
func (m *meter) put(slot int, p Power) { m.slots[slot], m.levels[slot] = p, p.Level() }

// beat is the power of the beat n before the last; n is below full.
func (m *meter) beat(n int) Power { return m.slots[m.ago(n)] }

// level is its level.
func (m *meter) level(n int) DBFS { return m.levels[m.ago(n)] }

// ago is the slot of the beat n before the last.
func (m *meter) ago(n int) int {
	if at := m.next - 1 - n; at >= 0 {
		return at
	}
	return m.next - 1 - n + meterSlots
}

// mean is the mean power of the last d, or of as much as there is.
func (m *meter) mean(d time.Duration) Power {
	if d > LongestBeats && len(m.seconds) >= int(LongestBeats/time.Second) {
		return m.longMean(d)
	}
	n := min(max(int(d/Beat), 1), m.full)
	if n == 0 {
		return m.last
	}
	var sum Power
	for i, at := 0, m.next; i < n; i++ {
		if at--; at < 0 {
			at = meterSlots - 1
		}
		sum += m.slots[at]
	}
	return sum / Power(n)
}

// longMean is over whole seconds, and remembered until there is another.
func (m *meter) longMean(d time.Duration) Power {
	if m.asked == d {
		return m.was
	}
	n := min(int(d/time.Second), len(m.seconds))
	var sum Power
	for i := range n {
		sum += m.seconds[(m.oldest+len(m.seconds)-1-i)%len(m.seconds)]
	}
	m.asked, m.was = d, sum/Power(n)
	return m.was
}

// peaks keeps the highest reading of each beat for ten seconds. Until a peak meter is
// heard, levels stand in for it: a peak is nowhere below its level.
type peaks struct {
	heard bool
	own   bool // of a peak meter, and that is believed alone
	now   Power
	slots [meterSlots]Power
	next  int
}

func (p *peaks) hear(v Power) {
	if !p.own {
		*p = peaks{own: true}
	}
	p.heard, p.now = true, max(p.now, v)
}

// standIn takes a level.
func (p *peaks) standIn(v Power) {
	if !p.own {
		p.heard, p.now = true, max(p.now, v)
	}
}

func (p *peaks) fold() {
	if !p.heard {
		return
	}
	p.slots[p.next], p.now = p.now, 0
	p.next = (p.next + 1) % meterSlots
}

// highest is the highest reading of the last d, false if there was none at all.
func (p *peaks) highest(d time.Duration) (DBFS, bool) {
	var most Power
	for i := range min(int(d/Beat), meterSlots) {
		most = max(most, p.slots[(p.next-1-i+meterSlots)%meterSlots])
	}
	return most.Level(), p.heard
}

// over counts the beats of the last d whose highest reading was at or above a level.
func (p *peaks) over(level Power, d time.Duration) (n int) {
	for i := range min(int(d/Beat), meterSlots) {
		if p.slots[(p.next-1-i+meterSlots)%meterSlots] >= level {
			n++
		}
	}
	return n
}
