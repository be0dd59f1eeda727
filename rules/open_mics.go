package rules

import (
	"slices"
	"time"

	"pawl/rules/desk"
)

// openMics finds microphones that stand open and that nobody uses. Each open one hears
// the loudspeakers too, so the whole system is nearer to feedback by as much as their
// gains add up to: twice as many equal ones are 3 dB (10·lg of their number). Those in use
// are open for a reason, and no advice would help; the idle ones can be closed.
type openMics struct {
	limits OpenMicsLimits
	level  time.Duration // levels are mean power over this
	inputs []openMic
	clock  time.Duration // how long anybody played: in silence nobody uses anything
	seen   time.Duration // as watched, when that was last counted
	idle   []desk.Mover  // those that are

	openings int           // by how many movements of the hands microphones were opened
	opened   time.Duration // as watched, when the last of them was

	mark    time.Duration // when that was set which is measured from
	changed time.Duration // as watched, when the desk changed to another scene or routing

	over    lasting
	claimed bool
	told    int // the segment in which it was last said
}

var openMicsKind = Kind{
	Name:    "open-mics",
	Summary: "more microphones are open than at the mark, and some of them are not used",
	Needs:   []desk.Signal{desk.InputFader, desk.InputLevel},
	Helped:  []desk.Signal{desk.InputMute, desk.DCAFader, desk.DCAMute},
	Says: []string{"open-mics.more", "open-mics.idle", "open-mics.try", "open-mics.then", "open-mics.sum", "open-mics.care", "open-mics.unused",
		"open-mics.besides", "open-mics.then-clear"},
	New: func(l Limits) Rule { return &openMics{limits: l.OpenMics, level: l.Mix.ShowOver} },
}

// OpenMicsLimits say when too many microphones are open.
type OpenMicsLimits struct {
	Above desk.DB       `yaml:"above" doc:"sum of the open microphones' gains, above what it was at the mark" from:"as much as twice the number of open microphones: the gain before feedback falls by 10·lg of it"`
	Back  desk.DB       `yaml:"back" doc:"closing those that nobody uses must bring back this much, and they be half of what is more" from:"ours: less is not worth a word"`
	Bleed desk.DB       `yaml:"bleed" doc:"one is used while it hears more than each other input would bring there, so far below its own level, all together" from:"ours: what a microphone hears of its neighbours"`
	Many  int           `yaml:"many" doc:"or this many that were opened and nobody uses, whatever they add: what each hears of the room blurs who speaks" from:"ours"`
	Idle  time.Duration `yaml:"idle" doc:"nobody has used one that was opened for this long, while somebody plays" from:"ours"`
	Rest  time.Duration `yaml:"rest" doc:"or for this long, if it was used since it was opened, or another that was opened with it, or nobody speaks beside it" from:"ours: longer than a singer's rest for a verse, and than what plays before one comes in"`
	For   time.Duration `yaml:"for" doc:"all that for this long; and one is used that has had a sound of its own for as long" from:"ours"`
	Ends  time.Duration `yaml:"ends" doc:"it is over after this long without" from:"ours"`
}

func defaultOpenMicsLimits() OpenMicsLimits {
	return OpenMicsLimits{Above: 3, Back: 1, Bleed: 12, Many: 3, Idle: 15 * time.Second, Rest: time.Minute, For: 2 * time.Second, Ends: 2 * time.Second}
}

// Judge implements Rule: at most one claim a segment.
func (r *openMics) Judge(v *desk.View, claim func(Claim)) {
	if v.KnownPlaying() > 0 {
		r.clock += v.Watched - r.seen
	}
	r.seen = v.Watched
	sums, ok := r.sum(v)
	was := r.over.on
	over := ok && (r.nearer(sums) || len(r.idle) >= r.limits.Many)
	if !r.over.holds(v.Watched, over, r.limits.For, r.limits.Ends) {
		return
	}
	if !was {
		r.claimed = v.Segment.Number != r.told
		r.told = v.Segment.Number
	}
	switch {
	case r.claimed && !was:
		claim(Claim{Key: r.told, About: slices.Clone(r.idle), Weight: Whisper, Size: sums.now.Above(sums.mark), Say: func() Said { return r.say(v, sums) }})
	case r.claimed:
		claim(Claim{Key: r.told})
	}
}

// nearer reports whether feedback is nearer by so much, and would be less so without the idle ones, of which
// half of it comes at least: else it is the others that bring it, and they are needed.
func (r *openMics) nearer(s openSums) bool {
	idle, more := s.now.Ratio()-s.used.Ratio(), s.now.Ratio()-s.mark.Ratio()
	return s.now.Above(s.mark).Reaches(r.limits.Above) && s.now.Above(s.used).Reaches(r.limits.Back) && idle >= more/2
}

