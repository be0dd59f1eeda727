package rules

import "pawl/rules/desk"

// said is what a lower main does, in the ear's numbers where the house says how loud it
// listens.
func (r *mainDown) said(v *desk.View, from, at desk.DB) Said {
	down := DB("down", from.Above(at))
	s := Said{
		Figures: Figures{down},
		What:    []Phrase{Say("main-down.lowered", down, DB("to", at)), Say("main-down.thin")},
		Try:     Say("main-down.try"), Then: Say("main-down.then"),
		Facts: []Fact{factOf(v, desk.Main, Say("move.lower", DB("by", from.Above(at)), DB("from", from), DB("to", at)))},
	}
	if lost, ok := lostLows(r.limits.Listening, from.Above(at)); ok {
		figures := Figures{DB("listening", desk.DB(r.limits.Listening)), DB("lowest", lost[0]), DB("lower", lost[1]), DB("low", lost[2]), DB("highest", lost[3])}
		s.Figures = append(s.Figures, figures...)
		// A phon is a dB at 1 kHz: so much there would be as much to the ear.
		s.What[1] = Say("main-down.ear", down, figures[0], DB("earlowest", lost[0]+from.Above(at)), DB("earlower", lost[1]+from.Above(at)), DB("earlow", lost[2]+from.Above(at)))
		s.Facts = append(s.Facts, fact(v, Say("main-down.phons", append(figures, down)...)))
	}
	if k, ok := r.accompaniment(v); ok {
		s.Try = Say("main-down.try-dca").Naming("who", v.Who(dcaMover(k)))
	}
	return s
}

// accompaniment is the DCA that moves most of what accompanies, and no lead or voice.
func (r *mainDown) accompaniment(v *desk.View) (best int, ok bool) {
	v.Balance(&r.now, r.over)
	var most desk.Power
	for k := range v.DCAs() {
		var power desk.Power
		for i := range v.Inputs() {
			if !v.Playing(i) || !v.Drives(dcaMover(k), i) {
				continue
			}
			switch in := v.Input(i); {
			case in.Element == desk.Lead || in.Voice:
				power = -1 // it would take the lead down with it
			case in.Element == desk.Pad || in.Element == desk.Rhythm || in.Element == desk.Fill:
				power += r.now.Share(i)
			}
			if power < 0 {
				break
			}
		}
		if power > most {
			best, most, ok = k, power, true
		}
	}
	return best, ok
}
