package rules

import (
	"time"

	"pawl/rules/desk"
)

// quietMain finds a stage that plays while nothing leaves the desk: the room hears no
// more than the stage itself. An input that was muted or closed by itself was put away
// and does not count; what does is one that is up and comes to nothing further on, at
// a DCA, a group or the main.
//
// Where the desk does not meter its main, the faders tell what can leave it: not whether a
// cable does, but whether something is closed.
type quietMain struct {
	limits QuietMainLimits
	quiet  lasting
	up     []desk.Mover // inputs that are up and sound
	voice  desk.Mover   // the one that speaks and goes nowhere
	sounds lasting      // somebody sounds, breaths bridged
	piece  played       // what sounds since the main was closed
	faded  bool         // a slow hand closed the main in this piece, and meant it
}

var quietMainKind = Kind{
	Name:    "quiet-main",
	Summary: "there is signal on the stage and nothing leaves the desk",
	Needs:   []desk.Signal{desk.InputFader, desk.InputLevel, desk.MainLevel},
	Or:      [][]desk.Signal{{desk.InputFader, desk.InputLevel, desk.MainFader}},
	Helped:  []desk.Signal{desk.InputMute, desk.DCAFader, desk.DCAMute, desk.GroupFader, desk.GroupMute, desk.MainFader, desk.MainMute},
	Says: []string{"quiet-main.nothing", "quiet-main.closed", "quiet-main.try", "quiet-main.try-closed", "quiet-main.up", "quiet-main.main",
		"quiet-main.on-faders", "quiet-main.voice", "quiet-main.try-voice", "quiet-main.speaks"},
	New: func(l Limits) Rule { return &quietMain{limits: l.QuietMain} },
}

// QuietMainLimits say when nothing leaves the desk.
type QuietMainLimits struct {
	Inputs int           `yaml:"inputs" doc:"at least this many inputs sound and are up" from:"ours"`
	Voice  desk.DB       `yaml:"voice" doc:"or one voice that is up speaks, this far above its gate, with the main open" from:"ours: a voice near its microphone lies far above the room"`
	Below  desk.DBFS     `yaml:"below" doc:"the main level below which nothing leaves the desk" from:"ours: the noise of an open desk lies about there"`
	For    time.Duration `yaml:"for" doc:"and for this long" from:"ours: a mute between two songs is shorter than the music after it"`
	Ends   time.Duration `yaml:"ends" doc:"it is over after this long without" from:"ours"`
}

func defaultQuietMainLimits() QuietMainLimits {
	return QuietMainLimits{Inputs: 3, Voice: 10, Below: -60, For: 3 * time.Second, Ends: 500 * time.Millisecond}
}

// Judge implements Rule.
func (r *quietMain) Judge(v *desk.View, claim func(Claim)) {
	level, metered := leaving(v)
	r.find(v)
	r.heed(v)
	many := level < r.limits.Below && len(r.up) >= r.limits.Inputs
	nothing := (many || r.speaks(v, level, metered)) && !fading(v) && !r.faded
	was := r.quiet.on
	switch is := r.quiet.holds(v.Watched, nothing, r.limits.For, r.limits.Ends); {
	case is && !was && !many:
		claim(Claim{About: []desk.Mover{r.voice}, Weight: Now, Say: func() Said { return r.sayVoice(v, r.voice, level) }})
	case is && !was:
		claim(Claim{About: r.closed(v), Weight: Now, Say: func() Said { return r.say(v, level) }})
	case is:
		claim(Claim{})
	}
}

// shut is a fader that lets nothing through to speak of.
const shut = desk.DB(-40)

// slowHand is one that knows what it does: nobody closes the main by mistake in so long.
const slowHand = 2 * time.Second

// heed follows the main's fader. Who closes it while somebody sounds means the piece, which may play
// on to its end; who closes it in a pause, however loud the hall talks, means the pause and not
// the song that begins after it.
func (r *quietMain) heed(v *desk.View) {
	for _, m := range v.Moves {
		if m.Mover == desk.Main && m.To < m.From && m.End-m.Start >= slowHand {
			r.faded = true
		}
	}
	sounds := r.sounds.holds(v.Watched, len(r.up) > 0, 0, breath)
	switch {
	case v.Stands(desk.Main) > shut:
		r.piece, r.faded = played{}, false
	case !r.piece.pass(v, sounds):
		r.faded = false
	}
}

// unheard is how far below what somebody would bring to the main it must lie: more than
// any group's compressor takes.
const unheard = desk.DB(20)

// least is what leaves the desk at the least if a voice does.
func least(v *desk.View, input int) desk.DBFS {
	return v.Level(input, sentence) + desk.DBFS(v.Gain(input)+v.Fader(desk.Main)-unheard)
}

