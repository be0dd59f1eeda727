package desk

import (
	"fmt"
	"time"
)

// MixLimits say how levels are read.
type MixLimits struct {
	Gate        DBFS          `yaml:"gate" doc:"pre-fader level above which an input is playing, unless the roster gives its own"`
	Audible     DB            `yaml:"audible" doc:"effective gain above which an input is in the mix at all"`
	Unexplained DB            `yaml:"unexplained" doc:"how far the main meter may wander from the model within a minute" from:"ours"`
	ShowOver    time.Duration `yaml:"show-over" doc:"levels for the eye are mean power over this, at most 10s" from:"ours"`
	JudgeOver   time.Duration `yaml:"judge-over" doc:"levels for comparing two moments are mean power over this, at most 10s" from:"ours"`
}

// DefaultMixLimits are the limits of a house file that sets none.
func DefaultMixLimits() MixLimits {
	return MixLimits{Gate: -50, Audible: -60, Unexplained: 6, ShowOver: 3 * time.Second, JudgeOver: 10 * time.Second}
}

// WrongLimit is a limit that makes no sense, by its name within its section.
type WrongLimit struct{ Name, Text string }

// Check finds limits that make no sense.
func (l MixLimits) Check() (wrong []WrongLimit) {
	if l.Gate > 0 {
		wrong = append(wrong, WrongLimit{"gate", fmt.Sprintf("a gate of %v is above full scale, so nothing would ever play; the usual one is -50 dBFS", l.Gate)})
	}
	for _, over := range []struct {
		name string
		d    time.Duration
	}{{"show-over", l.ShowOver}, {"judge-over", l.JudgeOver}} {
		if over.d > LongestBeats {
			wrong = append(wrong, WrongLimit{over.name, fmt.Sprintf("found %v; want at most %v", over.d, LongestBeats)})
		}
	}
	return wrong
}

// MoveLimits say what counts as one motion of one fader.
type MoveLimits struct {
	Leave      DB            `yaml:"leave" doc:"a move starts when a fader leaves its rest by this much" from:"ours"`
	LeaveIn    time.Duration `yaml:"leave-in" doc:"within this long; slower is drift and no move" from:"ours"`
	Still      time.Duration `yaml:"still" doc:"a move ends after this long without motion" from:"ours"`
	Count      DB            `yaml:"count" doc:"a move smaller than this is not counted" from:"ours"`
	Closed     DB            `yaml:"closed" doc:"from below this a raise is a bring-in"`
	Return     DB            `yaml:"return" doc:"a return ends this near to where a lowering began" from:"ours"`
	ReturnIn   time.Duration `yaml:"return-in" doc:"and starts within this long of that lowering" from:"ours"`
	GainIn     time.Duration `yaml:"gain-in" doc:"source gain and fader of an input moved against each other within this long are one move" from:"ours"`
	SceneCount int           `yaml:"scene-count" doc:"this many movers jumping, which do more than open" from:"ours: no hand moves so many at once"`
	SceneIn    time.Duration `yaml:"scene-in" doc:"within this long are a change of scene" from:"ours"`
}

// DefaultMoveLimits are the limits of a house file that sets none.
func DefaultMoveLimits() MoveLimits {
	return MoveLimits{
		Leave: 0.3, LeaveIn: 1500 * time.Millisecond, Still: 600 * time.Millisecond, Count: 0.5, Closed: -40,
		Return: 0.5, ReturnIn: 30 * time.Second, GainIn: 10 * time.Second, SceneCount: 5, SceneIn: 150 * time.Millisecond,
	}
}
