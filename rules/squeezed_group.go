package rules

import (
	"time"

	"pawl/rules/desk"
)

// squeezedGroup finds a group whose compressor works so hard, and for so long, that it
// is no longer catching peaks: what is raised into it comes out hardly louder, the
// quiet rises against the loud, and the players lose their accents. Peaks alone do not
// make it speak, because the median of twenty seconds of playing is what is judged.
//
// Below 2:1 more than half of every accent comes through, so nothing is squashed, however far
// down it is. What is left to say there is that a compressor which never lets go, not even as far
// as the way out would have it in a soft verse, is a fader that nobody set; what never happens
// takes a minute to know, and then no more patience.
//
// What a compressor takes by new settings is heard within a passage. That it never lets go by them is
// known only when it has been so for as long again: a hand that has just set it may not be done. Then
// it is said even to whoever was told before how much it takes.
//
// That 1 to 3 dB is plenty on a group is common practice, with no published source, and so
// is that ratios from 2:1 on are a lot there.
type squeezedGroup struct {
	limits SqueezedGroupLimits
	over   time.Duration // levels are mean power over this
	groups []groupSqueeze
	now    desk.Balance
	view   *desk.View // that is judged
}

// groupSqueeze is what the rule keeps of one group.
type groupSqueeze struct {
	played played
	high   lasting
	began  time.Duration // how long it had played when that began
	pushed bool          // and a hand did it
	swells bool          // or the stage
	past   inRange
	curve  desk.Curve    // its settings
	set    time.Duration // how long it had played when they were last changed

	hasty bool         // what was last said was said of settings on trial
	about []desk.Mover // the group
	now   desk.Squeeze
	say   func() Said
}

// SqueezedGroupLimits say how much reduction is worth a word on a group.
type SqueezedGroupLimits struct {
	Whisper desk.DB `yaml:"whisper" doc:"median reduction over 20 s of playing, above which it is a whisper, of a louder stage once it has been for as long again, and a nudge if it hardly ever lets go below it"`
	Nudge   desk.DB `yaml:"nudge" doc:"and a nudge"`
	Eased   desk.DB `yaml:"eased" doc:"median reduction below which it has eased" from:"ours"`
	Target  desk.DB `yaml:"target" doc:"the reduction that the way out aims at; below 2:1 it is worth a word once a minute's median is above whisper and its 10th percentile above this"`
	Grew    desk.DB `yaml:"grew" doc:"said again when it has grown by this" from:"ours"`
	Up      desk.DB `yaml:"up" doc:"a member, or what the members send, is up when it is by this much" from:"ours: about the least raise that is heard in a mix"`
}

func defaultSqueezedGroupLimits() SqueezedGroupLimits {
	return SqueezedGroupLimits{Whisper: 3, Nudge: 6, Eased: 2.5, Target: 2, Grew: 2, Up: 1}
}

// Check finds limits that make no sense.
func (l SqueezedGroupLimits) Check() []desk.WrongLimit {
	return disorders(order{"eased", l.Eased, "whisper", l.Whisper}, order{"target", l.Target, "whisper", l.Whisper},
		order{"whisper", l.Whisper, "nudge", l.Nudge})
}

var squeezedGroupKind = Kind{
	Name:    "squeezed-group",
	Summary: "a group that its compressor holds down for so long that the players lose their accents",
	Needs:   []desk.Signal{desk.GroupReduction},
	Or: [][]desk.Signal{
		{desk.GroupLevelIn, desk.GroupLevel},
		{desk.GroupThreshold, desk.GroupRatio, desk.GroupLevelIn}, {desk.GroupThreshold, desk.GroupRatio, desk.InputLevel},
	},
	Helped: []desk.Signal{desk.InputLevel, desk.GroupThreshold, desk.GroupRatio, desk.GroupKnee},
	Says:   squeezedGroupPhrases,
	In:     []desk.SegmentKind{desk.Music},
	Grew:   func(l Limits) desk.DB { return l.SqueezedGroup.Grew },
	New:    func(l Limits) Rule { return &squeezedGroup{limits: l.SqueezedGroup, over: l.Mix.JudgeOver} },
}

// step is half of what a quantile is known to: at a limit is not above it.
const step = desk.DB(0.05)

// half of the window has passed when its median knows of a change, so that with as
// much patience again it has been so for all of it.
const half = desk.Passage / 2

// Judge implements Rule, with one claim a group.
func (r *squeezedGroup) Judge(v *desk.View, claim func(Claim)) {
	if r.groups == nil {
		r.begin(v.Groups())
	}
	for k := range r.groups {
		r.judge(v, k, claim)
	}
}

