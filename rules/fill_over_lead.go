package rules

import (
	"slices"
	"time"

	"pawl/rules/desk"
)

// fillOverLead hears a fill that goes on while the lead sings: the ear follows two tunes
// and gets neither. A fill in the gap of a line is where a fill belongs, one may begin
// early, hang over, or run through a line for once; the fault is one that knows no gaps. So
// only time counts in which the lead sounds, some lines of it, and a second of the lead
// alone begins it afresh. Then it knows no gaps, and one that is no softer than the lead is in
// its way. A softer one goes along under it, unless it has half of the lead's power for as
// long again. That fills are for gaps is common practice; the 6 dB and the half are ours.
type fillOverLead struct {
	limits FillOverLeadLimits
	beats
	behind *leadBehind // a lead that it speaks of is behind everybody, and not this one's to name
	fills  []fill      // by input
	told   bool        // of those that are over it
	lead   int
	who    []int // those over it
	claim  standingClaim
	view   *desk.View // that is judged
	leads  []int      // scratch, as is the next
	now    desk.Balance
}

// fill is how one input stands against the lead.
type fill struct {
	standing         // whether it leaves the lead a gap
	covers   lasting // its lines as a whole have power enough to be in the way
}

// inTheWay reports whether it goes on beside the lead, and in its way.
func (f *fill) inTheWay() bool { return f.on && f.covers.on }

// FillOverLeadLimits say when a fill beside the lead is worth a word.
type FillOverLeadLimits struct {
	Within desk.DB       `yaml:"within" doc:"a fill never more than this below the lead" from:"ours"`
	Covers desk.DB       `yaml:"covers" doc:"and in the mean of 10s not below it, or for as long again no more than this" from:"ours: half of its power"`
	For    time.Duration `yaml:"for" doc:"for this long without a gap, while the lead sings" from:"ours: two lines and into a third"`
}

func defaultFillOverLeadLimits() FillOverLeadLimits {
	return FillOverLeadLimits{Within: 6, Covers: 3, For: 20 * time.Second}
}

var fillOverLeadKind = Kind{
	Name:     "fill-over-lead",
	Summary:  "a fill that goes on while the lead sings",
	Needs:    []desk.Signal{desk.InputFader, desk.InputLevel},
	Helped:   []desk.Signal{desk.InputMute, desk.DCAFader, desk.GroupReduction},
	Compares: true,
	Says:     []string{"fill-over-lead.over", "fill-over-lead.try", "fill-over-lead.then", "fill-over-lead.each", "fill-over-lead.eased"},
	In:       []desk.SegmentKind{desk.Music},
	New: func(l Limits) Rule {
		r := &fillOverLead{limits: l.FillOverLead}
		r.claim.say = func() Said { return r.said(r.view, r.who) }
		return r
	},
}

// fillNow is what a fill is measured over: a tail that dies away is gone by then.
const fillNow = time.Second

// heed takes the rule that this one gives way to.
func (r *fillOverLead) heed(other Rule) {
	if b, ok := other.(*leadBehind); ok {
		r.behind = b
	}
}

// Judge implements Rule. It holds at most one claim, about all fills of which it is so.
func (r *fillOverLead) Judge(v *desk.View, claim func(Claim)) {
	r.view = v
	sang := r.fell(v) && r.count(v)
	r.who = r.over(r.who, v)
	if len(r.who) > 0 && !r.told && !r.itsOwn(v, r.who) {
		r.forget(r.who)
		r.who = r.who[:0]
	}
	switch {
	case len(r.who) > 0:
		c := Claim{Key: 1, About: r.about(), Weight: Whisper, Size: r.most(r.who)}
		if !v.Moving && r.itsOwn(v, r.who) {
			r.told = true
			c.Say = r.claim.say
		}
		claim(c)
	case r.told && sang:
		claim(Claim{Key: 1, Eased: true, Say: func() Said {
			return Said{What: []Phrase{Say("fill-over-lead.eased").Naming("lead", v.Who(inputMover(r.lead)))}}
		}})
	}
	r.told = r.told && len(r.who) > 0
}

// about is the fills, and last the lead.
func (r *fillOverLead) about() []desk.Mover {
	r.claim.about = stillAbout(r.claim.about, r.who, r.lead)
	return r.claim.about
}

