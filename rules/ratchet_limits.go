package rules

import (
	"fmt"
	"time"

	"pawl/rules/desk"
)

// RatchetLimits say when the sum of fair raises is worth a word.
type RatchetLimits struct {
	Quiet    time.Duration `yaml:"quiet" doc:"an episode opens at the first raise after this long without one" from:"ours"`
	Movers   int           `yaml:"movers" doc:"at least this many different movers, or two that were each raised again after the other" from:"ours: fewer are a ride"`
	Up       desk.DB       `yaml:"up" doc:"each up by this much" from:"ours: about the least raise that is heard in a mix"`
	Whisper  desk.DB       `yaml:"whisper" doc:"fader part of the total's rise for a whisper" from:"ours"`
	Again    desk.DB       `yaml:"again" doc:"and for a whisper when a mover was raised again after two others (two movers, where none went up by twice up at once), or many are up" from:"ours"`
	Many     int           `yaml:"many" doc:"that many movers up are many" from:"ours"`
	Stands   time.Duration `yaml:"stands" doc:"and of fewer, or by less than twice up and whisper, nobody raised again, when it has stood for this long" from:"ours: a song that grows is often taken back in part"`
	Nudge    desk.DB       `yaml:"nudge" doc:"and for a nudge" from:"ours"`
	ReRaise  desk.DB       `yaml:"re-raise" doc:"and for a nudge when a mover was raised again after two others" from:"ours"`
	Grew     desk.DB       `yaml:"grew" doc:"said again when it has grown by this" from:"ours"`
	Eased    desk.DB       `yaml:"eased" doc:"fader part below which it has eased" from:"ours"`
	Accepted time.Duration `yaml:"accepted" doc:"after this long without a raise the new level is the one to measure from" from:"ours"`
	Trim     desk.DB       `yaml:"trim" doc:"a way back leads nobody further down than this at a time" from:"ours"`
	Bought   desk.DB       `yaml:"bought" doc:"a raise that stands out by less than this bought nothing" from:"ours"`
	Whole    float64       `yaml:"whole" doc:"a DCA or main that carries more than this share of what plays pushes the whole, which is no turn" from:"ours"`
	Same     desk.DB       `yaml:"same" doc:"spread of the raises below which the balance is where it began" from:"ours"`
}

func defaultRatchetLimits() RatchetLimits {
	return RatchetLimits{
		Quiet: 45 * time.Second, Movers: 3, Up: 1, Whisper: 1.5, Again: 1, Many: 4, Stands: 15 * time.Second, Nudge: 3, ReRaise: 2, Grew: 1, Eased: 1,
		Accepted: 3 * time.Minute, Trim: 6, Bought: 0.5, Whole: 0.8, Same: 1,
	}
}

// Check finds limits that make no sense.
func (l RatchetLimits) Check() (wrong []desk.WrongLimit) {
	for _, c := range []struct {
		name  string
		found desk.DB
	}{{"whisper", l.Whisper}, {"nudge", l.Nudge}, {"again", l.Again}, {"re-raise", l.ReRaise}, {"up", l.Up}, {"trim", l.Trim}} {
		if c.found <= 0 {
			wrong = append(wrong, desk.WrongLimit{Name: c.name, Text: fmt.Sprintf("found %v; want a rise above 0 dB", c.found)})
		}
	}
	if l.Nudge < l.Whisper {
		wrong = append(wrong, desk.WrongLimit{Name: "nudge",
			Text: fmt.Sprintf("nudge is %v and whisper %v; want the heavier word for the greater rise", l.Nudge, l.Whisper)})
	}
	if l.Whole <= 0 || l.Whole > 1 {
		wrong = append(wrong, desk.WrongLimit{Name: "whole", Text: fmt.Sprintf("found %v; want a share from 0 to 1", l.Whole)})
	}
	if l.Eased > l.Whisper {
		wrong = append(wrong, desk.WrongLimit{Name: "eased",
			Text: fmt.Sprintf("eased is %v and whisper %v; want it to open before it can ease", l.Eased, l.Whisper)})
	}
	return wrong
}