// speaks reports whether somebody speaks into a microphone that is up and goes nowhere: a
// band that nobody hears is many inputs, and a reader one. The noise of open microphones
// may leave meanwhile. With the main closed nobody is meant to be heard.
func (r *quietMain) speaks(v *desk.View, leaves desk.DBFS, metered bool) bool {
	if v.Stands(desk.Main) <= shut {
		return false
	}
	for i := range v.Inputs() {
		m := inputMover(i)
		_, muted := v.MutedBy(i)
		in := v.Input(i)
		if !in.Voice || in.Cue || muted || !v.Metered(i) || v.Fader(m) <= shut {
			continue
		}
		if !metered && !v.Fed(i) && !sentByDesk(v, i) {
			continue // the roster may not know what a meter of the main would have shown
		}
		if v.Level(i, sentence) > v.Gate(i)+desk.DBFS(r.limits.Voice) && leaves < least(v, i) {
			r.voice = m
			return true
		}
	}
	return false
}

// sentByDesk reports whether the desk itself said where an input goes.
func sentByDesk(v *desk.View, input int) bool {
	_, main := v.Latest(desk.InputMain, input)
	return main
}

// sentence is what a voice is taken over where a pause between two words is none.
const sentence = 2 * time.Second

// leaving is what leaves the desk, by the faders and false if the main is not metered.
// Some desks meter it ahead of its fader.
func leaving(v *desk.View) (level desk.DBFS, metered bool) {
	level, metered = v.MainLevel(desk.Syllable)
	switch {
	case v.Stands(desk.Main) == desk.Off:
		level = desk.Silence
	case !metered:
		level = v.Moment().Total()
	}
	return level, metered
}

// leaves is the fact of what leaves the desk.
func (r *quietMain) leaves(v *desk.View, level, limit desk.DBFS) Fact {
	say := "quiet-main.main"
	if _, metered := leaving(v); !metered {
		say = "quiet-main.on-faders"
	}
	return fact(v, Say(say, Level("level", level), Level("limit", limit), Time("for", r.limits.For)))
}

// fading reports whether a hand is on its way at the main or at what leads there: who
// fades out under the last chord hears what it does.
func fading(v *desk.View) bool {
	on := v.InMotion(desk.Main)
	for k := range v.DCAs() {
		on = on || v.InMotion(dcaMover(k))
	}
	for k := range v.Groups() {
		on = on || v.InMotion(groupMover(k))
	}
	return on
}

// find lists the inputs that sound, with more than the hall, are up, and could go to the main.
func (r *quietMain) find(v *desk.View) {
	r.up = r.up[:0]
	hall := r.hall(v)
	for i := range v.Inputs() {
		m := inputMover(i)
		if !v.Metered(i) || v.Input(i).Cue || !v.Fed(i) || v.Muted(m) || v.Fader(m) <= shut {
			continue
		}
		// Over a syllable and not three seconds: when a band stops, the main stops at once.
		if level := v.Level(i, desk.Syllable); level > v.Gate(i) && level.Above(hall) >= heardAlike {
			r.up = append(r.up, m)
		}
	}
}

// hall is how loud everybody is heard where nobody stands, Silence if that is not known: a hall that
// fills is heard alike by every microphone there is, open or muted, and by none as loud as who
// stands before one. A hall that claps, or talks in a pause, is as loud as that, but it is heard as
// loud by those that were put away, before which nobody stands, and so it is known while somebody plays.
func (r *quietMain) hall(v *desk.View) desk.DBFS {
	h := hearersOf(v)
	alike := (h.n > fewest || h.n > 0 && !h.all) && h.alike() // a few may be a hall, where the others are not metered
	switch {
	case alike && (h.nAway >= 2 || h.near <= r.limits.Voice):
		return h.high
	case h.nAway >= 2:
		return h.away
	}
	return desk.Silence
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
		consider(dcaMover(k))
	}
	for k := range v.Groups() {
		consider(groupMover(k))
	}
	return all
}

// sayVoice is about one who speaks and is not heard.
func (r *quietMain) sayVoice(v *desk.View, m desk.Mover, level desk.DBFS) Said {
	who := v.Who(m)
	return Said{
		Figures: Figures{Number("inputs", 1)},
		What:    []Phrase{Say("quiet-main.voice").Naming("who", who)},
		Try:     Say("quiet-main.try-voice").Naming("who", who),
		Facts: []Fact{
			factOf(v, m, Say("quiet-main.speaks", Level("level", v.Level(m.Index, sentence)), DB("fader", v.Fader(m))).Naming("who", who)),
			r.leaves(v, level, least(v, m.Index)),
		},
	}
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
	s.Facts = append(s.Facts, r.leaves(v, level, r.limits.Below))
	return s
}
