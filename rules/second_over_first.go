package rules

import (
	"time"

	"pawl/rules/desk"
)

// secondOverFirst hears a second rhythm instrument cover the one that carries the song:
// two strum the same beats, and the one that the others play by is lost. Which is first
// the segment says, or else who has carried it for a verse, or the roster's first of that element. While it
// pauses nobody covers it; and what its microphone hears of a full house, before the first bar, is
// no playing. That one of them leads is common practice; the figures are ours.
type secondOverFirst struct {
	limits SecondOverFirstLimits
	beats
	first   int
	segment int
	sounds  bool          // the first does, with more than what its microphone hears of the hall
	led     time.Duration // how long the first has sounded with no other over it, up to limits.For
	seconds []standing    // each against the first, by input
	rests   []rest        // of their faders, by input
	claims  []standingClaim
	low     pushedOver
	view    *desk.View // that is judged
}

// rest is where a fader stands, as it moves an input's level, and since when.
type rest struct {
	gain  desk.DB
	since time.Duration // as watched
}

// leastMove is what moves a fader, as it does for a move.
const leastMove = desk.DB(0.5)

// take looks at it, and gives for how long it has stood there.
func (r *rest) take(at time.Duration, gain desk.DB) time.Duration {
	if gain.Above(r.gain).Abs().Reaches(leastMove) || r.gain == desk.Off {
		*r = rest{gain, at}
	}
	return at - r.since
}

// SecondOverFirstLimits say when a second rhythm instrument is worth a word.
type SecondOverFirstLimits struct {
	Over  desk.DB       `yaml:"over" doc:"the second at or over the first by this" from:"ours"`
	Means time.Duration `yaml:"means" doc:"by mean power over this, at most 10s" from:"ours"`
	For   time.Duration `yaml:"for" doc:"for this long, while both play" from:"ours"`
}

func defaultSecondOverFirstLimits() SecondOverFirstLimits {
	return SecondOverFirstLimits{Over: 3, Means: 3 * time.Second, For: 10 * time.Second}
}

var secondOverFirstKind = Kind{
	Name:    "second-over-first",
	Summary: "a second rhythm instrument that covers the first",
	Needs:   []desk.Signal{desk.InputFader, desk.InputLevel},
	Helped:  []desk.Signal{desk.InputMute, desk.DCAFader, desk.GroupReduction},
	Says:    []string{"second-over-first.over", "second-over-first.try", "second-over-first.then", "second-over-first.shares", "second-over-first.eased"},
	In:      []desk.SegmentKind{desk.Music},
	New: func(l Limits) Rule {
		return &secondOverFirst{limits: l.SecondOverFirst, low: pushedOver{limits: l.SecondOverFirst}}
	},
}

// Judge implements Rule. It holds at most one claim for each second, whether it is over the first or was
// pushed over the foundation.
func (r *secondOverFirst) Judge(v *desk.View, claim func(Claim)) {
	r.view = v
	fell := r.fell(v)
	r.judge(v, fell, claim)
	if fell && r.low.count(v) {
		r.beginLow()
	}
	for i := range r.low.inputs {
		p := &r.low.inputs[i]
		switch {
		case i < len(r.seconds) && r.seconds[i].on:
		case p.on:
			claim(Claim{Key: i, About: p.claim.about, Weight: Whisper, Size: r.low.over(i), Say: p.claim.say})
		case p.was && p.idle == 0:
			claim(Claim{Key: i, Eased: true, Say: func() Said { return r.eased(v, i, r.low.first, r.low.over(i)) }})
		}
	}
}

func (r *secondOverFirst) judge(v *desk.View, fell bool, claim func(Claim)) {
	first, ok := r.carries(v)
	if !ok {
		r.seconds = nil
		return
	}
	if r.seconds == nil || first != r.first {
		r.begin(first, v.Inputs())
	}
	if fell {
		in := v.Input(first)
		r.sounds = v.Sounds(first) && !(in.HasMic() && hallIn(v, first))
	}
	for i := range r.seconds {
		s := &r.seconds[i]
		was := s.on
		if fell {
			r.count(v, i)
		}
		switch {
		case s.on:
			claim(Claim{Key: i, About: r.claims[i].about, Weight: Whisper, Size: r.over(i), Say: r.claims[i].say})
		case was && s.idle == 0 && !r.low.covers(i):
			claim(Claim{Key: i, Eased: true, Say: func() Said { return r.eased(v, i, first, r.over(i)) }})
		}
	}
	if fell && r.led < r.limits.For && r.leads(v) {
		r.led += desk.Beat
	}
}

