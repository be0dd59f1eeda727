package rules

import (
	"time"

	"pawl/rules/desk"
)

// Mix is the desk as it was last heard: faders, mutes, memberships, meters. It
// is made by NewMix and used from one goroutine.
type Mix struct {
	roster  desk.Roster
	limits  MixLimits
	audible desk.Ratio

	faders Faders // as the hand left them, mutes apart
	muted  []bool // in Faders order
	routes []route
	scene  sceneNumber

	inputs   []inputMeter
	groups   []groupMeter
	main     meter
	mismatch residual

	now   Balance
	stale bool // more than one input's fader has changed since now was derived
}

type inputMeter struct {
	meter
	gate   desk.Power
	active bool // above its gate
	open   bool // audible, and on its way to the main
}

// groupMeter keeps what the group's compressor does: its output over its input,
// as a meter, so that one deep squeeze is no more of a trend than one drum hit.
type groupMeter struct {
	meter
	reduction, makeUp desk.DB
	history           squeezeHistory
	active            bool
}

type sceneNumber struct {
	heard  bool
	number float64
}

// NewMix is a desk of which nothing has been heard yet. An input that belongs to
// a DCA or group that the roster does not have is a fault of the caller's, and panics.
func NewMix(r desk.Roster, l MixLimits) *Mix {
	m := &Mix{
		roster: r, limits: l, audible: l.Audible.Ratio(), faders: newFaders(r), routes: make([]route, len(r.Inputs)),
		inputs: make([]inputMeter, len(r.Inputs)), groups: make([]groupMeter, len(r.Groups)),
		now: newBalance(r), stale: true,
	}
	m.muted = make([]bool, m.faders.Len())
	for i, in := range r.Inputs {
		m.routes[i] = route{
			membersOf(in.DCAs, len(r.DCAs), i, "DCA"), membersOf(in.Groups, len(r.Groups), i, "group"), in.Main,
		}
		gate := in.Gate
		if gate == 0 {
			gate = l.Gate
		}
		m.inputs[i].gate = gate.Power()
	}
	for k := range m.groups {
		m.groups[k].last = 1 // nothing heard of it: no reduction
		m.groups[k].history.at = make([]desk.DB, 0, squeezeSlots)
	}
	return m
}

// changed is what a reading may have done to the mix, as far as the moves care.
type changed uint8

const (
	nothing  changed = iota
	moved            // a fader was heard, perhaps elsewhere than it stood
	switched         // a mute was heard, perhaps other than it was
	rerouted         // a membership is other than it was
	newScene         // the desk says it recalled a scene
	named            // the desk's name for a strip was heard
)

// apply takes one reading and reports what it may have changed and whose. A
// reading for a strip that the roster does not have is ignored.
func (m *Mix) apply(r *desk.Reading) (changed, desk.Mover) {
	who := desk.Mover{Strip: r.Signal.Of(), Index: r.Index}
	if who.Strip >= desk.StripInput && who.Strip <= desk.StripMain && !m.faders.Has(who) {
		return nothing, who
	}
	switch r.Signal {
	case desk.InputFader, desk.DCAFader, desk.GroupFader, desk.MainFader:
		m.applyFader(who, r.Gain())
		return moved, who
	case desk.InputMute, desk.DCAMute, desk.GroupMute, desk.MainMute:
		m.applyMute(who, r.On())
		return switched, who
	case desk.InputLevel:
		m.applyLevel(r)
	case desk.MainLevel:
		m.main.hear(r.Level().Power())
	case desk.GroupReduction:
		g := &m.groups[r.Index]
		g.reduction = r.Gain()
		g.hear(desk.Power((-g.reduction).Ratio()))
	case desk.GroupMakeUp:
		m.groups[r.Index].makeUp = r.Gain()
	case desk.InputDCA, desk.InputGroup, desk.InputMain:
		if m.applyRoute(r) {
			m.stale = true
			return rerouted, who
		}
	case desk.InputName, desk.DCAName, desk.GroupName:
		return named, who
	case desk.SceneNumber:
		// The first number heard counts as a recall: a desk that was not asked for
		// it speaks of none until it makes one, and at the start of a service a
		// recall too many harms nothing.
		was := m.scene
		m.scene = sceneNumber{true, r.Value}
		if was != m.scene {
			return newScene, desk.Mover{}
		}
	}
	return nothing, who
}

func (m *Mix) applyFader(who desk.Mover, db desk.DB) {
	slot := m.faders.slot(who)
	if m.faders.at[slot] == db {
		return
	}
	m.faders.at[slot] = db
	if who.Strip != desk.StripInput || m.stale {
		m.stale = true
		return
	}
	// One input's fader is what moves most of the time: only its gain is new.
	if !m.muted[slot] {
		m.now.faders.at[slot] = db
		m.now.gain[slot] = m.now.gainOf(slot, m.routes[slot])
		m.reopen(slot)
	}
}

