package desk

import (
	"math/bits"
)

// Split is a change of the total, divided among its causes. The parts add up to
// the change, to rounding.
type Split struct {
	Faders DB `json:"faders_db"` // inputs and DCAs, mutes, where inputs go, with what the groups took back because of them
	Stage  DB `json:"stage_db"`  // the sources themselves, likewise
	Groups DB `json:"groups_db"` // the groups' settings and faders, and what their answers cannot explain
	Main   DB `json:"main_db"`   // the main fader
}

// Total is the whole change.
func (s Split) Total() DB { return s.Faders + s.Stage + s.Groups + s.Main }

// causes are the four, as bits of a set of those that have already changed.
const (
	byFaders = 1 << iota
	byStage
	byGroups
	byMain
	causes = 4
)

// Attribute divides the change from before to after by the Shapley value: each
// cause's part is its own effect on the total in decibels, averaged over every
// order in which the four could have happened. It is the only division that
// treats all causes alike and leaves nothing over (Shapley, A value for n-person
// games, 1953). Changes from or to silence are measured from -120 dBFS. Both ends
// must be balances of the same mix.
func Attribute(before, after *Balance) Split {
	var total [1 << causes]DBFS
	before.learn(after)
	after.learn(before)
	var b Balance
	b.fed, b.group = after.fed, after.group // scratch, filled again below
	for changed := range total {
		b.stage, b.gain, b.routes, b.buses, b.main = before.stage, before.gain, before.routes, before.buses, before.main
		if changed&byStage != 0 {
			b.stage = after.stage
		}
		if changed&byFaders != 0 {
			b.gain, b.routes = after.gain, after.routes
		}
		if changed&byGroups != 0 {
			b.buses = after.buses
		}
		if changed&byMain != 0 {
			b.main = after.main
		}
		b.answer(b.stage, b.gain, &b.buses)
		total[changed] = b.power().Level()
	}
	return Split{
		Faders: share(&total, byFaders),
		Stage:  share(&total, byStage),
		Groups: share(&total, byGroups),
		Main:   share(&total, byMain),
	}
}

// share is one cause's Shapley value. weight is s!(n-s-1)!/n! for n = 4: of the
// 24 orders, how many have just these s causes before it.
func share(total *[1 << causes]DBFS, cause int) DB {
	weight := [causes]DB{6. / 24, 2. / 24, 2. / 24, 6. / 24}
	var sum DB
	for before := range total {
		if before&cause == 0 {
			sum += weight[bits.OnesCount(uint(before))] * DB(total[before|cause]-total[before])
		}
	}
	return sum
}
