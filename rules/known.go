package rules

import "pawl/rules/desk"

// Known is what the desk has said, as readings that would tell a fresh judge the
// same: faders, mutes, levels, gain reduction, memberships, names, the scene. What
// only the roster says is not among it. A judge made for a house file that was
// read again begins with them, because a desk that speaks only of changes will not
// say them twice.
func (j *Judge) Known() []desk.Reading {
	var out []desk.Reading
	add := func(s desk.Signal, index, to int, value float64) {
		out = append(out, desk.Reading{At: j.at, Signal: s, Index: index, To: to, Value: value})
	}
	for slot, h := range j.strips {
		who := j.mix.faders.mover(slot)
		if h.fader {
			add(faderOf(who.Strip), who.Index, 0, float64(j.mix.faders.at[slot]))
		}
		if j.mix.muted[slot] {
			add(muteOf(who.Strip), who.Index, 0, 1)
		}
	}
	for i, in := range j.mix.inputs {
		if in.heard {
			add(desk.InputLevel, i, 0, float64(in.last.Level()))
		}
	}
	for k, g := range j.mix.groups {
		if g.heard {
			add(desk.GroupReduction, k, 0, float64(g.reduction))
		}
		add(desk.GroupMakeUp, k, 0, float64(g.makeUp))
	}
	for _, r := range j.told {
		r.At = j.at
		out = append(out, r)
	}
	if j.mix.scene.heard {
		add(desk.SceneNumber, 0, 0, j.mix.scene.number)
	}
	return out
}

func faderOf(s desk.Strip) desk.Signal {
	return map[desk.Strip]desk.Signal{desk.StripInput: desk.InputFader, desk.StripDCA: desk.DCAFader, desk.StripGroup: desk.GroupFader, desk.StripMain: desk.MainFader}[s]
}

func muteOf(s desk.Strip) desk.Signal {
	return map[desk.Strip]desk.Signal{desk.StripInput: desk.InputMute, desk.StripDCA: desk.DCAMute, desk.StripGroup: desk.GroupMute, desk.StripMain: desk.MainMute}[s]
}