// itsOwn reports whether the fills are what covers the lead: not if it is behind all of
// them, nor if it is said to have lost ground and they only come near, nor where either may be so of
// players whom nobody meters.
func (r *fillOverLead) itsOwn(v *desk.View, fills []int) bool {
	if r.behind == nil || !r.behind.speaksOf(r.lead) && !maySound(v, aPlayer) {
		return true
	}
	return r.most(fills).Reaches(0) && !r.covered(v)
}

// forget begins these afresh: for as long as the lead was too soft for all of them, they
// were not too loud for it.
func (r *fillOverLead) forget(fills []int) {
	for _, i := range fills {
		r.fills[i].lasting = lasting{}
	}
}

// covered reports whether another instrument than a fill is over the lead too, or may be.
func (r *fillOverLead) covered(v *desk.View) bool {
	v.Balance(&r.now, breath)
	if mayCover(v, r.now.Share(r.lead)) {
		return true
	}
	for i := range v.Inputs() {
		if in := v.Input(i); !in.Voice && !in.Cue && in.Element != desk.Fill && plays(v, i) && r.now.Share(i) >= r.now.Share(r.lead) {
			return true
		}
	}
	return false
}

// over is the fills of which it is so, in the memory of dst.
func (r *fillOverLead) over(dst []int, v *desk.View) []int {
	return inputsOf(dst, v, func(i int) bool { return i < len(r.fills) && r.fills[i].inTheWay() })
}

// most is how far the loudest of these stands over the lead.
func (r *fillOverLead) most(who []int) desk.DB {
	most := desk.Off
	for _, i := range who {
		most = max(most, r.fills[i].above(fillNow))
	}
	return most
}

// count takes a beat, and reports whether the lead sang in it.
func (r *fillOverLead) count(v *desk.View) bool {
	if r.fills == nil {
		r.fills = make([]fill, v.Inputs())
	}
	r.leads = leading(r.leads, v)
	r.leads = slices.DeleteFunc(r.leads, func(i int) bool { return hallIn(v, i) })
	sings := len(r.leads) > 0 && !mayCarry(v, r.leads[0])
	var sung desk.Power
	if sings {
		r.lead, sung = loudest(v, r.leads), r.sung(v)
	}
	for i := range r.fills {
		f := &r.fills[i]
		if v.Element(i) != desk.Fill || !v.Metered(i) {
			f.beat(false, 0, 0)
			continue
		}
		f.strict = true // in a gap a fill is where it belongs
		own := v.Moment().Share(i)
		if v.Overhears(i) {
			own = 0 // it is the lead that it hears
		}
		f.beat(sings, own, sung)
		f.keeps(f.above(fillNow), -r.limits.Within, -r.limits.Within-1, r.limits.For, fillNow)
		r.weigh(f)
	}
	return sings
}

// weigh asks whether a fill's lines are in the way.
func (r *fillOverLead) weigh(f *fill) {
	lines, patience := f.above(desk.LongestBeats), r.limits.For
	if lines.Reaches(0) {
		patience = 0
	}
	f.covers.over(f.counted, lines, -r.limits.Covers, -r.limits.Covers-1, patience, fillNow)
}

// sung is what carries the tune: the leads, or a voice that is none of theirs and louder. The
// song is somebody else's then.
func (r *fillOverLead) sung(v *desk.View) desk.Power {
	p := sum(v, r.leads)
	for i := range v.Inputs() {
		if in := v.Input(i); in.Voice && !in.Cue && in.Element != desk.Lead && v.Sounds(i) {
			p = max(p, v.Moment().Share(i))
		}
	}
	return p
}

func (r *fillOverLead) said(v *desk.View, who []int) Said {
	all, lead := cast(v, moversOf(who)), v.Who(inputMover(r.lead))
	s := Said{
		Figures: Figures{DB("against", r.most(who))},
		What:    []Phrase{Say("fill-over-lead.over", DB("against", r.most(who)), Time("for", r.limits.For)).Naming("who", all...).Naming("lead", lead)},
		Try:     Say("fill-over-lead.try", DB("by", downBy(r.most(who)+r.limits.Within+2))).Naming("who", all...),
		Then:    Say("fill-over-lead.then").Naming("who", all...).Naming("lead", lead),
	}
	for _, i := range who {
		s.Facts = append(s.Facts, factOf(v, inputMover(i), Say("fill-over-lead.each", DB("against", r.fills[i].above(fillNow))).
			Naming("who", v.Who(inputMover(i))).Naming("lead", lead)))
	}
	return s
}