// openMic is whether one microphone that was opened since the mark is used; the zero value is one that was not opened.
type openMic struct {
	opening int           // by which movement of the hands, counted from 1
	since   time.Duration // as watched, when
	closed  bool          // it counts as closed at the mark
	turns   bool          // another that was opened by it came to be used
	used    bool          // since it was opened
	sure    time.Duration // when what was heard of it was last its own for certain, as own counts
	own     run           // of sound that is its own
	loudest desk.DBFS     // of that; it means something once it was used
	idle    lasting
	wait    time.Duration // how long it must be silent for that
}

// opens takes that a microphone stands opened. Those that hands open in one movement, each no later after
// another than they take to get there, are for one occasion.
func (r *openMics) opens(m *openMic, at time.Duration) {
	if m.opening > 0 {
		return
	}
	if r.openings == 0 || at-r.opened > oneLift {
		r.openings++
	}
	m.opening, m.since, r.opened = r.openings, at, at
}

// turn takes that somebody began to use a microphone. The others of its opening are for the same occasion: they
// wait for their turn as long as a singer rests. Whoever begins when no other is heard shows that they
// go by turns indeed, and those that still wait do so anew; a choir that comes in shows nothing of the kind.
func (r *openMics) turn(by *openMic) {
	together := r.together(by)
	for i := range r.inputs {
		if m := &r.inputs[i]; m.opening == by.opening {
			if !together && (m.turns || m.idle.on) {
				m.idle = lasting{}
			}
			m.turns = true
		}
	}
}

// together reports whether another of the same opening is used at this moment.
func (r *openMics) together(by *openMic) bool {
	for i := range r.inputs {
		if m := &r.inputs[i]; m != by && m.opening == by.opening && m.used && r.clock-m.own.last <= desk.Syllable {
			return true
		}
	}
	return false
}

// idles reports whether an input stands open for nothing. Of one that was not opened it does not matter whether
// it is silent, nor what was heard of it before.
func (r *openMics) idles(v *desk.View, i int) bool {
	m := &r.inputs[i]
	if !wasOpened(v.Gain(i), r.was(v, i)) {
		*m = openMic{}
		return false
	}
	r.opens(m, v.Watched)
	level := v.Level(i, r.level)
	if m.uses(r.clock, r.sounds(v, i, level), level, r.limits.For) {
		r.turn(m)
	}
	return m.idles(r.clock, v.Segment.Kind != desk.Speech || maySound(v, aPlayer), r.limits)
}

// uses takes whether it has a sound of its own, and reports whether that is the first since it was opened.
// A word in passing is no use, nor is the first moment of what turns out to be wash.
func (m *openMic) uses(at time.Duration, sounds bool, level desk.DBFS, enough time.Duration) (first bool) {
	m.own.take(at, sounds, desk.Syllable)
	if m.own.lasted(at) < enough {
		return false
	}
	if first = !m.used; first {
		m.loudest = level
	}
	m.used, m.loudest = true, max(m.loudest, level)
	return first
}

// softer is how much a microphone's level falls at least when who used it stops: by half.
const softer = desk.DB(3)

// goesOn reports whether it is as loud as while somebody used it. Whoever stops leaves what the microphone hears
// of the others, and that is softer. While it is not, nobody has stopped, though all that a choir and its
// pianos might bring there would come to the same.
func (m *openMic) goesOn(level desk.DBFS) bool {
	return m.used && desk.DB(m.loudest-level) < softer
}

// idles reports whether it stands open for nothing. One that was used may be resting for a
// verse, and while nobody speaks one may be awaited that will be sung into.
func (m *openMic) idles(at time.Duration, awaited bool, l OpenMicsLimits) bool {
	m.wait = l.Idle
	if m.used || m.turns || awaited {
		m.wait = l.Rest
	}
	return m.idle.holds(at, m.own.lasted(at) < l.For, m.wait, 0)
}

// openSums is the sum of the open microphones' gains: now, at the mark, and without
// those that nobody uses.
type openSums struct{ now, mark, used desk.DB }

