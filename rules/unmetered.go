package rules

import "pawl/rules/desk"

// What rules ask about inputs without a meter, see desk.View.Unknown. One against the rest is
// compared where the rest is known, and whose sound it is that a microphone hears where
// everybody whom it may hear is.

func anybody(in desk.Input) bool { return !in.Cue }
func aVoice(in desk.Input) bool  { return in.Voice && !in.Cue }
func aPlayer(in desk.Input) bool { return !in.Voice && !in.Cue }
func aLead(in desk.Input) bool   { return in.Element == desk.Lead }

// maySound reports whether somebody of whom something is so may sound, and nothing tells.
func maySound(v *desk.View, so func(desk.Input) bool) bool {
	return v.AnyUnknown(func(i int) bool { return so(v.Input(i)) })
}

// mayCarry reports whether a voice that nobody meters may carry the tune in place of a lead: any
// but those that sing along with it.
func mayCarry(v *desk.View, lead int) bool {
	return v.AnyUnknown(func(i int) bool {
		in := v.Input(i)
		return aLead(in) || aVoice(in) && !isHarmony(v, i, lead)
	})
}

// mayCover reports whether an instrument other than a fill, of which nothing tells, may be as loud in
// the mix as a lead.
func mayCover(v *desk.View, lead desk.Power) bool {
	if !maySound(v, func(in desk.Input) bool { return aPlayer(in) && in.Element != desk.Fill }) {
		return false
	}
	most, ok := v.Unaccounted(breath)
	return !ok || most >= lead
}

// mayPlaySoftly reports whether an instrument without a meter is open: so far below a voice as one is
// that somebody tunes, the main tells nothing of it.
func mayPlaySoftly(v *desk.View) bool {
	for i := range v.Inputs() {
		if aPlayer(v.Input(i)) && v.Unmetered(i) && v.Open(inputMover(i)) {
			return true
		}
	}
	return false
}

// mayHearUnmetered reports whether what an input hears at such a level may be somebody else's,
// by a microphone or an instrument of which the desk tells no level: it may be so where the main
// leaves room for one that is as loud as that. Of one that is closed nothing tells.
func mayHearUnmetered(v *desk.View, input int, level desk.DBFS) bool {
	for i := range v.Inputs() {
		if in := v.Input(i); i == input || in.Cue || !v.Unmetered(i) || !v.Open(inputMover(i)) {
			continue
		}
		if most, ok := v.AtMost(i, desk.Syllable); !ok || most > level {
			return true
		}
	}
	return false
}
