package rules

import (
	"math"
	"strings"
	"time"
	"unicode"

	"pawl/rules/desk"
)

// anyOf reports whether any of these remarks is to be made of an input.
func (c *lineCheck) anyOf(v *desk.View, i int, kinds []LineKind) bool {
	for _, k := range kinds {
		if c.is(v, i, k) {
			return true
		}
	}
	return false
}

// is reports whether a remark is to be made of an input.
func (c *lineCheck) is(v *desk.View, i int, k LineKind) bool {
	in, l := &c.inputs[i], c.limits.LineCheck
	switch k {
	case LineUnheard:
		return i == c.asked && v.Hears(i) && c.silent >= beatsIn(l.Unheard) && c.answering() < 0
	case LineAnswers:
		return i == c.asked && c.answering() >= 0
	case LineMeter:
		return i == c.asked && !v.Hears(i)
	case LineMuted:
		_, muted := v.MutedBy(i)
		return muted && (in.checked() || !v.Metered(i))
	case LineNowhere:
		return !v.Fed(i) && !v.Input(i).Cue
	case LineCue:
		return v.Input(i).Cue && v.Fed(i) && v.Gain(i) > c.limits.StrayCue.Gain
	case LineLowCut:
		cut, told := v.Latest(desk.InputLowCut, i)
		return told && cut == 0 && v.Input(i).Voice
	case LineName:
		name, told := v.DeskName(inputMover(i))
		return told && in.name != "" && !sameName(in.name, name)
	}
	return in.checked() && c.isLoud(in, k)
}

// isLoud is is for what the levels say.
func (c *lineCheck) isLoud(in *lineInput, k LineKind) bool {
	l := c.limits.LineCheck
	low := in.is.mean < l.Least
	steady := low && in.is.swing <= l.Steady
	peaks := in.is.peak.Above(l.Peak).Reaches(0)
	switch k {
	case LineSteady:
		return steady
	case LineLow:
		return low && !steady && c.raise(in) > 0
	case LineHot:
		return in.is.mean > l.Most
	case LinePeaks:
		return peaks && in.is.mean <= l.Most
	case LineSqueezed:
		return in.is.reduction > c.limits.SqueezedInput.Whisper
	case LineTogether:
		return in.with >= 0
	}
	return false
}

// raise is by how much to raise the gain of a low input: into the guide, so far as its
// peaks leave room. 0 where they leave none: that one is as loud as it can be.
func (c *lineCheck) raise(in *lineInput) desk.DB {
	l := c.limits.LineCheck
	room := desk.DB(math.Floor(float64(l.Peak.Above(in.is.peak))*2)) / 2
	return max(min(upToHalf(l.Least.Above(in.is.mean).Shown()), room), 0)
}

// lower is by how much to lower the gain of a hot one: into the guide, and until its peaks
// leave room.
func (c *lineCheck) lower(in *lineInput) desk.DB {
	l := c.limits.LineCheck
	return upToHalf(max(in.is.mean.Above(l.Most), in.is.peak.Above(l.Peak)+0.1).Shown())
}

// sameName reports whether the house and the desk mean the same by two names: a desk
// has room for few letters, and nobody minds capitals.
func sameName(house, desk string) bool {
	a, b := lettersOf(house), lettersOf(desk)
	return a == "" || b == "" || strings.HasPrefix(a, b) || strings.HasPrefix(b, a)
}

func lettersOf(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return unicode.ToLower(r)
		}
		return -1
	}, s)
}

// remarks are all that are to be made of an input.
func (c *lineCheck) remarks(v *desk.View, i int) []LineRemark {
	out := []LineRemark{}
	for _, kinds := range [][]LineKind{lineSounds, lineSettings} {
		for _, k := range kinds {
			if c.is(v, i, k) {
				says, try := c.phrases(v, i, k)
				out = append(out, LineRemark{Kind: k, Says: says, Try: try})
			}
		}
	}
	return out
}