// begin measures from here on against this one.
func (r *secondOverFirst) begin(first, inputs int) {
	r.first, r.led = first, 0
	r.seconds, r.rests, r.claims = make([]standing, inputs), make([]rest, inputs), make([]standingClaim, inputs)
	for i := range r.claims {
		r.claims[i] = standingClaim{moversOf([]int{i, first}), func() Said { return r.said(r.view, i, first, r.over(i)) }}
	}
}

// beginLow makes the claims about who is pushed over this one of the foundation.
func (r *secondOverFirst) beginLow() {
	for i := range r.low.inputs {
		r.low.inputs[i].claim = standingClaim{moversOf([]int{i, r.low.first}), func() Said { return r.said(r.view, i, r.low.first, r.low.over(i)) }}
	}
}

// verse is how long somebody has carried the rhythm who is then the first, whatever the
// roster's order is: longer than anybody plays before the song proper.
const verse = time.Minute

// carries is who carries the rhythm: whom the running order names; or who has for a verse
// in which the one before rested; or the roster's first.
func (r *secondOverFirst) carries(v *desk.View) (first int, ok bool) {
	first, ok = v.Primary(desk.Rhythm)
	if !ok || v.Segment.Primary != nil {
		return first, ok
	}
	if v.Segment.Number == r.segment && r.seconds != nil && v.Element(r.first) == desk.Rhythm {
		first = r.first
	}
	r.segment = v.Segment.Number
	if v.PausedFor(first) < verse {
		return first, true
	}
	for i := range v.Inputs() {
		if v.Element(i) == desk.Rhythm && v.PlayingFor(i) >= verse && v.Sounds(i) {
			return i, true
		}
	}
	return first, true
}

// leads reports whether no other of its element is over the first at this moment. Whom
// others were over from the first bar on, as a drum under a piano, is not who the song is played
// by, whatever stands first in the roster: nobody covers it.
func (r *secondOverFirst) leads(v *desk.View) bool {
	if !r.sounds {
		return false
	}
	for i := range r.seconds {
		if s := &r.seconds[i]; s.full > 0 && s.idle == 0 && r.over(i).Reaches(r.limits.Over) {
			return false
		}
	}
	return true
}

// over is how far a second stands over the first.
func (r *secondOverFirst) over(i int) desk.DB { return r.seconds[i].above(r.limits.Means) }

func (r *secondOverFirst) count(v *desk.View, i int) {
	s := &r.seconds[i]
	both := i != r.first && v.Element(i) == desk.Rhythm && plays(v, i) && r.sounds
	if !both {
		s.beat(false, 0, 0)
		return
	}
	s.beat(true, v.Moment().Share(i), v.Moment().Share(r.first))
	if still := min(r.rests[i].take(v.Watched, v.Gain(i)), r.rests[r.first].take(v.Watched, v.Gain(r.first))); still < r.limits.Means && !s.on {
		s.begun = false // a mean over a hand that moves is of no mix
		return
	}
	if led := v.Segment.Primary != nil || r.led >= r.limits.For; !led {
		return
	}
	s.keeps(r.over(i), r.limits.Over, r.limits.Over-1, r.limits.For, 3*time.Second)
}

func (r *secondOverFirst) said(v *desk.View, i, under int, over desk.DB) Said {
	second, first := v.Who(inputMover(i)), v.Who(inputMover(under))
	by := downBy(over)
	var b desk.Balance
	v.Balance(&b, r.limits.Means)
	return Said{
		Figures: Figures{DB("over", over)},
		What:    []Phrase{Say("second-over-first.over", DB("over", over), Time("for", r.limits.For)).Naming("who", second).Naming("first", first)},
		Try:     Say("second-over-first.try", DB("by", by)).Naming("who", second),
		Then:    Say("second-over-first.then", DB("under", by-over)).Naming("first", first),
		Facts: []Fact{
			factOf(v, inputMover(i), Say("second-over-first.shares", Level("share", b.Share(i).Level()))),
			factOf(v, inputMover(under), Say("second-over-first.shares", Level("share", b.Share(under).Level()))),
		},
	}
}

func (r *secondOverFirst) eased(v *desk.View, i, first int, over desk.DB) Said {
	return Said{
		Figures: Figures{DB("over", over)},
		What: []Phrase{Say("second-over-first.eased", DB("over", over)).
			Naming("who", v.Who(inputMover(i))).Naming("first", v.Who(inputMover(first)))},
	}
}
