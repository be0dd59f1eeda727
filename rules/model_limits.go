package rules

import (
	"time"

	"pawl/rules/desk"
)

// MixLimits say how levels are read.
type MixLimits struct {
	Gate        desk.DBFS     `yaml:"gate"`        // pre-fader level above which an input is playing, unless the roster gives its own
	Audible     desk.DB       `yaml:"audible"`     // effective gain above which an input is in the mix at all
	Unexplained desk.DB       `yaml:"unexplained"` // how far the main meter may wander from the model within a minute
	ShowOver    time.Duration `yaml:"show-over"`   // levels for the eye are mean power over this
	JudgeOver   time.Duration `yaml:"judge-over"`  // levels for comparing two moments are mean power over this; at most 10 s
}

// MoveLimits say what counts as one motion of one fader.
type MoveLimits struct {
	Leave      desk.DB       `yaml:"leave"`       // a move starts when a fader leaves its rest by this much
	LeaveIn    time.Duration `yaml:"leave-in"`    // within this long; slower is drift and no move
	Still      time.Duration `yaml:"still"`       // a move ends after this long without motion
	Count      desk.DB       `yaml:"count"`       // a move smaller than this is not counted
	Closed     desk.DB       `yaml:"closed"`      // from below this a raise is a bring-in
	Return     desk.DB       `yaml:"return"`      // a return ends this near to where a lowering began
	ReturnIn   time.Duration `yaml:"return-in"`   // and starts within this long of that lowering
	SceneCount int           `yaml:"scene-count"` // this many movers jumping
	SceneIn    time.Duration `yaml:"scene-in"`    // within this long are a change of scene
}

// DefaultMixLimits are the limits of a house file that sets none.
func DefaultMixLimits() MixLimits {
	return MixLimits{Gate: -50, Audible: -60, Unexplained: 6, ShowOver: 3 * time.Second, JudgeOver: 10 * time.Second}
}

// DefaultMoveLimits are the limits of a house file that sets none.
func DefaultMoveLimits() MoveLimits {
	return MoveLimits{
		Leave: 0.3, LeaveIn: 1500 * time.Millisecond, Still: 600 * time.Millisecond, Count: 0.5, Closed: -40,
		Return: 0.5, ReturnIn: 30 * time.Second, SceneCount: 5, SceneIn: 150 * time.Millisecond,
	}
}
