package rules

import (
	"time"

	"pawl/rules/desk"
)

// harmonyForward hears the harmony voices over the lead: the tune is then sung by the
// wrong people. What is measured is the power sum of the harmonies against the lead, while
// the lead sings; a choir that answers in the lead's gaps is not over it, and neither is a hall that
// claps into all their microphones. Who had the tune alone for more than a line is to step back in the
// lead's first: hands need that long. And whom a hand put in the lead's place is no harmony there. A harmony
// is a voice without an element that belongs with the lead. That the lead is to be in
// front is common practice; when to say so is ours.
type harmonyForward struct {
	limits HarmonyForwardLimits
	beats
	standing
	sang  bool          // a lead has, so that lead is one
	lead  int           // whom it was compared to last
	alone time.Duration // how long the harmonies have had the tune to themselves, the lead resting
	gave  handedOn
	back  time.Duration // how long the lead has sung since then, up to a line
	names []int         // the harmonies that were in it then
	claim standingClaim
	view  *desk.View // that is judged
	leads []int      // scratch
}

// HarmonyForwardLimits say when harmonies over the lead are worth a word.
type HarmonyForwardLimits struct {
	Over  desk.DB       `yaml:"over" doc:"the harmonies together at or over the lead by this"`
	Means time.Duration `yaml:"means" doc:"by mean power over this, at most 10s" from:"ours"`
	For   time.Duration `yaml:"for" doc:"for this long, while the lead sings" from:"ours"`
}

func defaultHarmonyForwardLimits() HarmonyForwardLimits {
	return HarmonyForwardLimits{Over: 0, Means: 3 * time.Second, For: 6 * time.Second}
}

var harmonyForwardKind = Kind{
	Name:     "harmony-forward",
	Summary:  "harmony voices that are together over the lead voice",
	Needs:    []desk.Signal{desk.InputFader, desk.InputLevel},
	Helped:   []desk.Signal{desk.InputMute, desk.DCAFader, desk.GroupReduction},
	Compares: true,
	Says: []string{"harmony-forward.over", "harmony-forward.try", "harmony-forward.then", "harmony-forward.each",
		"harmony-forward.eased"},
	In: []desk.SegmentKind{desk.Music},
	New: func(l Limits) Rule {
		r := &harmonyForward{limits: l.HarmonyForward}
		r.claim.say = func() Said { return r.said(r.view) }
		return r
	},
}

// Judge implements Rule. It holds at most one claim.
func (r *harmonyForward) Judge(v *desk.View, claim func(Claim)) {
	r.view = v
	was := r.on
	r.gave.follow(v, r.belongs)
	if r.fell(v) {
		r.gave.hear(v)
		r.count(v)
	}
	switch {
	case r.on:
		claim(Claim{Key: 1, About: r.about(), Weight: Whisper, Size: r.now(), Say: r.claim.say})
	case was && r.idle == 0:
		claim(Claim{Key: 1, About: r.about(), Eased: true, Say: func() Said { return r.eased(v) }})
	}
}

// now is how far the harmonies stand over the lead.
func (r *harmonyForward) now() desk.DB { return r.above(r.limits.Means) }

// about is the harmonies, and last the lead.
func (r *harmonyForward) about() []desk.Mover {
	r.claim.about = stillAbout(r.claim.about, r.names, r.lead)
	return r.claim.about
}

func (r *harmonyForward) count(v *desk.View) {
	r.leads = leading(r.leads, v)
	if len(r.leads) == 0 {
		r.beat(false, 0, 0)
		r.sungAlone(v)
		return
	}
	if who := r.gave.raised.Mover.Index; r.gave.given && plays(v, who) {
		r.leads = append(r.leads, who)
	}
	r.sang, r.lead = true, loudest(v, r.leads)
	if hallIn(v, r.lead) || mayCarry(v, r.lead) {
		r.beat(false, 0, 0)
		return
	}
	r.names = inputsOf(r.names, v, func(i int) bool { return plays(v, i) && isHarmony(v, i, r.lead) && !r.gave.has(i) })
	r.beat(true, sum(v, r.names), sum(v, r.leads))
	if r.alone > phraseLong && r.back < phraseLong && !r.on {
		r.begun, r.back = false, r.back+desk.Beat
		return
	}
	r.alone, r.back = 0, 0
	r.keeps(r.now(), r.limits.Over, r.limits.Over-1, r.limits.For, 2*time.Second)
}

// sungAlone takes a beat in which the lead rests.
func (r *harmonyForward) sungAlone(v *desk.View) {
	for i := range v.Inputs() {
		if v.Sounds(i) && r.belongs(v, i) {
			r.alone += desk.Beat
			return
		}
	}
}

// belongs reports whether an input is a harmony of the lead who sang last, or of anyone who may
// lead before any has.
func (r *harmonyForward) belongs(v *desk.View, input int) bool {
	if r.sang {
		return isHarmony(v, input, r.lead)
	}
	return harmonises(v, input)
}

// isHarmony reports whether a voice without an element belongs with a lead: some DCA or
// group holds both, or none holds either.
func isHarmony(v *desk.View, input, lead int) bool {
	if !v.Input(input).Voice || v.Input(input).Cue || v.Element(input) != desk.NoElement {
		return false
	}
	alone := true
	for _, bank := range []struct {
		strip desk.Strip
		n     int
	}{{desk.StripDCA, v.DCAs()}, {desk.StripGroup, v.Groups()}} {
		for k := range bank.n {
			m := desk.Mover{Strip: bank.strip, Index: k}
			its, leads := v.Drives(m, input), v.Drives(m, lead)
			if its && leads {
				return true
			}
			alone = alone && !its && !leads
		}
	}
	return alone
}

func (r *harmonyForward) said(v *desk.View) Said {
	who, lead := cast(v, moversOf(r.names)), v.Who(inputMover(r.lead))
	over := r.now()
	by := downBy(over + 2)
	s := Said{
		Figures: Figures{DB("over", over)},
		What:    []Phrase{Say("harmony-forward.over", DB("over", over), Time("for", r.limits.For)).Naming("who", who...).Naming("lead", lead)},
		Try:     Say("harmony-forward.try", DB("by", by)).Naming("who", who...),
		Then:    Say("harmony-forward.then", DB("under", by-over)).Naming("lead", lead),
	}
	var b desk.Balance
	v.Balance(&b, r.limits.Means)
	for _, i := range r.names {
		alone := b.Share(i).Level().Above(b.Share(r.lead).Level())
		s.Facts = append(s.Facts, factOf(v, inputMover(i), Say("harmony-forward.each", DB("against", alone)).
			Naming("who", v.Who(inputMover(i))).Naming("lead", lead)))
	}
	return s
}

func (r *harmonyForward) eased(v *desk.View) Said {
	under := -r.now()
	if under > 20 {
		under = 0 // they have stopped, and by how much is no number
	}
	return Said{
		Figures: Figures{DB("over", r.now())},
		What:    []Phrase{Say("harmony-forward.eased", DB("under", under)).Naming("lead", v.Who(inputMover(r.lead)))},
	}
}
