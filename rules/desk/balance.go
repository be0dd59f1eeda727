package desk

import "math"

// Balance is everything the total depends on, at one moment: what the stage
// sends, what the faders let through, what the groups do to it, and the main.
// All of it is linear power, so that a total is one pass of multiplications.
// It is filled by View.Balance and used from one goroutine; the zero value is no
// desk at all, and Silence.
type Balance struct {
	faders Faders
	routes []route // where inputs go; never written through, for others may hold them too

	stage []Power // pre-fader, by input
	gain  []Ratio // effective gain, by input: its fader and those of its DCAs
	buses buses   // by group
	main  Ratio

	fed   []Power // scratch: what the inputs feed each group
	group []Ratio // what each group does to that, its fader included
}

// buses are the groups' own settings: with the faders and the stage they are all that
// a total depends on. A compressor is no setting: it answers what is fed to it.
type buses struct {
	makeUp  []Ratio
	fader   []Ratio
	answers []answer
}

// route is where one input goes.
type route struct {
	dcas   members
	groups members
	main   bool
}

// floor stands for silence in a total, so that a change from or to silence is a
// large number and not an infinity that no share of it can be taken of.
const floor = Power(1e-12) // -120 dBFS

// mostGain bounds what stacked DCAs can come to, so that no sum of absurd
// settings leaves the range of a float and turns a total into no number.
const mostGain = DB(120)

func newBalance(r Roster, routes []route) Balance {
	return Balance{
		faders: newFaders(r), routes: routes, stage: make([]Power, len(r.Inputs)), gain: make([]Ratio, len(r.Inputs)),
		buses: buses{make([]Ratio, len(r.Groups)), make([]Ratio, len(r.Groups)), make([]answer, len(r.Groups))},
		fed:   make([]Power, len(r.Groups)), group: make([]Ratio, len(r.Groups)),
	}
}

// derive works out the gains from the faders, and what the groups then do; the stage,
// make-ups and answers stay as they are.
func (b *Balance) derive() {
	for i, r := range b.routes {
		b.gain[i] = b.gainOf(i, r)
	}
	b.main = b.faders.at[len(b.faders.at)-1].Ratio()
	b.deriveGroups()
}

func (b *Balance) deriveGroups() {
	first := b.faders.inputs + b.faders.dcas
	for k := range b.buses.fader {
		b.buses.fader[k] = b.faders.at[first+k].Ratio()
	}
	b.answer(b.stage, b.gain, &b.buses)
}

// answer fills in what the groups do to what these sources and gains feed them.
func (b *Balance) answer(stage []Power, gain []Ratio, g *buses) {
	clear(b.fed)
	for i, r := range b.routes {
		for _, k := range r.groups {
			b.fed[k] += stage[i] * Power(gain[i])
		}
	}
	for k := range b.group {
		b.group[k] = g.makeUp[k] * g.fader[k] * g.answers[k].to(b.fed[k])
	}
}

// gainOf is the effective gain of one input: its fader and those of its DCAs.
func (b *Balance) gainOf(i int, r route) Ratio {
	g := b.faders.at[i]
	for _, k := range r.dcas {
		g += b.faders.at[b.faders.inputs+k]
	}
	return min(g, mostGain).Ratio()
}

// through is the power gain from an input's post-fader signal to the main
// fader's input: straight, and by way of each of its groups.
func through(r route, group []Ratio) Ratio {
	var g Ratio
	if r.main {
		g = 1
	}
	for _, k := range r.groups {
		g += group[k]
	}
	return g
}

// power is the total at the main's output, and not below the floor.
func (b *Balance) power() Power {
	var sum Power
	for i, r := range b.routes {
		sum += b.stage[i] * Power(b.gain[i]*through(r, b.group))
	}
	return max(sum*Power(b.main), floor)
}

// Total is the modelled level at the main's output; at or below -120 dBFS it is Silence.
func (b *Balance) Total() DBFS {
	if p := b.power(); p > floor {
		return p.Level()
	}
	return Silence
}

// Fader is where a mover stood, mutes taken as closed.
func (b *Balance) Fader(m Mover) DB { return b.faders.At(m) }

// Gain is an input's effective gain: its fader and those of its DCAs; Off when it
// is closed or muted by any of them.
func (b *Balance) Gain(input int) DB { return b.gain[input].DB() }

// Held is what a group does to its level apart from its fader: make-up less reduction.
func (b *Balance) Held(group int) DB { return b.held(group).DB() }