// sum adds up the microphones, false before there is a mark: a line from a keyboard hears no
// loudspeaker.
func (r *openMics) sum(v *desk.View) (s openSums, ok bool) {
	if !v.Mark.Set {
		return s, false
	}
	if r.inputs == nil {
		r.inputs = make([]openMic, v.Inputs())
	}
	r.follow(v)
	var now, mark, used desk.Ratio
	most := desk.Off
	r.idle = r.idle[:0]
	for i := range v.Inputs() {
		if in := v.Input(i); !in.HasMic() || in.Cue || !v.Fed(i) {
			continue
		}
		is, was := v.Gain(i), r.was(v, i)
		g, then := is.Ratio(), was.Ratio()
		now, mark, most = now+g, mark+then, max(most, is)
		if r.idles(v, i) {
			r.idle = append(r.idle, inputMover(i))
			g = then
		}
		used += g
	}
	if mark == 0 {
		mark = most.Ratio() // none was open then: what is compared with is one
	}
	return openSums{now.DB(), mark.DB(), used.DB()}, now > 0
}

// follow takes what is measured from. A mark that a change of scene asked for is set once its music has stood for a while:
// a microphone that hands opened in between and that nobody came to use is no part of the mix that is
// meant, and counts as closed then.
func (r *openMics) follow(v *desk.View) {
	for i := range v.Moves {
		if m := &v.Moves[i]; m.Kind == desk.Scene || m.Kind == desk.Reroute {
			r.changed = v.WatchedAt(m.End)
		}
	}
	if r.mark == v.Mark.At {
		return
	}
	r.mark = v.Mark.At
	asked := v.Mark.How == desk.SceneChanged || v.Mark.How == desk.Rerouted
	for i := range r.inputs {
		m := &r.inputs[i]
		m.closed = asked && m.opening > 0 && !m.used && m.since-r.changed > oneLift
	}
}

// was is an input's gain at the mark.
func (r *openMics) was(v *desk.View, i int) desk.DB {
	if r.inputs[i].closed {
		return desk.Off
	}
	return v.Mark.Base.Gain(i)
}

// wasOpened reports whether an input was closed at the mark and is open now, by its gains. One
// that stood open all along and is only louder, as by its DCA, was not opened.
func wasOpened(is, was desk.DB) bool { return is.Above(was) > begins }

// sounds reports whether somebody is at an open microphone: what it hears is more than the
// wash of the stage, or as much as a choir's. Of one without a meter nobody knows.
func (r *openMics) sounds(v *desk.View, i int, level desk.DBFS) bool {
	m := &r.inputs[i]
	switch {
	case v.Unmetered(i):
		return true
	case !v.Playing(i):
		return false
	case m.goesOn(level) || !v.Bleeds(i, r.limits.Bleed, v.Gate(i), r.level):
		m.sure = r.clock
		return true
	}
	return r.inChoir(v, m, level)
}

// asLoud is how far apart singers of one choir are at their microphones at most: what one of these hears of the
// next one's singer lies further below.
const asLoud = desk.DB(6)

// inChoir reports whether a microphone is as loud as another of its opening into which somebody surely sings.
// All that forty who play might bring there comes to as much as one of a choir sings. Whoever is heard for certain at
// the next one tells them apart: in front of nobody a microphone is far softer than that one.
func (r *openMics) inChoir(v *desk.View, m *openMic, level desk.DBFS) bool {
	for i := range r.inputs {
		o := &r.inputs[i]
		if o != m && o.opening == m.opening && o.used && r.clock-o.sure <= desk.Syllable && desk.DB(v.Level(i, r.level)-level) < asLoud {
			return true
		}
	}
	return false
}

func (r *openMics) say(v *desk.View, sums openSums) Said {
	above, idle := sums.now.Above(sums.mark), cast(v, r.idle)
	s := Said{
		Figures: Figures{DB("above", above), Number("idle", len(idle))},
		What: []Phrase{
			Say("open-mics.more", DB("above", above)),
			Say("open-mics.idle", Number("idle", len(idle))).Naming("who", idle...),
		},
		Try:  Say("open-mics.try").Naming("who", idle...),
		Then: Say("open-mics.then", DB("back", sums.now.Above(max(sums.used, sums.mark)))),
	}
	if !r.nearer(sums) {
		s.What[0], s.Then = Say("open-mics.besides", Number("idle", len(idle))), Say("open-mics.then-clear")
	}
	for _, m := range r.idle {
		s.Facts = append(s.Facts, factOf(v, m, Say("open-mics.unused", DB("gain", v.Gain(m.Index)), Time("for", r.inputs[m.Index].wait))))
	}
	s.Facts = append(s.Facts, fact(v, Say("open-mics.sum", DB("now", sums.now), DB("mark", sums.mark), DB("limit", r.limits.Above))),
		fact(v, Say("open-mics.care")))
	return s
}
