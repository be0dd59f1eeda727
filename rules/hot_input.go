package rules

import (
	"time"

	"pawl/rules/desk"
)

// hotInput finds an input that is running out of headroom ahead of its fader, where no
// fader can help. One blow is an accent and two may be a song's last chords, so it
// waits until the input plays on after them: what has ended needs no advice.
type hotInput struct {
	limits HotInputLimits
	inputs []hot // by input
}

// hot is the peaks of one input.
type hot struct {
	begun  bool
	last   time.Duration // the peak last counted, as watched
	twice  bool          // it was the second within limits.In
	second time.Duration // that one
	open   bool
	said   bool
}

var hotInputKind = Kind{
	Name:    "hot-input",
	Summary: "an input is running out of headroom",
	Needs:   []desk.Signal{desk.InputPeak},
	Or:      [][]desk.Signal{{desk.InputLevel}},
	Helped:  []desk.Signal{desk.InputFader, desk.InputMute, desk.InputSourceGain},
	Says:    []string{"hot-input.peaks", "hot-input.try", "hot-input.then", "hot-input.peak", "hot-input.gain"},
	New:     func(l Limits) Rule { return &hotInput{limits: l.HotInput} },
}

// HotInputLimits say when headroom is going.
type HotInputLimits struct {
	Peak  desk.DBFS     `yaml:"peak" doc:"peaks at or above this count"`
	In    time.Duration `yaml:"in" doc:"two of them within this long" from:"ours"`
	Apart time.Duration `yaml:"apart" doc:"at least this far apart, or they are one" from:"ours"`
	On    time.Duration `yaml:"on" doc:"said once the input plays on this long after them" from:"ours: a song's loud end needs no advice"`
	Ends  time.Duration `yaml:"ends" doc:"it is over after this long without" from:"ours"`
}

func defaultHotInputLimits() HotInputLimits {
	return HotInputLimits{Peak: -3, In: 10 * time.Second, Apart: time.Second, On: 3 * time.Second, Ends: 20 * time.Second}
}

// playsOn is how far below the peaks an input that plays on may lie: a pause and what
// its microphone hears of the others are further down.
const playsOn = desk.DB(30)

// Judge implements Rule.
func (r *hotInput) Judge(v *desk.View, claim func(Claim)) {
	if r.inputs == nil {
		r.inputs = make([]hot, v.Inputs())
	}
	for i := range r.inputs {
		h, m := &r.inputs[i], inputMover(i)
		if v.Open(m) && v.PeaksOver(i, r.limits.Peak, desk.Beat) > 0 {
			h.count(v.Watched, r.limits)
		}
		switch {
		case h.begun && v.Watched-h.last >= r.limits.Ends:
			*h = hot{}
		case !h.open && h.twice && v.Watched-h.second >= r.limits.On:
			h.open = v.Level(i, desk.Syllable) > r.limits.Peak-desk.DBFS(playsOn)
		}
		switch {
		case h.open && !h.said:
			h.said = true
			claim(Claim{Key: i, About: []desk.Mover{m}, Weight: Whisper, Say: func() Said { return r.say(v, m) }})
		case h.open:
			claim(Claim{Key: i})
		}
	}
}

// count takes that there was a peak.
func (h *hot) count(at time.Duration, l HotInputLimits) {
	if h.begun && at-h.last < l.Apart {
		return
	}
	if h.begun && !h.twice && at-h.last <= l.In {
		h.twice, h.second = true, at
	}
	h.begun, h.last = true, at
}

func (r *hotInput) say(v *desk.View, m desk.Mover) Said {
	peak, _ := v.Peak(m.Index, desk.LongestBeats)
	left := max(-desk.DB(peak), 0)
	who := v.Who(m)
	s := Said{
		Figures: Figures{Level("peak", peak), DB("headroom", left)},
		What:    []Phrase{Say("hot-input.peaks", Level("peak", peak), DB("headroom", left)).Naming("who", who)},
		Try:     Say("hot-input.try").Naming("who", who),
		Then:    Say("hot-input.then"),
		Facts:   []Fact{factOf(v, m, Say("hot-input.peak", Level("peak", peak), Level("limit", r.limits.Peak), Time("in", r.limits.In)))},
	}
	if gain, ok := v.Latest(desk.InputSourceGain, m.Index); ok {
		s.Facts = append(s.Facts, factOf(v, m, Say("hot-input.gain", DB("gain", desk.DB(gain)))))
	}
	return s
}
