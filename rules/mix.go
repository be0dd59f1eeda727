package rules

import "time"

// Mix is the desk as it was last heard: faders, mutes, memberships, meters. It
// is used from one goroutine.
type Mix struct {
	roster Roster
	limits MixLimits

	faders Faders // as the hand left them, mutes apart
	muted  []bool // in Faders order
	routes []route

	inputs   []inputMeter
	groups   []groupMeter
	main     meter
	room     meter
	scene    float64
	soloed   uint64 // inputs in solo, the first 64
	now      Balance
	stale    bool // now.faders or a membership has changed since now was derived
	mismatch residual
}

type inputMeter struct {
	meter
	post   bool // the desk meters after the fader
	gate   Power
	active bool
}

type groupMeter struct {
	reduction, makeUp DB
	history           squeezeHistory
}

// NewMix is a desk of which nothing has been heard yet.
func NewMix(r Roster, l MixLimits) *Mix {
	m := &Mix{
		roster: r, limits: l, faders: r.Faders(), routes: make([]route, len(r.Inputs)),
		inputs: make([]inputMeter, len(r.Inputs)), groups: make([]groupMeter, len(r.Groups)), stale: true,
	}
	m.muted = make([]bool, m.faders.Len())
	for i, in := range r.Inputs {
		m.routes[i] = route{maskOf(in.DCAs), maskOf(in.Groups), in.Main}
		gate := in.Gate
		if gate == 0 {
			gate = l.Gate
		}
		m.inputs[i].gate = gate.Power()
	}
	m.now = Balance{
		faders: r.Faders(), stage: make([]Power, len(r.Inputs)), gain: make([]Ratio, len(r.Inputs)),
		squeeze: make([]Ratio, len(r.Groups)), group: make([]Ratio, len(r.Groups)),
	}
	return m
}

func maskOf(indices []int) uint64 {
	var mask uint64
	for _, k := range indices {
		mask |= 1 << k
	}
	return mask
}

// changed is what a reading did to the mix, as far as the moves care.
type changed uint8

const (
	nothing  changed = iota
	moved            // a fader stands elsewhere
	closed           // a mute was set
	opened           // a mute was lifted
	rerouted         // a membership is other than it was
	newScene         // the desk says it recalled a scene
)

// apply takes one reading and reports what it changed and whose. A reading for a
// strip that the roster does not have is ignored.
func (m *Mix) apply(r Reading) (changed, Mover) {
	who := Mover{r.Signal.Of(), r.Index}
	if who.Strip >= StripInput && who.Strip <= StripMain && !m.faders.Has(who) {
		return nothing, who
	}
	switch r.Signal {
	case InputFader, DCAFader, GroupFader, MainFader:
		return m.applyFader(who, r.Gain()), who
	case InputMute, DCAMute, GroupMute, MainMute:
		return m.applyMute(who, r.On()), who
	case InputLevel:
		m.applyLevel(r)
	case MainLevel:
		m.main.hear(r.Level().Power())
	case RoomLevel:
		m.room.hear(r.Level().Power())
	case GroupReduction:
		m.groups[r.Index].reduction, m.stale = r.Gain(), true
	case GroupMakeUp:
		m.groups[r.Index].makeUp, m.stale = r.Gain(), true
	case InputDCA:
		return m.applyMember(&m.routes[r.Index].dcas, r.To, len(m.roster.DCAs), r.On()), who
	case InputGroup:
		return m.applyMember(&m.routes[r.Index].groups, r.To, len(m.roster.Groups), r.On()), who
	case InputMain:
		if m.routes[r.Index].main != r.On() {
			m.routes[r.Index].main, m.stale = r.On(), true
			return rerouted, who
		}
	case InputSolo:
		m.applySolo(r.Index, r.On())
	case SceneNumber:
		if m.scene != r.Value {
			m.scene = r.Value
			return newScene, who
		}
	}
	return nothing, who
}

func (m *Mix) applyFader(who Mover, db DB) changed {
	if m.faders.At(who) == db {
		return nothing
	}
	m.faders.Set(who, db)
	m.stale = true
	return moved
}

func (m *Mix) applyMute(who Mover, on bool) changed {
	mute := &m.muted[m.faders.slot(who)]
	if *mute == on {
		return nothing
	}
	*mute, m.stale = on, true
	if on {
		return closed
	}
	return opened
}

