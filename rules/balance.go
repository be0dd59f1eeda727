package rules

import "pawl/rules/desk"

// Balance is everything the total depends on, at one moment: what the stage
// sends, what the faders let through, what the groups do to it, and the main.
// All of it is linear power, so that a total is one pass of multiplications.
// The zero value is no desk at all; it is used from one goroutine.
type Balance struct {
	faders Faders

	stage   []desk.Power // pre-fader, by input
	gain    []desk.Ratio // effective gain, by input: its fader and those of its DCAs
	squeeze []desk.Ratio // make-up less reduction, by group
	group   []desk.Ratio // squeeze and group fader, by group
	main    desk.Ratio
}

// route is where one input goes.
type route struct {
	dcas   members
	groups members
	main   bool
}

// floor stands for silence in a total, so that a change from or to silence is a
// large number and not an infinity that no share of it can be taken of.
const floor = desk.Power(1e-12) // -120 dBFS

// mostGain bounds what stacked DCAs can come to, so that no sum of absurd
// settings leaves the range of a float and turns a total into no number.
const mostGain = desk.DB(120)

func newBalance(r desk.Roster) Balance {
	return Balance{
		faders: newFaders(r), stage: make([]desk.Power, len(r.Inputs)), gain: make([]desk.Ratio, len(r.Inputs)),
		squeeze: make([]desk.Ratio, len(r.Groups)), group: make([]desk.Ratio, len(r.Groups)),
	}
}

// derive works out the gains from the faders; stage and squeeze stay as they are.
func (b *Balance) derive(routes []route) {
	for i, r := range routes {
		b.gain[i] = b.gainOf(i, r)
	}
	b.deriveGroups()
	b.main = b.faders.at[len(b.faders.at)-1].Ratio()
}

func (b *Balance) deriveGroups() {
	first := b.faders.inputs + b.faders.dcas
	for k := range b.group {
		b.group[k] = b.squeeze[k] * b.faders.at[first+k].Ratio()
	}
}

// gainOf is the effective gain of one input: its fader and those of its DCAs.
func (b *Balance) gainOf(i int, r route) desk.Ratio {
	g := b.faders.at[i]
	for _, k := range r.dcas {
		g += b.faders.at[b.faders.inputs+k]
	}
	return min(g, mostGain).Ratio()
}

// through is the power gain from an input's post-fader signal to the main
// fader's input: straight, and by way of each of its groups.
func through(r route, group []desk.Ratio) desk.Ratio {
	var g desk.Ratio
	if r.main {
		g = 1
	}
	for _, k := range r.groups {
		g += group[k]
	}
	return g
}

// power is the total at the main's output, and not below the floor.
func (b *Balance) power(routes []route) desk.Power {
	return mixPower(routes, b.stage, b.gain, b.group, b.main)
}

func mixPower(routes []route, stage []desk.Power, gain, group []desk.Ratio, main desk.Ratio) desk.Power {
	var sum desk.Power
	for i, r := range routes {
		sum += stage[i] * desk.Power(gain[i]*through(r, group))
	}
	return max(sum*desk.Power(main), floor)
}

// total is power as a level; at the floor it is Silence.
func (b *Balance) total(routes []route) desk.DBFS {
	if p := b.power(routes); p > floor {
		return p.Level()
	}
	return desk.Silence
}

// copyFrom makes b the same as c.
func (b *Balance) copyFrom(c *Balance) {
	b.faders.CopyFrom(&c.faders)
	b.stage = append(b.stage[:0], c.stage...)
	b.gain = append(b.gain[:0], c.gain...)
	b.squeeze = append(b.squeeze[:0], c.squeeze...)
	b.group = append(b.group[:0], c.group...)
	b.main = c.main
}
