package rules

import (
	"cmp"
	"slices"
	"time"

	"pawl/rules/desk"
)

// hotMain finds a main that is about to distort for everybody in the room. It is said
// at the first such peak, because the next one may be heard.
type hotMain struct {
	limits HotMainLimits
	beats
	stood standing // the modelled main, a beat at a time, where no peaks are metered
	told  int      // the faders that the desk had told of by then
	over  time.Duration
	begun bool
	said  bool
	last  time.Duration // the last peak, as watched
	now   desk.Balance
}

var hotMainKind = Kind{
	Name:    "hot-main",
	Summary: "the main is running out of headroom",
	Needs:   []desk.Signal{desk.MainPeak},
	Or:      [][]desk.Signal{{desk.MainLevel}},
	Helped:  []desk.Signal{desk.InputLevel, desk.InputFader},
	Says:    []string{"hot-main.peaks", "hot-main.try", "hot-main.try-main", "hot-main.then", "hot-main.peak", "hot-main.level", "hot-main.no-peaks", "hot-main.loud"},
	New:     func(l Limits) Rule { return &hotMain{limits: l.HotMain, over: l.Mix.ShowOver} },
}

// HotMainLimits say when the main is near its end.
type HotMainLimits struct {
	Peak desk.DBFS     `yaml:"peak" doc:"a peak at or above this is said at once; where only a level is metered, one whose peaks are, being 3 dB above it at the least"`
	Ends time.Duration `yaml:"ends" doc:"it is over after this long without" from:"ours"`
}

func defaultHotMainLimits() HotMainLimits { return HotMainLimits{Peak: -1, Ends: 10 * time.Second} }

// Judge implements Rule.
func (r *hotMain) Judge(v *desk.View, claim func(Claim)) {
	if !v.MainPeakMetered() && r.fell(v) {
		r.follow(v)
	}
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

// follow takes a beat of what the faders make of the stage. What was summed before the desk told
// of a fader is of another desk: to learn where one stands is no hand. Nor is it one where the
// model has nothing and the main's meter, ahead of a closed fader, has something.
func (r *hotMain) follow(v *desk.View) {
	if told := fadersTold(v); told != r.told {
		r.told, r.stood = told, standing{}
	}
	level, metered := v.MainLevel(desk.Beat)
	total := v.Moment().Total()
	if metered && (total > desk.Silence || level < idleMain) {
		r.stood.beat(true, total.Power(), 0)
	}
}

// idleMain is what the noise of an open desk lies below.
const idleMain = desk.DBFS(-60)

// fadersTold is how many faders the desk has told of.
func fadersTold(v *desk.View) (n int) {
	for _, bank := range []struct {
		signal desk.Signal
		strips int
	}{{desk.InputFader, v.Inputs()}, {desk.DCAFader, v.DCAs()}, {desk.GroupFader, v.Groups()}, {desk.MainFader, 1}} {
		for i := range bank.strips {
			if _, told := v.Latest(bank.signal, i); told {
				n++
			}
		}
	}
	return n
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
	level, metered := r.level(v)
	return metered && level >= r.limits.Peak-desk.DBFS(crest)
}

// level is the main's as the faders stand: of the mean of its meter what a hand has changed
// within that time counts as though it had been so all along. Who is louder only for a
// syllable is no louder by that. Where a desk tells only where a hand came to rest, the meter
// has shown the way there already, and that is not to count twice.
func (r *hotMain) level(v *desk.View) (desk.DBFS, bool) {
	level, metered := v.MainLevel(r.over)
	if !metered || v.Partly() {
		return level, metered // of whom nothing is told, the model does not know what a hand adds
	}
	v.Balance(&r.now, r.over)
	stood, _ := r.stood.means(r.over)
	if now, was := r.now.Total(), stood.Level(); now > desk.Silence && was > desk.Silence {
		by := now.Above(was)
		if by > 0 {
			by = max(by-max(r.ahead(v, level.Above(was)), 0), 0)
		}
		level += desk.DBFS(by)
	}
	return level, true
}

// ahead is how much more of the main its meter shows of late, which is over the model by so
// much, than five to ten seconds ago: 0 where that is not known.
func (r *hotMain) ahead(v *desk.View, late desk.DB) desk.DB {
	before := func(ten, five desk.DBFS) desk.DBFS { return max(2*ten.Power()-five.Power(), 0).Level() }
	mean := func(d time.Duration) desk.DBFS {
		p, _ := r.stood.means(d)
		return p.Level()
	}
	if r.stood.full < len(r.stood.ours) {
		return 0
	}
	ten, _ := v.MainLevel(desk.LongestBeats)
	five, _ := v.MainLevel(desk.LongestBeats / 2)
	was, model := before(ten, five), before(mean(desk.LongestBeats), mean(desk.LongestBeats/2))
	if was == desk.Silence || model == desk.Silence {
		return 0
	}
	return late - was.Above(model)
}

func (r *hotMain) say(v *desk.View) Said {
	s := Said{Try: Say("hot-main.try-main"), Then: Say("hot-main.then")}
	if v.MainPeakMetered() {
		peak, _ := v.MainPeak(desk.LongestBeats)
		s.Figures = Figures{Level("peak", peak), DB("headroom", max(-desk.DB(peak), 0))}
		s.What = []Phrase{Say("hot-main.peaks", s.Figures...)}
		s.Facts = []Fact{fact(v, Say("hot-main.peak", Level("peak", peak), Level("limit", r.limits.Peak)))}
	} else {
		level, _ := r.level(v)
		s.Figures = Figures{Level("level", level)}
		s.What = []Phrase{Say("hot-main.level", Level("level", level))}
		s.Facts = []Fact{fact(v, Say("hot-main.no-peaks", Time("over", r.over), DB("crest", crest), Level("limit", r.limits.Peak)))}
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
	v.Balance(&r.now, r.over)
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
