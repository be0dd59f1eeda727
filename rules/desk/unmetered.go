package desk

import "time"

// On a desk that tells the levels of some inputs and not of others, one without a meter whose
// fader is open is unknown, and not silent: it may be playing, other microphones may hear it,
// and a sum without it is part of a sum. Where the desk tells no input's level nobody is less
// known than another, and each that is open counts as playing.

// Unmetered reports whether no meter of an input was ever heard, though another input's was. One
// whose meter lies behind a closed fader is metered.
func (v *View) Unmetered(input int) bool { return v.mix.unmetered(input) }

// Unknown reports whether an input is in the mix, and nothing tells whether it sounds: it is
// unmetered, and the main's meter leaves room for it.
func (v *View) Unknown(input int) bool {
	v.mix.refresh()
	return v.mix.unknown(input)
}

// Partly reports whether an input in the mix is Unmetered: sums over all are partly supposed.
func (v *View) Partly() bool {
	v.mix.refresh()
	return v.mix.anyUnmeteredOpen()
}

// AnyUnknown reports whether an input of which something is so is Unknown.
func (v *View) AnyUnknown(so func(input int) bool) bool {
	if n := v.mix.metered; n == 0 || n == v.Inputs() {
		return false
	}
	for i := range v.Inputs() {
		if v.Unknown(i) && so(i) {
			return true
		}
	}
	return false
}

// KnownPlaying is how many inputs are in the mix now and not Unknown.
func (v *View) KnownPlaying() int {
	return v.mix.playingOf(func(i int) bool { return !v.mix.unmetered(i) })
}

// KnownMusic reports whether so many are enough to make music.
func (v *View) KnownMusic() bool { return v.mix.enough(v.KnownPlaying()) }

// AtMost is the level that an unmetered input may be at, over a time: as much as would alone
// make what the main's meter shows. False where that tells nothing of it, because the main is
// not metered or the input has no way there.
func (v *View) AtMost(input int, over time.Duration) (DBFS, bool) {
	m := v.mix
	m.fill(over)
	g := m.now.gain[input] * through(m.routes[input], m.now.group) * min(m.now.main, 1) // some desks meter the main ahead of its fader
	if !m.main.heard || g <= m.audible {
		return Silence, false
	}
	return (m.main.mean(over) / Power(g)).Level(), true
}

// Unaccounted is the most that all who are Unknown may put into the mix together, before the main
// fader, over a time: what the main's meter shows and those that are metered do not make up. False
// where that tells nothing of it.
func (v *View) Unaccounted(over time.Duration) (Power, bool) {
	m := v.mix
	m.fill(over)
	if !m.main.own || m.now.main <= m.audible {
		return 0, false
	}
	return max(m.main.mean(over)*nextTo/Power(m.now.main)-m.known(), 0), true
}

// known is what those that are metered put into the mix, before the main fader.
func (m *Mix) known() (known Power) {
	for i := range m.inputs {
		if m.inputs[i].heard {
			known += m.now.Share(i)
		}
	}
	return known
}

// likelyMusic reports whether those that are metered and in the mix play as far as it takes, would
// the others play no more and no less: of half of them two, and of one in six or fewer none, for they
// tell next to nothing.
func (m *Mix) likelyMusic() bool {
	if !m.anyUnmeteredOpen() {
		return true
	}
	open, metered, plays := 0, 0, 0
	for i := range m.inputs {
		switch {
		case !m.inputs[i].open:
			continue
		case !m.unmetered(i):
			metered++
			if m.inputActive(i) {
				plays++
			}
		}
		open++
	}
	return 2*open*plays >= 2*enough*metered-open // to the nearest
}

func (m *Mix) unmetered(i int) bool { return m.metered > 0 && !m.inputs[i].told }

func (m *Mix) unknown(i int) bool { return m.unmetered(i) && m.inputs[i].open && !m.accounted }

// account settles, once a beat, whether those that are metered make up the main as its own meter
// shows it: then the others together bring next to nothing. It has to come to the same from both
// sides, for a meter that lies lower than the model leaves room for somebody.
func (m *Mix) account() {
	m.accounted = false
	if !m.main.own || !m.anyUnmeteredOpen() {
		return
	}
	m.fill(m.limits.ShowOver)
	metered, model := m.main.mean(m.limits.ShowOver), m.known()*Power(m.now.main)
	if metered < idle && model < idle {
		m.accounted = true
		return
	}
	m.accounted = metered <= model*nextTo && model <= metered*nextTo
}

var (
	idle   = DBFS(-60).Power()    // of an open desk's noise at the main
	nextTo = Power(DB(1).Ratio()) // what is this near leaves a quarter of it for all others
)

func (m *Mix) anyUnmeteredOpen() bool {
	if m.metered == 0 || m.metered == len(m.inputs) {
		return false
	}
	for i := range m.inputs {
		if m.inputs[i].open && m.unmetered(i) {
			return true
		}
	}
	return false
}
