package desk

import (
	"strings"
	"time"
)

// View is the desk at one instant as the rules see it: at every beat, and when a
// move comes to rest. It is the same one for all rules, cannot be written through,
// and is good until the rule returns.
//
// Inputs, DCAs and groups are counted from 0; an index that the roster lacks is a
// fault of the caller's, and panics.
type View struct {
	At    time.Duration // since the first packet of the service
	Moves []Move        // that have ended since the last view, the earliest first

	// Moving is true while some mover is in motion: what is so now may not be so
	// once the hand has finished.
	Moving bool

	// Watched is how long the desk has been heard in all. It stands while the desk
	// is away, so that nothing "was kept" by a desk that nobody heard.
	Watched time.Duration

	// Quiet is how long nothing has come from the desk; 0 while it may be quiet for longer, by its
	// map or because it is one of few words. What the view has is from then.
	Quiet time.Duration

	// Elsewhere is how long the service was in segments that the rule does not belong to;
	// Watched stood meanwhile.
	Elsewhere time.Duration

	// Played is how much of Watched had music in it: patience with what was played is
	// measured in it, since silence between songs keeps nothing.
	Played time.Duration

	// Mark is the mix that the operator means to be at; Segment the part of the
	// service that this is.
	Mark    Mark
	Segment Segment

	mix    *Mix
	filled bool // the mix's moment is of this view
}

// View looks at the mix as it stands. The caller fills in what the mix cannot know.
func (m *Mix) View() View { return View{mix: m, Moving: len(m.moves.moving) > 0} }

// Untold reports whether a mute was pressed of which Moves has not told, because it may be
// part of a change of scene: the mix is as it will be, and what it is measured from is not.
func (v *View) Untold() bool { return len(v.mix.moves.done) > 0 }

// WatchedAt is what Watched was at a moment of which the desk told, such as the end of
// a move: it was there then, and is now.
func (v *View) WatchedAt(at time.Duration) time.Duration { return v.Watched - (v.At - at) }

// PlayedAt is what Played was at such a moment, if there has been music since.
func (v *View) PlayedAt(at time.Duration) time.Duration {
	if !v.Music() {
		return v.Played
	}
	return v.Played - (v.At - at)
}

// InMotion reports whether this mover is in motion.
func (v *View) InMotion(m Mover) bool { return v.mix.moves.tracks[v.mix.faders.slot(m)].moving }

// Inputs is how many inputs the desk has.
func (v *View) Inputs() int { return len(v.mix.roster.Inputs) }

// DCAs is how many DCAs the desk has.
func (v *View) DCAs() int { return len(v.mix.roster.DCAs) }

// Groups is how many groups the desk has.
func (v *View) Groups() int { return len(v.mix.roster.Groups) }

// Input is the roster's line on an input, by the name that it now has and with the
// element that it plays in this segment.
func (v *View) Input(i int) Input {
	in := v.mix.roster.Inputs[i]
	in.Element = v.Element(i)
	return in
}

// Element is the part an input plays in this segment.
func (v *View) Element(i int) Element {
	if e, other := v.Segment.Elements[i]; other {
		return e
	}
	return v.mix.roster.Inputs[i].Element
}

// Primary is the instrument that carries an element: the segment's primary if it plays
// that here, else the first in the roster that does. False if there is none.
func (v *View) Primary(e Element) (input int, ok bool) {
	if p := v.Segment.Primary; p != nil && *p >= 0 && *p < v.Inputs() && v.Element(*p) == e {
		return *p, true
	}
	for i := range v.Inputs() {
		if v.Element(i) == e {
			return i, true
		}
	}
	return 0, false
}

// Who names a mover as the operator calls it.
func (v *View) Who(m Mover) Who { return v.mix.roster.Who(m) }

// Fader is where the hand left a mover's fader, mutes apart.
func (v *View) Fader(m Mover) DB { return v.mix.faders.At(m) }

// Stands is Fader with mutes taken as closed.
func (v *View) Stands(m Mover) DB {
	v.mix.refresh()
	return v.mix.now.Fader(m)
}

// Muted reports whether the desk said that a mover is muted.
func (v *View) Muted(m Mover) bool { return v.mix.muted[v.mix.faders.slot(m)] }

// Gain is an input's effective gain now: its fader and those of its DCAs.
func (v *View) Gain(input int) DB {
	v.mix.refresh()
	return v.mix.now.Gain(input)
}

// Level is an input's mean level before the fader over a time; Silence of one that
// is not metered.
func (v *View) Level(input int, over time.Duration) DBFS {
	return v.mix.inputs[input].mean(over).Level()
}

// Metered reports whether an input's level was heard.
func (v *View) Metered(input int) bool { return v.mix.inputs[input].heard }