// begin makes once what a claim needs, which is made at every beat for as long as a group
// is squeezed.
func (r *squeezedGroup) begin(groups int) {
	r.groups = make([]groupSqueeze, groups)
	for k := range r.groups {
		g := &r.groups[k]
		g.about = []desk.Mover{{Strip: desk.StripGroup, Index: k}}
		g.say = func() Said {
			g.hasty = g.trial()
			return r.cause(r.view, k, g.now).said()
		}
	}
}

func (r *squeezedGroup) judge(v *desk.View, k int, claim func(Claim)) {
	g, s := &r.groups[k], v.Squeeze(k)
	g.past.moved(v)
	if !s.Known {
		return
	}
	was := g.high.on
	if !g.played.pass(v, s.Active) {
		g.high = lasting{}
		return
	}
	taken, over, begin, gentle := s.Median, desk.Passage, half, isGentle(v, k)
	switch {
	case gentle:
		taken, over, begin = min(s.Mid, s.Low+r.limits.Whisper-r.limits.Target), desk.Minute, 0
	case g.set > 0 && g.played.total-g.set < desk.Passage && r.isMuch(s):
		begin = half / 2 // of much there is no doubt, and the hand that set it is still there
	}
	on := g.high.over(g.played.total, taken, r.limits.Whisper+step, r.limits.Eased, begin, half/2)
	if c, known := v.Curve(k); known && c != g.curve {
		g.curve, g.set = c, g.played.total
	}
	if on && !was {
		g.began = g.played.total
	}
	if on && (!was || len(v.Moves) > 0) {
		c := r.cause(v, k, s)
		g.pushed, g.swells = c.byHand(), c.byStage()
	}
	switch {
	case on && g.played.total < over:
	case on && !gentle && !g.pushed && (g.swells || g.played.total-g.began < desk.Passage) && r.weight(v, k, s) == Whisper:
		claim(Claim{Key: k}) // so little is what it is there for where the stage swells, and else is heard where it stays
	case on && g.set > 0 && g.played.total-g.set < r.waits(s):
		claim(Claim{Key: k}) // what it took by other settings tells nothing of these
	case on && v.Moving:
		claim(Claim{Key: k}) // said when the hand has finished, or it would name half a move
	case on:
		r.view, g.now = v, s
		claim(Claim{Key: k, About: g.about, Weight: r.weight(v, k, s), Size: s.Median, More: g.hasty && !gentle && r.never(k, s), Say: g.say})
	case was:
		claim(Claim{Key: k, Eased: true, Say: func() Said { return letsGo(v, k, s) }})
	}
	if s.Active && g.played.total >= half { // a mean of the first notes is none
		g.past.keep(v, g.played.total, s.Median, r.limits.Whisper, r.over)
	}
}

// waits is for how long it must have played by new settings: less where it hardly ever let go, or took
// twice what is worth a word for half of the passage, since half of that was by these.
func (r *squeezedGroup) waits(s desk.Squeeze) time.Duration {
	if r.holds(s) || r.isMuch(s) {
		return half
	}
	return desk.Passage
}

// judgedOver is for how long it has taken what it takes: a passage, or as long as it has played by
// settings that are newer, if it did let go before.
func (r *squeezedGroup) judgedOver(k int, s desk.Squeeze) time.Duration {
	if g := &r.groups[k]; g.set > 0 && !r.holds(s) {
		return min(g.played.total-g.set, desk.Passage)
	}
	return desk.Passage
}

// isMuch reports whether it takes so much in the median that nobody need wait to hear it.
func (r *squeezedGroup) isMuch(s desk.Squeeze) bool { return s.Median > r.limits.Nudge+step }

// holds reports whether it hardly ever let go in the last passage.
func (r *squeezedGroup) holds(s desk.Squeeze) bool { return s.Least > r.limits.Whisper+step }

// trial reports whether a group's settings are too new to tell that its compressor never lets go by them.
func (g *groupSqueeze) trial() bool {
	return g.set > 0 && g.played.total-g.set < 2*desk.Passage
}

// never reports whether a group's compressor is known never to let go.
func (r *squeezedGroup) never(k int, s desk.Squeeze) bool { return r.holds(s) && !r.groups[k].trial() }

// isGentle reports whether a group's compressor is known to let more than half of an accent through.
func isGentle(v *desk.View, k int) bool {
	c, known := v.Curve(k)
	return known && c.Ratio < 2
}

func (r *squeezedGroup) weight(v *desk.View, k int, s desk.Squeeze) Weight {
	if isGentle(v, k) {
		return Whisper
	}
	if r.isMuch(s) || r.never(k, s) {
		return Nudge
	}
	return Whisper
}

// letsGo says that a group is in range again.
func letsGo(v *desk.View, k int, s desk.Squeeze) Said {
	who := v.Who(groupMover(k))
	return Said{
		Figures: Figures{DB("median", s.Median)},
		What:    []Phrase{Say("squeezed-group.eased", DB("median", s.Median)).Naming("who", who)},
	}
}