func (m *Mix) applyMute(who desk.Mover, on bool) {
	if mute := &m.muted[m.faders.slot(who)]; *mute != on {
		*mute, m.stale = on, true
	}
}

// applyRoute takes the desk's word on what an input belongs to, and reports
// whether it is news.
func (m *Mix) applyRoute(r *desk.Reading) bool {
	in := &m.routes[r.Index]
	if r.Signal == desk.InputMain {
		was := in.main
		in.main = r.On()
		return in.main != was
	}
	list, most := &in.dcas, len(m.roster.DCAs)
	if r.Signal == desk.InputGroup {
		list, most = &in.groups, len(m.roster.Groups)
	}
	if r.To < 0 || r.To >= most || list.has(r.To) == r.On() {
		return false
	}
	if r.On() {
		*list = list.with(r.To)
	} else {
		*list = list.without(r.To)
	}
	return true
}

// applyLevel takes a meter. One taken after the fader tells of the stage only
// while the fader is open enough to hear through.
func (m *Mix) applyLevel(r *desk.Reading) {
	in := &m.inputs[r.Index]
	p := r.Level().Power()
	if r.Post {
		m.refresh()
		g := m.now.gain[r.Index]
		if g <= m.audible {
			return
		}
		p /= desk.Power(g)
	}
	in.hear(p)
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
			m.now.faders.at[slot] = desk.Off
		}
	}
	m.squeezes(Beat)
	m.now.derive(m.routes)
	for i := range m.inputs {
		m.reopen(i)
	}
}

// reopen works out whether anything of an input's signal could reach the main:
// one whose group is muted is out of the mix as surely as one that is muted itself.
func (m *Mix) reopen(i int) {
	m.inputs[i].open = m.now.gain[i] > m.audible && through(m.routes[i], m.now.group) > 0
}

// fold closes a beat: every meter's slot, and who is playing.
func (m *Mix) fold() {
	m.refresh()
	for k := range m.groups {
		m.groups[k].active = false
	}
	for i := range m.inputs {
		in := &m.inputs[i]
		in.fold()
		in.active = in.heard && in.mean(m.limits.ShowOver) > in.gate
		if m.inputActive(i) {
			for _, k := range m.routes[i].groups {
				m.groups[k].active = true
			}
		}
	}
	for k := range m.groups {
		g := &m.groups[k]
		g.fold()
		g.history.add(g.reduction, g.active)
	}
	m.main.fold()
}

// balance writes the mix as it stands into b, levels and reduction as means over d.
func (m *Mix) balance(b *Balance, d time.Duration) {
	m.refresh()
	m.levels(m.now.stage, d)
	m.squeezes(d)
	m.now.deriveGroups()
	b.copyFrom(&m.now)
}

// squeezes fills in what each group does to its level, apart from its fader.
func (m *Mix) squeezes(d time.Duration) {
	for k := range m.groups {
		g := &m.groups[k]
		m.now.squeeze[k] = g.makeUp.Ratio() * desk.Ratio(g.mean(d))
	}
}

// levels fills in the pre-fader power of every input. One without a meter is
// taken to be as loud as the mean of the metered ones that are playing, and with
// no meters at all every input is taken to be equally loud.
func (m *Mix) levels(stage []desk.Power, d time.Duration) {
	var sum desk.Power
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
		supposed = sum / desk.Power(n)
	}
	for i := range m.inputs {
		if !m.inputs[i].heard {
			stage[i] = supposed
		}
	}
}

// unmetered is the level of every input of a desk without meters. Only that it
// is the same for all matters; -20 dBFS keeps totals looking like levels.
const unmetered = desk.Power(0.01)

// Active reports whether a mover has anything to move: an input that is playing
// and open, a DCA or group with such an input, the main when anything is.
// Without meters every open input counts as playing.
func (m *Mix) Active(who desk.Mover) bool {
	m.refresh()
	for i := range m.inputs {
		if m.inputActive(i) && m.moves(who, i) {
			return true
		}
	}
	return false
}

// open is Active for a mover whose inputs may be pausing between two phrases.
func (m *Mix) open(who desk.Mover) bool {
	m.refresh()
	for i := range m.inputs {
		if m.inputs[i].open && m.moves(who, i) {
			return true
		}
	}
	return false
}

// moves reports whether a mover's fader moves an input's level.
func (m *Mix) moves(who desk.Mover, input int) bool {
	switch who.Strip {
	case desk.StripInput:
		return who.Index == input
	case desk.StripDCA:
		return m.routes[input].dcas.has(who.Index)
	case desk.StripGroup:
		return m.routes[input].groups.has(who.Index)
	}
	return who.Strip == desk.StripMain
}

func (m *Mix) inputActive(i int) bool {
	in := &m.inputs[i]
	return (in.active || !in.heard) && in.open
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

// Basis looks at the inputs that are open.
func (m *Mix) Basis() Basis {
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