// learn takes from another balance how compressors answer, where b was taken when that
// was not known. A curve that is learned goes on to be, so the groups answer anew.
func (b *Balance) learn(other *Balance) {
	for k := range b.buses.answers {
		a := &b.buses.answers[k]
		if a.curve.known || a.fed <= 0 {
			continue
		}
		if c := a.curve.since(&other.buses.answers[k].curve); c.known {
			a.know(c)
		}
	}
	b.answer(b.stage, b.gain, &b.buses)
}

func (b *Balance) held(k int) Ratio { return b.buses.makeUp[k] * b.buses.answers[k].to(b.fed[k]) }

// HeldOf is the same for all groups of one input together; 0 for one that is in
// none, or that feeds the main directly as well.
func (b *Balance) HeldOf(input int) DB {
	if b.routes[input].main {
		return 0
	}
	var sum Ratio
	for _, k := range b.routes[input].groups {
		sum += b.held(k)
	}
	if sum == 0 {
		return 0
	}
	return sum.DB()
}

// Share is the power that an input puts into the mix, before the main fader.
func (b *Balance) Share(input int) Power {
	return b.stage[input] * Power(b.gain[input]*through(b.routes[input], b.group))
}

// ShareAt is what Share would be with the input's faders as they stand in o: the
// source and what the groups do are b's.
func (b *Balance) ShareAt(input int, o *Balance) Power {
	return b.stage[input] * Power(o.gain[input]*through(b.routes[input], b.group))
}

// StandsOut is how far the inputs that a mover drives lie above everything else in the
// mix. It is plus infinity where there is nothing else.
func (b *Balance) StandsOut(m Mover) DB {
	var mine, rest Power
	for i := range b.routes {
		if b.drives(m, i) {
			mine += b.Share(i)
		} else {
			rest += b.Share(i)
		}
	}
	if rest <= 0 {
		return DB(math.Inf(1))
	}
	return mine.Level().Above(rest.Level())
}

func (b *Balance) drives(m Mover, input int) bool {
	switch m.Strip {
	case StripInput:
		return m.Index == input
	case StripDCA:
		return b.routes[input].dcas.has(m.Index)
	case StripGroup:
		return b.routes[input].groups.has(m.Index)
	}
	return m.Strip == StripMain
}

// Answers reports whether it is known how every compressor that is fed would answer.
func (b *Balance) Answers() bool {
	for k := range b.buses.answers {
		if a := &b.buses.answers[k]; !a.curve.known && a.through < 1 && b.fed[k] > 0 {
			return false
		}
	}
	return true
}

// TakeFaders puts b's inputs and DCAs where they stand in o; the groups answer.
func (b *Balance) TakeFaders(o *Balance) {
	copy(b.faders.at[:b.faders.inputs+b.faders.dcas], o.faders.at)
	b.derive()
}

// SetFader moves one fader in b, which is how one asks what would be.
func (b *Balance) SetFader(m Mover, to DB) {
	b.faders.Set(m, to)
	b.derive()
}

// SetLevel makes one source so loud. The groups answer to it, and to all others that were set, in
// Settle, and until then as they did.
func (b *Balance) SetLevel(input int, to DBFS) { b.stage[input] = to.Power() }

// Settle has the groups answer to the sources as they are now.
func (b *Balance) Settle() { b.deriveGroups() }

// Regain takes that an input's source gain went up by this and its fader is to be
// compared across that: the same mix, with a source so much louder and a fader so much
// lower. One that is closed stays closed.
func (b *Balance) Regain(input int, by DB) {
	b.stage[input] *= Power(by.Ratio())
	b.SetFader(Mover{StripInput, input}, b.faders.At(Mover{StripInput, input})-by)
}

// TakeStage makes b's sources as loud as those of o.
func (b *Balance) TakeStage(o *Balance) {
	copy(b.stage, o.stage)
	b.deriveGroups()
}

// CopyFrom makes b the same as c.
func (b *Balance) CopyFrom(c *Balance) {
	b.faders.CopyFrom(&c.faders)
	b.routes = c.routes
	b.stage = append(b.stage[:0], c.stage...)
	b.gain = append(b.gain[:0], c.gain...)
	b.buses.makeUp = append(b.buses.makeUp[:0], c.buses.makeUp...)
	b.buses.fader = append(b.buses.fader[:0], c.buses.fader...)
	b.buses.answers = append(b.buses.answers[:0], c.buses.answers...)
	b.fed = append(b.fed[:0], c.fed...)
	b.group = append(b.group[:0], c.group...)
	b.main = c.main
}