// phrases are what to say of an input, and what to do.
func (c *lineCheck) phrases(v *desk.View, i int, k LineKind) (says, try Phrase) {
	in, l := &c.inputs[i], c.limits.LineCheck
	switch k {
	case LineUnheard:
		return Say("line.unheard", Time("over", time.Duration(c.silent)*desk.Beat)), Say("line.unheard-try")
	case LineAnswers:
		return Say("line.answers").Naming("who", v.Who(inputMover(c.answering()))), Say("line.answers-try")
	case LineMeter:
		return Say("line.meter"), Say("line.meter-try")
	case LineSteady:
		return Say("line.steady", Level("mean", in.is.mean)), Say("line.steady-try")
	case LineLow:
		return Say("line.low", Level("mean", in.is.mean), Level("least", l.Least)), Say("line.raise", DB("by", c.raise(in)))
	case LineHot:
		return Say("line.hot", Level("mean", in.is.mean), Level("most", l.Most)), Say("line.lower", DB("by", c.lower(in)))
	case LinePeaks:
		return Say("line.peaks", Level("peak", in.is.peak), Level("limit", l.Peak)), Say("line.lower", DB("by", c.lower(in)))
	case LineSqueezed:
		return Say("line.squeezed", DB("median", in.is.reduction)), Say("line.squeezed-try")
	case LineTogether:
		return Say("line.together").Naming("who", v.Who(inputMover(in.with))), Say("line.together-try")
	case LineMuted:
		by, _ := v.MutedBy(i)
		if by == inputMover(i) {
			return Say("line.muted"), Say("line.muted-try")
		}
		return Say("line.muted-by").Naming("who", v.Who(by)), Say("line.muted-try")
	case LineNowhere:
		return Say("line.nowhere"), Say("line.nowhere-try")
	case LineCue:
		return Say("line.cue"), Say("line.cue-try")
	case LineLowCut:
		return Say("line.low-cut"), Say("line.low-cut-try")
	}
	name, _ := v.DeskName(inputMover(i))
	return Say("line.name").Quoting("desk", name), Say("line.name-try")
}

// deskRemarks are those that are about no one input.
func (c *lineCheck) deskRemarks(v *desk.View) []LineRemark {
	out := []LineRemark{}
	say := func(k LineKind, says, try Phrase) { out = append(out, LineRemark{Kind: k, Says: says, Try: try}) }
	for k := range v.DCAs() {
		m := dcaMover(k)
		switch n := c.driven(v, m); {
		case n == 0:
			say(LineEmptyDCA, Say("line.empty").Naming("who", v.Who(m)), Say("line.empty-try"))
		case v.Fader(m).Above(0).Abs() > c.limits.LineCheck.DCA:
			say(LineDCA, Say("line.dca", DB("at", v.Fader(m)), Number("inputs", n)).Naming("who", v.Who(m)), Say("line.dca-try"))
		}
	}
	for k := range v.Groups() {
		m := groupMover(k)
		if c.driven(v, m) == 0 {
			say(LineEmptyGroup, Say("line.empty").Naming("who", v.Who(m)), Say("line.empty-try"))
			continue
		}
		if ratio, told := v.Latest(desk.GroupRatio, k); told && ratio > float64(c.limits.LineCheck.Ratio) {
			say(LineRatio, Say("line.ratio", DB("ratio", desk.DB(ratio)), Number("most", c.limits.LineCheck.Ratio)).Naming("who", v.Who(m)), Say("line.ratio-try"))
		}
		if s := v.Squeeze(k); s.Known && s.Median > c.limits.SqueezedGroup.Whisper {
			say(LineSqueezedGroup, Say("line.squeezed-group", DB("median", s.Median), DB("most", c.limits.SqueezedGroup.Whisper)).Naming("who", v.Who(m)), Say("line.squeezed-group-try"))
		}
	}
	return out
}

// MainMoved is the remark that the main stands elsewhere than at the line check before,
// for whoever has the record; false if it does not.
func (l LineCheckLimits) MainMoved(now, was desk.DB) (LineRemark, bool) {
	says := Say("line.main-moved", DB("at", now), DB("was", was))
	return LineRemark{Kind: LineMain, Says: says, Try: Say("line.main-moved-try")}, now.Above(was).Abs() > l.Main
}

// driven is how many inputs a DCA or group has.
func (c *lineCheck) driven(v *desk.View, m desk.Mover) (n int) {
	for i := range c.inputs {
		if v.Drives(m, i) {
			n++
		}
	}
	return n
}
