package desk

import "time"

// enough is how many inputs make a mix worth measuring from.
const enough = 3

// music reports whether enough inputs are in the mix to make one, and as large a part of those
// that are metered among them.
func (m *Mix) music() bool { return m.enough(m.playing()) && m.likelyMusic() }

// enough reports whether so many make a mix.
func (m *Mix) enough(playing int) bool { return playing >= min(enough, max(len(m.inputs), 1)) }

// playing is how many inputs are in the mix now.
func (m *Mix) playing() int { return m.playingOf(func(int) bool { return true }) }

// playingOf is how many of those are of which something is so.
func (m *Mix) playingOf(so func(input int) bool) int {
	m.refresh()
	n := 0
	for i := range m.inputs {
		if m.inputActive(i) && so(i) {
			n++
		}
	}
	return n
}

// An input sounds at a moment when the last half second, about a syllable, is above its
// gate and no more than 15 dB below how loud it has been of late: what a microphone
// hears of the others between two lines may lie above any gate. Of late is a loudness
// that falls by 3 dB for each minute in which nothing reaches it.

var (
	between = Power(DB(-15).Ratio())
	fading  = Power(DB(-0.005).Ratio()) // a beat
)

// soundsNow is asked once a beat.
func (in *inputMeter) soundsNow() bool {
	in.loud = max(in.recent, in.loud*fading)
	p := in.mean(Syllable)
	return p > in.gate && p > in.loud*between
}

// lasted is for how long an input has been sounding, or silent; 0 if it is otherwise.
func (m *Mix) lasted(input int, sounding bool) time.Duration {
	in := &m.inputs[input]
	if in.sounds != sounding {
		return 0
	}
	return time.Duration(m.beats-in.changed) * Beat
}

func (m *Mix) active(who Mover) bool {
	m.refresh()
	if who.Strip == StripInput {
		return m.inputActive(who.Index)
	}
	for i := range m.inputs {
		if m.inputActive(i) && m.driven(i, who) {
			return true
		}
	}
	return false
}

func (m *Mix) open(who Mover) bool {
	m.refresh()
	if who.Strip == StripInput {
		return m.inputs[who.Index].open
	}
	for i := range m.inputs {
		if m.inputs[i].open && m.driven(i, who) {
			return true
		}
	}
	return false
}

// Basis is what judging rests on: meters, some meters, or faders alone.
type Basis string

// The bases. NoBasis is a desk that no fader and no meter has been heard of.
const (
	NoBasis  Basis = ""
	OnMeters Basis = "meters"
	Partly   Basis = "partly"
	OnFaders Basis = "faders"
)

// basis looks at the inputs that are open.
func (m *Mix) basis() Basis {
	m.refresh()
	open, metered := 0, 0
	for i := range m.inputs {
		if m.inputs[i].open {
			open++
			if m.inputs[i].heard {
				metered++
			}
		}
	}
	switch {
	case open == 0:
		return NoBasis
	case metered == open:
		return OnMeters
	case metered == 0:
		return OnFaders
	}
	return Partly
}
