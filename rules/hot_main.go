package rules

import (
	"cmp"
	"slices"
	"time"

	"pawl/rules/desk"
)

// hotMain finds a main that is about to distort for everybody in the room. It is said
// at the first such peak, because the next one may be heard. Where only a level is
// metered, it is that which left the desk for a breath: a stroke or a syllable is no
// level, and where a hand on its way will lead is not heard yet.
type hotMain struct {
	limits HotMainLimits
	begun  bool
	said   bool
	last   time.Duration // the last peak, as watched
	now    desk.Balance
}

var hotMainKind = Kind{
	Name:    "hot-main",
	Summary: "the main is running out of headroom",
	Needs:   []desk.Signal{desk.MainPeak},
	Or:      [][]desk.Signal{{desk.MainLevel}},
	Helped:  []desk.Signal{desk.InputLevel, desk.InputFader},
	Says:    []string{"hot-main.peaks", "hot-main.try", "hot-main.try-main", "hot-main.then", "hot-main.peak", "hot-main.level", "hot-main.no-peaks", "hot-main.loud"},
	New:     func(l Limits) Rule { return &hotMain{limits: l.HotMain} },
}

// HotMainLimits say when the main is near its end.
type HotMainLimits struct {
	Peak desk.DBFS     `yaml:"peak" doc:"a peak at or above this is said at once; where only a level is metered, one whose peaks are, being 3 dB above it at the least"`
	Ends time.Duration `yaml:"ends" doc:"it is over after this long without" from:"ours"`
}

func defaultHotMainLimits() HotMainLimits { return HotMainLimits{Peak: -1, Ends: 10 * time.Second} }

// Judge implements Rule.
func (r *hotMain) Judge(v *desk.View, claim func(Claim)) {
	if r.hot(v) {
		r.begun, r.last = true, v.Watched
	}
	switch {
	case !r.begun || v.Watched-r.last >= r.limits.Ends:
		r.begun, r.said = false, false
	case !r.said:
		r.said = true
		claim(Claim{About: []desk.Mover{desk.Main}, Weight: Now, Say: func() Said { return r.say(v) }})
	default:
		claim(Claim{})
	}
}

// crest is how far the peaks of any sound but a square wave lie above its level at the
// least: a sine's, 20·lg √2. Those of music lie further.
const crest = desk.DB(3)

// hot reports whether the main is at its end now: by its peaks, or where the desk tells
// none, by a level of which the peaks are.
func (r *hotMain) hot(v *desk.View) bool {
	if v.MainPeakMetered() {
		return v.MainPeaksOver(r.limits.Peak, desk.Beat) > 0
	}
	level, metered := v.MainLevel(breath)
	return metered && level >= r.limits.Peak-desk.DBFS(crest)
}

func (r *hotMain) say(v *desk.View) Said {
	s := Said{Try: Say("hot-main.try-main"), Then: Say("hot-main.then")}
	if v.MainPeakMetered() {
		peak, _ := v.MainPeak(desk.LongestBeats)
		s.Figures = Figures{Level("peak", peak), DB("headroom", max(-desk.DB(peak), 0))}
		s.What = []Phrase{Say("hot-main.peaks", s.Figures...)}
		s.Facts = []Fact{fact(v, Say("hot-main.peak", Level("peak", peak), Level("limit", r.limits.Peak)))}
	} else {
		level, _ := v.MainLevel(breath)
		s.Figures = Figures{Level("level", level)}
		s.What = []Phrase{Say("hot-main.level", Level("level", level))}
		s.Facts = []Fact{fact(v, Say("hot-main.no-peaks", Time("over", breath), DB("crest", crest), Level("limit", r.limits.Peak)))}
	}
	loud := r.loudest(v)
	if len(loud) > 0 {
		s.Try = Say("hot-main.try").Naming("who", cast(v, loud)...)
	}
	for _, m := range loud {
		s.Facts = append(s.Facts, factOf(v, m, Say("hot-main.loud", Level("level", r.now.Share(m.Index).Level()))))
	}
	return s
}

// loudest is the inputs that make half of the main's power, at most three.
func (r *hotMain) loudest(v *desk.View) []desk.Mover {
	v.Balance(&r.now, breath)
	var all []desk.Mover
	var sum desk.Power
	for i := range v.Inputs() {
		if v.Metered(i) && v.Playing(i) {
			all = append(all, inputMover(i))
			sum += r.now.Share(i)
		}
	}
	slices.SortStableFunc(all, func(a, b desk.Mover) int { return cmp.Compare(r.now.Share(b.Index), r.now.Share(a.Index)) })
	var part desk.Power
	for n, m := range all {
		if part += r.now.Share(m.Index); part >= sum/2 || n == 2 {
			return all[:n+1]
		}
	}
	return all
}
