package rules

import (
	"time"

	"pawl/rules/desk"
)

// Limits are the settings that all judging is done by. Each may be changed in
// the house file under `limits`, by the names in the yaml tags, with its unit in
// the value. DefaultLimits gives the ones that hold otherwise.
type Limits struct {
	Mix     MixLimits     `yaml:"mix"`
	Moves   MoveLimits    `yaml:"moves"`
	Ratchet RatchetLimits `yaml:"ratchet"`
	Calm    CalmLimits    `yaml:"calm"`
}

// RatchetLimits say when levels creeping round and round are worth a word.
type RatchetLimits struct {
	Quiet    time.Duration `yaml:"quiet"`    // an episode opens at the first raise after this long without one
	Movers   int           `yaml:"movers"`   // at least this many different movers
	Up       desk.DB       `yaml:"up"`       // each up by this much
	Whisper  desk.DB       `yaml:"whisper"`  // fader part of the total's rise for a whisper
	Nudge    desk.DB       `yaml:"nudge"`    // and for a nudge
	ReRaise  desk.DB       `yaml:"re-raise"` // and for a nudge when a mover was raised again after two others
	Grew     desk.DB       `yaml:"grew"`     // said again when it has grown by this
	Eased    desk.DB       `yaml:"eased"`    // fader part below which it has eased
	Accepted time.Duration `yaml:"accepted"` // after this long without a raise the new level is the one to measure from
	Same     desk.DB       `yaml:"same"`     // spread of the raises below which the balance is where it began
}

// CalmLimits bound how often anything is said. The defaults follow alarm
// management practice: EEMUA 191 regards one alarm in ten minutes as very likely
// acceptable to the person who has to answer it.
type CalmLimits struct {
	Every    time.Duration `yaml:"every"`     // whispers and nudges together: one in this long on average
	Most     int           `yaml:"most"`      // and never more than this many within it, the last kept for more than a whisper
	Reopen   time.Duration `yaml:"reopen"`    // the same rule for the same movers stays closed this long
	Worse    desk.DB       `yaml:"worse"`     // unless it is worse by this
	Burst    int           `yaml:"burst"`     // a rule may not open this many times
	BurstIn  time.Duration `yaml:"burst-in"`  // within this long
	NotNow   time.Duration `yaml:"not-now"`   // "not now" silences a rule this long, or until the next mark
	MarkOver time.Duration `yaml:"mark-over"` // a scene is measured from once it has stood this long
}

// DefaultLimits are the limits of a house file that sets none.
func DefaultLimits() Limits {
	return Limits{
		Mix: DefaultMixLimits(), Moves: DefaultMoveLimits(),
		Ratchet: RatchetLimits{
			Quiet: 45 * time.Second, Movers: 3, Up: 1, Whisper: 1.5, Nudge: 3, ReRaise: 2, Grew: 1, Eased: 1,
			Accepted: 3 * time.Minute, Same: 1,
		},
		Calm: CalmLimits{
			Every: 10 * time.Minute, Most: 2, Reopen: 3 * time.Minute, Worse: 2, Burst: 3, BurstIn: time.Minute,
			NotNow: 20 * time.Minute, MarkOver: 10 * time.Second,
		},
	}
}
