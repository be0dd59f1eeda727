package rules

import (
	"time"

	"pawl/rules/desk"
)

// strayCue finds a click, a guide or a talkback in the main: everybody in the room
// hears what only players should. It takes the cue to be open, to have a way to the
// main and to sound, so a click that runs all service long behind a mute says nothing.
type strayCue struct {
	limits StrayCueLimits
	inputs []lasting // by input
}

var strayCueKind = Kind{
	Name:    "stray-cue",
	Summary: "a click, guide or talkback is in the main",
	Needs:   []desk.Signal{desk.InputFader, desk.InputLevel},
	Helped:  []desk.Signal{desk.InputMute, desk.InputMain, desk.InputGroup, desk.MainFader, desk.MainMute},
	Says:    []string{"stray-cue.heard", "stray-cue.try", "stray-cue.then", "stray-cue.stands"},
	New:     func(l Limits) Rule { return &strayCue{limits: l.StrayCue} },
}

// StrayCueLimits say when a cue is heard in the room.
type StrayCueLimits struct {
	Gain desk.DB       `yaml:"gain" doc:"effective gain above which a cue is heard in the room" from:"ours"`
	For  time.Duration `yaml:"for" doc:"and for this long" from:"ours: a slip of the hand is taken back within it"`
	Ends time.Duration `yaml:"ends" doc:"it is over after this long without" from:"ours: longer than from one click to the next"`
}

func defaultStrayCueLimits() StrayCueLimits {
	return StrayCueLimits{Gain: -40, For: time.Second, Ends: 2 * time.Second}
}

// Judge implements Rule.
func (r *strayCue) Judge(v *desk.View, claim func(Claim)) {
	if r.inputs == nil {
		r.inputs = make([]lasting, v.Inputs())
	}
	for i := range r.inputs {
		if !v.Input(i).Cue || !v.Metered(i) {
			continue
		}
		cue := inputMover(i)
		room := v.Gain(i) + min(v.Stands(desk.Main), 0)
		heard := v.Playing(i) && room > r.limits.Gain
		was := r.inputs[i].on
		switch is := r.inputs[i].holds(v.Watched, heard, r.limits.For, r.limits.Ends); {
		case is && !was:
			claim(Claim{Key: i, About: []desk.Mover{cue}, Weight: Now, Say: func() Said { return r.say(v, cue) }})
		case is:
			claim(Claim{Key: i})
		}
	}
}

func (r *strayCue) say(v *desk.View, cue desk.Mover) Said {
	gain, level := v.Gain(cue.Index), v.Level(cue.Index, desk.Syllable)
	who := v.Who(cue)
	return Said{
		Figures: Figures{DB("gain", gain), Level("level", level)},
		What:    []Phrase{Say("stray-cue.heard", DB("gain", gain), Level("level", level)).Naming("who", who)},
		Try:     Say("stray-cue.try").Naming("who", who),
		Then:    Say("stray-cue.then"),
		Facts: []Fact{factOf(v, cue, Say("stray-cue.stands", DB("gain", gain), DB("limit", r.limits.Gain),
			Level("level", level), Level("gate", v.Gate(cue.Index))))},
	}
}
