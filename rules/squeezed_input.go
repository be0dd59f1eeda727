package rules

import "pawl/rules/desk"

// squeezedInput finds an input whose own compressor never rests. 5 to 10 dB is ordinary
// on a single voice or instrument; beyond that it pumps, breath and room come up between
// the words, and a raise of what feeds it is hardly heard. The figures are common
// practice, with no published source.
//
// It is ordinary while it lets go between the loud words. One that takes more even from the softest than
// the way out aims at never does: from 2:1 on no more than half of every accent comes through, and loud and
// soft come out alike. That is too much below 10 dB as well. Where the desk tells no ratio nobody knows
// what is left of an accent, and how much it takes is all there is to go by.
type squeezedInput struct {
	limits SqueezedInputLimits
	inputs []inputSqueeze
	view   *desk.View // that is judged
}

type inputSqueeze struct {
	played played
	high   lasting
	now    desk.Squeeze
	claim  standingClaim
}

// SqueezedInputLimits say how much reduction is worth a word on an input.
type SqueezedInputLimits struct {
	Whisper desk.DB `yaml:"whisper" doc:"median reduction over 20 s of playing, above which it is a whisper"`
	Eased   desk.DB `yaml:"eased" doc:"and below which it has eased" from:"ours"`
	Target  desk.DB `yaml:"target" doc:"the reduction that the way out aims at; from 2:1 on it is a whisper too once the 10th percentile is above this"`
	Grew    desk.DB `yaml:"grew" doc:"said again when it has grown by this" from:"ours"`
}

func defaultSqueezedInputLimits() SqueezedInputLimits {
	return SqueezedInputLimits{Whisper: 10, Eased: 9, Target: 7, Grew: 3}
}

// Check finds limits that make no sense.
func (l SqueezedInputLimits) Check() []desk.WrongLimit {
	return disorders(order{"eased", l.Eased, "whisper", l.Whisper}, order{"target", l.Target, "whisper", l.Whisper})
}

var squeezedInputKind = Kind{
	Name:    "squeezed-input",
	Summary: "an input whose own compressor holds it down far more than is ordinary",
	Needs:   []desk.Signal{desk.InputReduction},
	Seldom:  true,
	Helped:  []desk.Signal{desk.InputLevel, desk.InputCompThreshold, desk.InputCompRatio},
	Says: []string{"squeezed-input.holds", "squeezed-input.never", "squeezed-input.try-look", "squeezed-input.try-threshold", "squeezed-input.louder",
		"squeezed-input.eased", "squeezed-input.spread"},
	In:   []desk.SegmentKind{desk.Music, desk.Speech},
	Grew: func(l Limits) desk.DB { return l.SqueezedInput.Grew },
	New:  func(l Limits) Rule { return &squeezedInput{limits: l.SqueezedInput} },
}

// Judge implements Rule, with one claim an input.
func (r *squeezedInput) Judge(v *desk.View, claim func(Claim)) {
	if r.inputs == nil {
		r.begin(v.Inputs())
	}
	r.view = v
	for i := range r.inputs {
		r.judge(v, i, claim)
	}
}

func (r *squeezedInput) begin(inputs int) {
	r.inputs = make([]inputSqueeze, inputs)
	for i := range r.inputs {
		in, who := &r.inputs[i], inputMover(i)
		in.claim = standingClaim{[]desk.Mover{who}, func() Said { return r.said(r.view, who, in.now) }}
	}
}

func (r *squeezedInput) judge(v *desk.View, i int, claim func(Claim)) {
	in, s := &r.inputs[i], v.InputSqueeze(i)
	if !s.Known {
		return
	}
	was := in.high.on
	if !in.played.pass(v, s.Active) {
		in.high = lasting{}
		return
	}
	taken := s.Median
	if r.never(v, i, s) {
		taken = max(taken, r.limits.Whisper+step) // as much as that
	}
	on := in.high.over(in.played.total, taken, r.limits.Whisper+step, r.limits.Eased, half, half/2)
	switch {
	case on && in.played.total < desk.Passage:
	case on:
		in.now = s
		claim(Claim{Key: i, About: in.claim.about, Weight: Whisper, Size: s.Median, Say: in.claim.say})
	case was:
		claim(Claim{Key: i, Eased: true, Say: func() Said {
			return Said{Figures: Figures{DB("median", s.Median)}, What: []Phrase{Say("squeezed-input.eased", DB("median", s.Median)).Naming("who", v.Who(inputMover(i)))}}
		}})
	}
}

// never reports whether an input's compressor is known to let no more than half of an accent through, and hardly
// ever lets go.
func (r *squeezedInput) never(v *desk.View, i int, s desk.Squeeze) bool {
	c, known := v.InputCurve(i)
	return known && c.Ratio >= 2 && s.Least > r.limits.Target+step
}

func (r *squeezedInput) said(v *desk.View, m desk.Mover, s desk.Squeeze) Said {
	who := v.Who(m)
	out := Said{
		Figures: Figures{DB("median", s.Median), DB("least", s.Least)},
		What:    []Phrase{Say("squeezed-input.holds", DB("median", s.Median), Time("over", desk.Passage)).Naming("who", who)},
		Try:     Say("squeezed-input.try-look").Naming("who", who),
		Facts:   []Fact{fact(v, Say("squeezed-input.spread", DB("low", s.Low), DB("high", s.High)))},
	}
	if r.never(v, m.Index, s) {
		out.What = append(out.What, Say("squeezed-input.never", DB("least", s.Least)))
	}
	curve, mapped := v.InputCurve(m.Index)
	if at, turns := curve.In(s.Median); mapped && turns {
		wanted, _ := curve.In(r.limits.Target)
		by := upToHalf(desk.DB(at - wanted).Shown()) // and it lets go again
		left := curve.Reduction(at - desk.DBFS(by))
		out.Try = Say("squeezed-input.try-threshold", DB("by", by), Level("to", curve.Threshold+desk.DBFS(by))).Naming("who", who)
		out.Then = Say("squeezed-input.louder", DB("left", left), DB("louder", s.Median-left))
	}
	return out
}
