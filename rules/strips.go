package rules

import (
	"time"

	"pawl/rules/desk"
)

// StripState is one input, DCA, group or the main as it was last heard, for
// whoever sets Pawl up and wants to see a wrong map at once.
type StripState struct {
	Mover   desk.Mover
	Name    string // without what it is: "band", not "band DCA"
	Element desk.Element

	Heard   bool          // anything at all was
	HeardAt time.Duration // when it last was
	Muted   bool

	FaderHeard bool
	Fader      desk.DB // where the hand left it, mute apart

	Metered bool
	Level   desk.DBFS // as the desk sent it, before or after the fader
}

// stripHeard is what was last heard of a strip, besides what the mix keeps.
type stripHeard struct {
	ever, fader, metered bool
	at                   time.Duration
	level                desk.DBFS
}

// told is what the desk said of a strip's membership or name, by which Known tells
// a fresh judge.
type told struct {
	signal    desk.Signal
	index, to int
}

// note keeps what Strips and Known tell and judging does not need.
func (j *Judge) note(r *desk.Reading) {
	switch r.Signal {
	case desk.InputDCA, desk.InputGroup, desk.InputMain, desk.InputName, desk.DCAName, desk.GroupName:
		j.told[told{r.Signal, r.Index, r.To}] = *r
	}
	who := desk.Mover{Strip: r.Signal.Of(), Index: r.Index}
	if who.Strip < desk.StripInput || who.Strip > desk.StripMain || !j.mix.faders.Has(who) {
		return
	}
	h := &j.strips[j.mix.faders.slot(who)]
	h.ever, h.at = true, j.at
	switch r.Signal {
	case desk.InputFader, desk.DCAFader, desk.GroupFader, desk.MainFader:
		h.fader = true
	case desk.InputLevel, desk.GroupLevel, desk.MainLevel:
		h.metered, h.level = true, r.Level()
	}
}

// Strips is every strip as it was last heard: inputs, DCAs, groups, the main.
func (j *Judge) Strips() []StripState {
	f := &j.mix.faders
	out := make([]StripState, 0, f.Len())
	for slot, h := range j.strips {
		s := StripState{
			Mover: f.mover(slot), Heard: h.ever, HeardAt: h.at, Muted: j.mix.muted[slot],
			FaderHeard: h.fader, Fader: f.at[slot], Metered: h.metered, Level: h.level,
		}
		switch s.Mover.Strip {
		case desk.StripInput:
			s.Name, s.Element = j.roster.Inputs[s.Mover.Index].Name, j.roster.Inputs[s.Mover.Index].Element
		case desk.StripDCA:
			s.Name = j.roster.DCAs[s.Mover.Index]
		case desk.StripGroup:
			s.Name = j.roster.Groups[s.Mover.Index]
		default:
			s.Name = "main"
		}
		out = append(out, s)
	}
	return out
}
