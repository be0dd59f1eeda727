package rules

import (
	"time"

	"pawl/rules/desk"
)

// quietMain finds a stage that plays while nothing leaves the desk: the room hears no
// more than the stage itself. An input that was muted or closed by itself was put away
// and does not count; what does is one that is up and comes to nothing further on, at
// a DCA, a group or the main.
type quietMain struct {
	limits QuietMainLimits
	quiet  lasting
	up     []desk.Mover // inputs that are up and sound
}

var quietMainKind = Kind{
	Name:    "quiet-main",
	Summary: "there is signal on the stage and nothing leaves the desk",
	Needs:   []desk.Signal{desk.InputFader, desk.InputLevel, desk.MainLevel},
	Helped:  []desk.Signal{desk.InputMute, desk.DCAFader, desk.DCAMute, desk.GroupFader, desk.GroupMute, desk.MainFader, desk.MainMute},
	Says:    []string{"quiet-main.nothing", "quiet-main.closed", "quiet-main.try", "quiet-main.try-closed", "quiet-main.up", "quiet-main.main"},
	New:     func(l Limits) Rule { return &quietMain{limits: l.QuietMain} },
}

// QuietMainLimits say when nothing leaves the desk.
type QuietMainLimits struct {
	Inputs int           `yaml:"inputs" doc:"at least this many inputs sound and are up" from:"ours"`
	Below  desk.DBFS     `yaml:"below" doc:"the main level below which nothing leaves the desk" from:"ours: the noise of an open desk lies about there"`
	For    time.Duration `yaml:"for" doc:"and for this long" from:"ours: a mute between two songs is shorter than the music after it"`
	Ends   time.Duration `yaml:"ends" doc:"it is over after this long without" from:"ours"`
}

func defaultQuietMainLimits() QuietMainLimits {
	return QuietMainLimits{Inputs: 3, Below: -60, For: 3 * time.Second, Ends: 500 * time.Millisecond}
}

// Judge implements Rule.
func (r *quietMain) Judge(v *desk.View, claim func(Claim)) {
	level, metered := leaving(v)
	if !metered {
		return
	}
	r.find(v)
	was := r.quiet.on
	switch is := r.quiet.holds(v.Watched, level < r.limits.Below && len(r.up) >= r.limits.Inputs && !fading(v), r.limits.For, r.limits.Ends); {
	case is && !was:
		claim(Claim{About: r.closed(v), Weight: Now, Say: func() Said { return r.say(v, level) }})
	case is:
		claim(Claim{})
	}
}

// leaving is what leaves the desk, false if the main is not metered. Some desks meter
// it ahead of its fader.
func leaving(v *desk.View) (desk.DBFS, bool) {
	level, metered := v.MainLevel(syllable)
	if v.Stands(desk.Main) == desk.Off {
		return desk.Silence, metered
	}
	return level, metered
}

// fading reports whether a hand is on its way at the main or at what leads there: who
// fades out under the last chord hears what it does.
func fading(v *desk.View) bool {
	on := v.InMotion(desk.Main)
	for k := range v.DCAs() {
		on = on || v.InMotion(desk.Mover{Strip: desk.StripDCA, Index: k})
	}
	for k := range v.Groups() {
		on = on || v.InMotion(desk.Mover{Strip: desk.StripGroup, Index: k})
	}
	return on
}

// find lists the inputs that sound, are up, and could go to the main.
func (r *quietMain) find(v *desk.View) {
	r.up = r.up[:0]
	for i := range v.Inputs() {
		m := desk.Mover{Strip: desk.StripInput, Index: i}
		// Over a syllable and not three seconds: when a band stops, the main stops at once.
		if v.Metered(i) && !v.Input(i).Cue && v.Fed(i) && !v.Muted(m) && v.Fader(m) > -40 && v.Level(i, syllable) > v.Gate(i) {
			r.up = append(r.up, m)
		}
	}
}

// closed is what keeps all of it from leaving: the main itself, or DCAs and groups that
// are muted or closed. It may be none that the desk tells of.
func (r *quietMain) closed(v *desk.View) []desk.Mover {
	if v.Stands(desk.Main) == desk.Off {
		return []desk.Mover{desk.Main}
	}
	var all []desk.Mover
	consider := func(m desk.Mover) {
		if v.Stands(m) != desk.Off {
			return
		}
		for _, in := range r.up {
			if v.Drives(m, in.Index) {
				all = append(all, m)
				return
			}
		}
	}
	for k := range v.DCAs() {
		consider(desk.Mover{Strip: desk.StripDCA, Index: k})
	}
	for k := range v.Groups() {
		consider(desk.Mover{Strip: desk.StripGroup, Index: k})
	}
	return all
}

func (r *quietMain) say(v *desk.View, level desk.DBFS) Said {
	s := Said{
		Figures: Figures{Number("inputs", len(r.up))},
		What:    []Phrase{Say("quiet-main.nothing", Number("inputs", len(r.up)))},
		Try:     Say("quiet-main.try"),
	}
	if closed := cast(v, r.closed(v)); len(closed) > 0 {
		s.What = append(s.What, Say("quiet-main.closed").Naming("who", closed...))
		s.Try = Say("quiet-main.try-closed").Naming("who", closed...)
	}
	for _, m := range r.up {
		s.Facts = append(s.Facts, factOf(v, m, Say("quiet-main.up", DB("fader", v.Fader(m)))))
	}
	s.Facts = append(s.Facts, fact(v, Say("quiet-main.main", Level("level", level), Level("limit", r.limits.Below), Time("for", r.limits.For))))
	return s
}