// applyLevel takes a meter. One taken after the fader tells of the stage only
// while the fader is open enough to hear through.
func (m *Mix) applyLevel(r Reading) {
	in := &m.inputs[r.Index]
	p := r.Level().Power()
	if r.Post {
		m.refresh()
		g := m.now.gain[r.Index]
		if g <= m.limits.Audible.Ratio() {
			return
		}
		p /= Power(g)
	}
	in.hear(p)
}

func (m *Mix) applyMember(mask *uint64, of, most int, on bool) changed {
	if of < 0 || of >= most || of > 63 {
		return nothing
	}
	was := *mask
	if *mask &^= 1 << of; on {
		*mask |= 1 << of
	}
	if *mask == was {
		return nothing
	}
	m.stale = true
	return rerouted
}

func (m *Mix) applySolo(input int, on bool) {
	if input > 63 {
		return
	}
	if m.soloed &^= 1 << input; on {
		m.soloed |= 1 << input
	}
}

// refresh derives the gains again if anything has moved since.
func (m *Mix) refresh() {
	if !m.stale {
		return
	}
	m.stale = false
	m.now.faders.CopyFrom(&m.faders)
	for slot, muted := range m.muted {
		if muted {
			m.now.faders.at[slot] = Off
		}
	}
	for k := range m.groups {
		m.now.squeeze[k] = (m.groups[k].makeUp - m.groups[k].reduction).Ratio()
	}
	m.now.derive(m.routes)
}

// fold closes a beat: every meter's slot, and who is playing.
func (m *Mix) fold() {
	m.refresh()
	for i := range m.inputs {
		in := &m.inputs[i]
		in.fold()
		in.active = in.heard && in.mean(m.limits.ShowOver) > in.gate
	}
	for k := range m.groups {
		g := &m.groups[k]
		g.history.add(g.reduction, m.groupActive(k))
	}
	m.main.fold()
	m.room.fold()
}

// balance writes the mix as it stands into b, levels as mean power over d.
func (m *Mix) balance(b *Balance, d time.Duration) {
	m.refresh()
	m.levels(m.now.stage, d)
	b.copyFrom(&m.now)
}

// levels fills in the pre-fader power of every input. One without a meter is
// taken to be as loud as the mean of the metered ones that are playing, and with
// no meters at all every input is taken to be equally loud.
func (m *Mix) levels(stage []Power, d time.Duration) {
	var sum Power
	n := 0
	for i := range m.inputs {
		if in := &m.inputs[i]; in.heard {
			stage[i] = in.mean(d)
			if in.active {
				sum, n = sum+stage[i], n+1
			}
		}
	}
	supposed := unmetered
	if n > 0 {
		supposed = sum / Power(n)
	}
	for i := range m.inputs {
		if !m.inputs[i].heard {
			stage[i] = supposed
		}
	}
}

// unmetered is the level of every input of a desk without meters. Only that it
// is the same for all matters; -20 dBFS keeps totals looking like levels.
const unmetered = Power(0.01)

// Active reports whether a mover has anything to move: an input that is playing
// and open, a DCA or group with such an input, the main when anything is.
// Without meters every open input counts as playing.
func (m *Mix) Active(who Mover) bool {
	m.refresh()
	for i, r := range m.routes {
		if !m.inputActive(i) {
			continue
		}
		switch {
		case who.Strip == StripMain,
			who.Strip == StripInput && who.Index == i,
			who.Strip == StripDCA && r.dcas>>who.Index&1 != 0,
			who.Strip == StripGroup && r.groups>>who.Index&1 != 0:
			return true
		}
	}
	return false
}

func (m *Mix) inputActive(i int) bool {
	in := &m.inputs[i]
	return (in.active || !in.heard) && m.now.gain[i] > m.limits.Audible.Ratio()
}

func (m *Mix) groupActive(k int) bool {
	for i, r := range m.routes {
		if r.groups>>k&1 != 0 && m.inputActive(i) {
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

// Basis looks at the inputs whose faders are open.
func (m *Mix) Basis() Basis {
	m.refresh()
	open, metered := 0, 0
	for i := range m.inputs {
		if m.now.gain[i] > m.limits.Audible.Ratio() {
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
