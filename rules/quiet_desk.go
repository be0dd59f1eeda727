package rules

import (
	"time"

	"pawl/rules/desk"
)

// quietDesk finds a desk that went quiet in the middle of a service. That the figures are
// old is a state, and shown as one from the first seconds on (Linked): a desk that is back
// by itself needs nobody. One that is not needs somebody to look at it, while whoever mixes
// goes on by ear.
//
// Only a desk that tells levels speaks all the time, and of it only one whose last levels are of
// somebody who played: one of few words is quiet whenever no hand moves, some tell levels only
// while they change, and after a service a desk is turned off.
type quietDesk struct {
	limits QuietDeskLimits
	inputs int           // that played when it was last heard
	said   time.Duration // for how long it had been quiet when that was said; 0 before it was
	away   time.Duration // and has been by now
}

var quietDeskKind = Kind{
	Name:    "quiet-desk",
	Summary: "the desk went quiet while somebody played, and is not back",
	Needs:   []desk.Signal{desk.InputLevel},
	Or:      [][]desk.Signal{{desk.InputPeak}},
	Helped:  []desk.Signal{desk.InputFader, desk.InputMute},
	Says:    []string{"quiet-desk.quiet", "quiet-desk.try", "quiet-desk.then", "quiet-desk.played", "quiet-desk.eased"},
	New:     func(l Limits) Rule { return &quietDesk{limits: l.QuietDesk} },
}

// QuietDeskLimits say when a desk that is quiet needs somebody. That it is quiet at all is
// the map's stale-after.
type QuietDeskLimits struct {
	After time.Duration `yaml:"after" doc:"quiet for this long, or for the map's stale-after where that is longer" from:"ours: what is back by itself, such as a switch that starts again, mostly is by then"`
	Until time.Duration `yaml:"until" doc:"and said for no longer than this: by then everybody knows, or the service is over" from:"ours"`
}

func defaultQuietDeskLimits() QuietDeskLimits {
	return QuietDeskLimits{After: 20 * time.Second, Until: 10 * time.Minute}
}

// Judge implements Rule.
func (r *quietDesk) Judge(v *desk.View, claim func(Claim)) {
	if v.Quiet < r.limits.After {
		r.back(claim)
		r.inputs = sounding(v)
		return
	}
	if r.inputs == 0 {
		return // the last that it told is that nobody played
	}
	if r.said == 0 {
		r.said = v.Quiet
	}
	if r.away = v.Quiet; r.away-r.said < r.limits.Until {
		claim(Claim{About: room, Weight: Now, Say: func() Said { return r.say(v) }})
	}
}

// back takes that the desk is heard.
func (r *quietDesk) back(claim func(Claim)) {
	if r.said > 0 {
		away := Time("away", r.away)
		claim(Claim{Eased: true, Say: func() Said { return Said{Figures: Figures{away}, What: []Phrase{Say("quiet-desk.eased", away)}} }})
	}
	r.said = 0
}

// sounding is how many inputs play that are metered.
func sounding(v *desk.View) (n int) {
	for i := range v.Inputs() {
		if v.Metered(i) && v.Playing(i) {
			n++
		}
	}
	return n
}

func (r *quietDesk) say(v *desk.View) Said {
	return Said{
		Figures: Figures{Time("quiet", v.Quiet)},
		What:    []Phrase{Say("quiet-desk.quiet", Time("quiet", v.Quiet))},
		Try:     Say("quiet-desk.try"),
		Then:    Say("quiet-desk.then"),
		Facts:   []Fact{{T: Moment(v.At - v.Quiet), Phrase: Say("quiet-desk.played", Number("inputs", r.inputs))}},
	}
}