// Hears reports whether an input's level is known at this moment: a meter taken after a
// closed fader goes on showing what it showed last.
func (v *View) Hears(input int) bool {
	v.mix.refresh()
	w := v.mix.latest.of(InputLevel, input)
	if !w.heard {
		w = v.mix.latest.of(InputPeak, input)
	}
	return v.Metered(input) && (!w.post || v.mix.now.gain[input] > v.mix.audible)
}

// DeskName is what the desk itself calls a mover, false if it did not say or said nothing
// but spaces.
func (v *View) DeskName(m Mover) (name string, ok bool) {
	signal := InputName
	switch m.Strip {
	case StripDCA:
		signal = DCAName
	case StripGroup:
		signal = GroupName
	}
	name = strings.TrimSpace(v.mix.latest.texts[spot{signal, m.Index}])
	return name, name != ""
}

// Gate is the level before the fader above which an input counts as playing.
func (v *View) Gate(input int) DBFS { return v.mix.inputs[input].gate.Level() }

// Fed reports whether an input has a way to the main, wherever faders and mutes stand.
func (v *View) Fed(input int) bool {
	r := &v.mix.routes[input]
	return r.main || len(r.groups) > 0
}

// MutedBy is the mover whose mute keeps an input from the main: its own, a DCA's of
// it, or a group's through which alone it goes; false if none does.
func (v *View) MutedBy(input int) (Mover, bool) {
	r := &v.mix.routes[input]
	if own := (Mover{StripInput, input}); v.Muted(own) {
		return own, true
	}
	for _, k := range r.dcas {
		if dca := (Mover{StripDCA, k}); v.Muted(dca) {
			return dca, true
		}
	}
	if group := (Mover{StripGroup, 0}); !r.main && len(r.groups) == 1 {
		group.Index = r.groups[0]
		return group, v.Muted(group)
	}
	return Mover{}, false
}

// LevelQuantile is the level that an input lay at or below for the share q of the
// last 20 s (Passage) or Minute in which it played, to 0.1 dB; false before it did.
func (v *View) LevelQuantile(input int, over time.Duration, q float64) (DBFS, bool) {
	if v.mix.inputs[input].levels.ring == nil {
		return Silence, false
	}
	l, ok := v.mix.inputs[input].levels.quantile(over, q)
	return DBFS(l), ok
}

// PeaksOver counts the beats of the last d, to ten seconds, in which an input's peak
// reached a level.
func (v *View) PeaksOver(input int, level DBFS, d time.Duration) int {
	return v.mix.inputs[input].peak.over(level.Power(), d)
}

// Peak is the highest peak of an input before its fader within the last d, to ten
// seconds; where no peak is metered, its level. False if neither was heard.
func (v *View) Peak(input int, d time.Duration) (DBFS, bool) {
	return v.mix.inputs[input].peak.highest(d)
}

// MainPeak is Peak of the main.
func (v *View) MainPeak(d time.Duration) (DBFS, bool) { return v.mix.main.peak.highest(d) }

// MainPeakMetered reports whether a peak of the main was heard, and no level stands in
// for it.
func (v *View) MainPeakMetered() bool { return v.mix.main.peak.own }

// MainPeaksOver is PeaksOver of the main.
func (v *View) MainPeaksOver(level DBFS, d time.Duration) int {
	return v.mix.main.peak.over(level.Power(), d)
}

// MainLevel is the desk's own main level over a time, or what its peaks let suppose;
// false if it is not metered.
func (v *View) MainLevel(over time.Duration) (DBFS, bool) {
	return v.mix.main.mean(over).Level(), v.mix.main.heard
}

// RoomLevel is the mapped room level over a time, false if there is none.
func (v *View) RoomLevel(over time.Duration) (DBFS, bool) {
	return v.mix.room.mean(over).Level(), v.mix.room.heard
}

// GroupIn and GroupOut are the desk's own levels before and after a group's
// compressor over a time, false where it does not meter them.
func (v *View) GroupIn(group int, over time.Duration) (DBFS, bool) {
	g := &v.mix.groups[group]
	return g.in.mean(over).Level(), g.in.heard
}

// GroupOut is the desk's own level of a group over a time, false if not metered.
func (v *View) GroupOut(group int, over time.Duration) (DBFS, bool) {
	g := &v.mix.groups[group]
	return g.out.mean(over).Level(), g.out.heard
}

// Squeeze is how hard a group's compressor is working.
func (v *View) Squeeze(group int) Squeeze {
	g := &v.mix.groups[group]
	return g.squeeze(g.active)
}

