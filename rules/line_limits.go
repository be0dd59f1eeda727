package rules

import (
	"fmt"
	"time"

	"pawl/rules/desk"
)

// LineCheckLimits say what the line check asks of an input.
type LineCheckLimits struct {
	Play     time.Duration `yaml:"play" doc:"an input is checked once it has sounded this long" from:"common practice: each player in turn, ten seconds"`
	Least    desk.DBFS     `yaml:"least" doc:"mean level before the fader, while it sounds, below which an input is low"`
	Most     desk.DBFS     `yaml:"most" doc:"and above which it is hot"`
	Peak     desk.DBFS     `yaml:"peak" doc:"peaks reach this and leave too little headroom"`
	Bleed    desk.DB       `yaml:"bleed" doc:"an input this far below another hears that one, and is not heard itself" from:"ours"`
	Answers  time.Duration `yaml:"answers" doc:"after this long of another input alone, the wrong one answers" from:"ours"`
	Unheard  time.Duration `yaml:"unheard" doc:"after this long without a sound it is said where to look" from:"ours"`
	Steady   desk.DB       `yaml:"steady" doc:"a low sound whose level stays within this is hum or noise and nobody playing" from:"ours: the softest player varies more within ten seconds"`
	Together desk.DB       `yaml:"together" doc:"another input that follows this closely, and is within 6 dB, carries the same source" from:"ours: a second microphone of its own strays further"`
	DCA      desk.DB       `yaml:"dca" doc:"a DCA further than this from 0 dB is remarked" from:"ours"`
	Main     desk.DB       `yaml:"main" doc:"the main further than this from where it stood at the line check before is remarked" from:"ours"`
	Ratio    int           `yaml:"ratio" doc:"a group's compressor with more than this to 1 is remarked"`
	Ends     time.Duration `yaml:"ends" doc:"a line check at which nothing happened this long is over" from:"ours"`
}

func defaultLineCheckLimits() LineCheckLimits {
	return LineCheckLimits{
		Play: 10 * time.Second, Least: -24, Most: -12, Peak: -6, Bleed: 12, Answers: 3 * time.Second, Unheard: 15 * time.Second,
		Steady: 1.5, Together: 0.5, DCA: 0.5, Main: 1, Ratio: 3, Ends: 20 * time.Minute,
	}
}

// Check finds limits that make no sense.
func (l LineCheckLimits) Check() []desk.WrongLimit {
	wrong := disorders(order{"least", desk.DB(l.Least), "most", desk.DB(l.Most)}, order{"most", desk.DB(l.Most), "peak", desk.DB(l.Peak)})
	if l.Play > time.Minute {
		wrong = append(wrong, desk.WrongLimit{Name: "play", Text: fmt.Sprintf("found %v; want at most 1m: nobody plays longer for one microphone", l.Play)})
	}
	return wrong
}
