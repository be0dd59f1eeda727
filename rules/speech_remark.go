package rules

import (
	"time"

	"pawl/rules/desk"
)

// speechRemark sees instruments left open while somebody speaks: what their microphones
// pick up blurs every word, and each brings feedback nearer. It is a remark, made once in a
// segment. An instrument that plays under a reading is meant to be heard, and is left
// out. To close what nobody uses is common practice; the rest is ours.
type speechRemark struct {
	limits  SpeechRemarkLimits
	segment int // the one that it is about
	since   time.Duration
	said    bool
	open    []int
}

// SpeechRemarkLimits say when instruments left open in a speech segment are worth a word.
type SpeechRemarkLimits struct {
	Open desk.DB       `yaml:"open" doc:"an instrument's effective gain above this is open"`
	For  time.Duration `yaml:"for" doc:"this long after speech began" from:"ours: hands need a moment"`
}

func defaultSpeechRemarkLimits() SpeechRemarkLimits {
	return SpeechRemarkLimits{Open: -40, For: 10 * time.Second}
}

var speechRemarkKind = Kind{
	Name:    "speech-remark",
	Summary: "instruments left open while somebody speaks",
	Needs:   []desk.Signal{desk.InputFader},
	Helped:  []desk.Signal{desk.InputLevel, desk.InputMute, desk.DCAFader, desk.DCAMute},
	Says:    []string{"speech-remark.open", "speech-remark.try", "speech-remark.then", "speech-remark.each", "speech-remark.eased"},
	In:      []desk.SegmentKind{desk.Speech},
	New:     func(l Limits) Rule { return &speechRemark{limits: l.SpeechRemark} },
}

// Judge implements Rule. It holds at most one claim, and of each segment its own.
func (r *speechRemark) Judge(v *desk.View, claim func(Claim)) {
	if v.Segment.Kind != desk.Speech {
		return // a service that nobody divided is not known to be speech
	}
	if v.Segment.Number != r.segment {
		r.segment, r.since, r.said = v.Segment.Number, v.Watched, false
	}
	if !r.said && v.Watched-r.since < r.limits.For {
		return
	}
	r.open = inputsOf(r.open, v, func(i int) bool { return r.leftOpen(v, i) })
	c := Claim{Key: r.segment, About: moversOf(r.open), Weight: Whisper}
	switch {
	case len(r.open) > 0 && !r.said:
		r.said = true
		c.Say = func() Said { return r.remark(v) }
		claim(c)
	case len(r.open) > 0:
		claim(c) // once is enough
	case r.said:
		c.About, c.Eased, c.Say = nil, true, func() Said { return Said{What: []Phrase{Say("speech-remark.eased")}} }
		claim(c)
	}
}

// leftOpen reports whether an instrument is open, and not because it plays.
func (r *speechRemark) leftOpen(v *desk.View, i int) bool {
	in := v.Input(i)
	plays := v.Metered(i) && v.Playing(i)
	return !in.Voice && !in.Cue && v.Gain(i) > r.limits.Open && !plays
}

func (r *speechRemark) remark(v *desk.View) Said {
	who := cast(v, moversOf(r.open))
	s := Said{
		Figures: Figures{Number("open", len(who))},
		What:    []Phrase{Say("speech-remark.open", Number("open", len(who))).Naming("who", who...)},
		Try:     Say("speech-remark.try").Naming("who", who...),
		Then:    Say("speech-remark.then"),
	}
	for _, i := range r.open {
		s.Facts = append(s.Facts, factOf(v, inputMover(i), Say("speech-remark.each", DB("gain", v.Gain(i)))))
	}
	return s
}