// Curve is a group's compressor by its settings, false until its threshold and ratio
// were heard.
func (v *View) Curve(group int) (Curve, bool) { return v.mix.settings(group) }

// InputCurve is the compressor of an input by its settings, likewise.
func (v *View) InputCurve(input int) (Curve, bool) { return v.mix.inputSettings(input) }

// InputSqueeze is how hard an input's own compressor is working.
func (v *View) InputSqueeze(input int) Squeeze {
	return v.mix.inputs[input].squeeze.squeeze(v.mix.inputActive(input))
}

// MainSqueeze is how hard the main's compressor is working.
func (v *View) MainSqueeze() Squeeze { return v.mix.main.squeeze.squeeze(v.mix.music()) }

// Latest is the desk's last word on a signal of a strip, in the signal's unit; false
// if it said none. For the strips that are one of a kind the index is 0.
func (v *View) Latest(s Signal, index int) (value float64, ok bool) {
	w := v.mix.latest.of(s, index)
	return w.value, w.heard
}

// Balance writes the mix as it stands into b, levels and reduction as means over d,
// to ten seconds exactly and beyond that in whole seconds.
func (v *View) Balance(b *Balance, d time.Duration) { v.mix.balance(b, d) }

// Moment is the mix as it stands with the levels of the last beat alone, for whoever
// keeps means of its own. It is the same for all rules and not to be written through.
func (v *View) Moment() *Balance {
	if !v.filled {
		v.mix.balance(&v.mix.moment, Beat)
		v.filled = true
	}
	return &v.mix.moment
}

// Drives reports whether a mover's fader moves an input's level.
func (v *View) Drives(m Mover, input int) bool { return v.mix.driven(input, m) }

// Playing reports whether an input is in the mix and, so far as is metered, sounds.
func (v *View) Playing(input int) bool {
	v.mix.refresh()
	return v.mix.inputActive(input)
}

// Overhears reports whether all that an input brings at this moment is what its
// microphone hears of others, so far as that is known. One that is silent does not.
func (v *View) Overhears(input int) bool { return v.mix.inputs[input].overhears }

// Sounds reports whether an input is in the mix and heard at this moment, with a sound
// of its own. Playing bridges a breath of three seconds, and this none: a fill in a line's
// gap is not over the line. An input without a meter is never known to sound.
func (v *View) Sounds(input int) bool {
	v.mix.refresh()
	return v.mix.inputs[input].sounding && v.mix.inputs[input].open
}

// AnySounds reports whether any input is heard at this moment, in the mix or not.
func (v *View) AnySounds() bool {
	for i := range v.mix.inputs {
		if v.mix.inputs[i].sounding {
			return true
		}
	}
	return false
}

// PlayingFor is for how long an input has been playing without a pause, 0 while it is
// not; PausedFor is for how long it has not. A lead that breathes has not stopped.
func (v *View) PlayingFor(input int) time.Duration { return v.mix.lasted(input, true) }

// PausedFor is for how long an input has not been playing, 0 while it is; of one that
// never played it is since the service began.
func (v *View) PausedFor(input int) time.Duration { return v.mix.lasted(input, false) }

// StoppedFor is for how long an input has not been playing that has played before, 0 while it
// plays and of one that never did: who was never there has not left.
func (v *View) StoppedFor(input int) time.Duration {
	if v.mix.inputs[input].changed == 0 {
		return 0
	}
	return v.PausedFor(input)
}

// Active reports whether a mover has anything to move: an input that is playing
// and open, a DCA or group with such an input, the main when anything is.
// Without meters every open input counts as playing.
func (v *View) Active(m Mover) bool { return v.mix.active(m) }

// Open is Active for a mover whose inputs may be pausing between two phrases.
func (v *View) Open(m Mover) bool { return v.mix.open(m) }

// Music reports whether enough inputs are in the mix to make one.
func (v *View) Music() bool { return v.mix.music() }

// PlayingCount is how many inputs are in the mix now.
func (v *View) PlayingCount() int { return v.mix.playing() }

// Basis is what judging rests on.
func (v *View) Basis() Basis { return v.mix.basis() }

// Unexplained is how far the desk's own main level has wandered from the model
// within a minute; 0 where it has none, or not for a minute yet.
func (v *View) Unexplained() DB { return v.mix.mismatch.wander() }

// Lead is the loudest input of an element that is playing, false if there is none.
// b is the mix, as Balance fills it in.
func (v *View) Lead(e Element, b *Balance) (input int, ok bool) {
	var most Power
	for i := range v.mix.roster.Inputs {
		if p := b.Share(i); v.Element(i) == e && v.mix.inputActive(i) && p > most {
			input, ok, most = i, true, p
		}
	}
	return input, ok
}
