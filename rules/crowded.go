package rules

import (
	"time"

	"pawl/rules/desk"
)

// crowded hears all five elements at once for verse after verse: nobody in the room can
// follow so much, turning one of them up answers nothing, and nothing is left to grow. A full
// chorus is no such thing, nor a loud end. That four are the most, and three can be
// plenty, is common practice, and so is that the fault lies in its lasting; the rest is ours.
//
// A band with one to a part is as small as a band can be: each is heard as one thing, and whoever
// rests leaves a hole. It is crowded where most of the parts round the tune have more than
// one, for they say the same twice and could take turns. Low end is drum and bass and
// wants both, and who sings along sings the same tune. And it is not crowded while a quarter of
// those who stand open to play have nothing to do: what rests is left to grow.
//
// An element takes part once one of its inputs has sounded beside the lead for longer
// than a last note hangs over, loud enough to be heard in the whole, until it is
// silent for a phrase: a fill in every gap of a line is no fifth.
type crowded struct {
	limits CrowdedLimits
	beats
	standing
	segment int
	parts   [desk.Fill + 1]lasting // by element, in the time in which the lead sounds
	players []lasting              // by input, likewise
	came    []bool                 // by input, whether it was heard in this service
	claim   standingClaim
	view    *desk.View // that is judged
	leads   []int      // scratch, as is the next
	fills   []int
}

// round is the parts round the tune that take turns where there are two of a kind.
var round = [...]desk.Element{desk.Pad, desk.Rhythm, desk.Fill}

// hangsOver is how long a last note of what was played in a gap may be.
const hangsOver = 3 * time.Second

// CrowdedLimits say when five elements at once are worth a word.
type CrowdedLimits struct {
	For   time.Duration `yaml:"for" doc:"all five elements at once for this long, two to most of pad, rhythm and fill, while the lead sings" from:"ours: longer than two verses and a chorus in a row"`
	Under desk.DB       `yaml:"under" doc:"an input this far below the whole is not heard in it" from:"ours"`
}

func defaultCrowdedLimits() CrowdedLimits { return CrowdedLimits{For: 2 * time.Minute, Under: 25} }

var crowdedKind = Kind{
	Name:    "crowded",
	Summary: "foundation, pad, rhythm, lead and fill all at once, and most of them twice",
	Needs:   []desk.Signal{desk.InputFader, desk.InputLevel},
	Helped:  []desk.Signal{desk.InputMute, desk.DCAFader},
	Says:    []string{"crowded.five", "crowded.try", "crowded.then", "crowded.plays", "crowded.eased"},
	In:      []desk.SegmentKind{desk.Music},
	New: func(l Limits) Rule {
		r := &crowded{limits: l.Crowded}
		r.claim.say = func() Said { return r.said(r.view) }
		return r
	},
}

// Judge implements Rule. It holds at most one claim.
func (r *crowded) Judge(v *desk.View, claim func(Claim)) {
	r.view = v
	was := r.on && v.Segment.Number == r.segment
	if r.fell(v) {
		r.count(v)
	}
	switch {
	case r.on:
		r.fills = r.playing(r.fills, v, desk.Fill)
		r.claim.about = stillAbout(r.claim.about, r.fills)
		claim(Claim{Key: 1, About: r.claim.about, Weight: Whisper, Say: r.claim.say})
	case was && r.idle == 0:
		claim(Claim{Key: 1, Eased: true, Say: func() Said { return Said{What: []Phrase{Say("crowded.eased")}} }})
	}
}

func (r *crowded) count(v *desk.View) {
	r.leads = leading(r.leads, v)
	r.beat(len(r.leads) > 0, 0, 0)
	if elsewhere := v.Segment.Number != r.segment; elsewhere || r.idle >= phraseLong {
		r.segment, r.standing, r.parts = v.Segment.Number, standing{idle: r.idle}, [desk.Fill + 1]lasting{}
		clear(r.players)
	}
	if r.players == nil {
		r.players, r.came = make([]lasting, v.Inputs()), make([]bool, v.Inputs())
	}
	if r.idle > 0 {
		return
	}
	all, least := true, r.least(v)
	var sounds [desk.Fill + 1]bool
	for i := range r.players {
		so := v.Sounds(i) && v.Moment().Share(i) >= least
		r.players[i].holds(r.counted, so, hangsOver, phraseLong)
		r.came[i] = r.came[i] || so
		sounds[v.Element(i)] = sounds[v.Element(i)] || so
	}
	for e := desk.Foundation; e <= desk.Fill; e++ {
		all = r.parts[e].holds(r.counted, sounds[e], hangsOver, phraseLong) && all
	}
	r.holds(r.counted, all && r.doubled(v) > len(round)/2 && !r.rest(v), r.limits.For, 0)
}

// doubled is how many of the parts round the tune have more than one player.
func (r *crowded) doubled(v *desk.View) (n int) {
	for _, e := range round {
		players := 0
		for i := range r.players {
			if v.Element(i) == e && r.players[i].on {
				players++
			}
		}
		if players > 1 {
			n++
		}
	}
	return n
}

// rest reports whether a quarter of those who could play are silent. Who has not been heard in
// this service, in a section of which others play, is not there, and nobody who rests.
func (r *crowded) rest(v *desk.View) bool {
	players, silent := 0, 0
	for i := range r.players {
		if v.Element(i) == desk.NoElement || !v.Open(inputMover(i)) || !r.came[i] && r.sectionPlays(v, i) {
			continue
		}
		players++
		if !r.players[i].on {
			silent++
		}
	}
	return 4*silent >= players
}

// sectionPlays reports whether anybody plays who is led by a DCA that an input is led by.
func (r *crowded) sectionPlays(v *desk.View, input int) bool {
	for _, k := range v.Input(input).DCAs {
		for i := range r.players {
			if r.players[i].on && v.Drives(dcaMover(k), i) {
				return true
			}
		}
	}
	return false
}

// least is the power below which an input is not heard in the whole.
func (r *crowded) least(v *desk.View) (p desk.Power) {
	for i := range v.Inputs() {
		p += v.Moment().Share(i)
	}
	return p * desk.Power((-r.limits.Under).Ratio())
}

// playing is the inputs of an element that play, in the memory of dst.
func (r *crowded) playing(dst []int, v *desk.View, e desk.Element) []int {
	return inputsOf(dst, v, func(i int) bool { return v.Element(i) == e && plays(v, i) })
}

func (r *crowded) said(v *desk.View) Said {
	fills := cast(v, moversOf(r.playing(nil, v, desk.Fill)))
	s := Said{
		Figures: Figures{Number("elements", 5)},
		What:    []Phrase{Say("crowded.five", Time("for", r.limits.For))},
		Try:     Say("crowded.try").Naming("who", fills...),
		Then:    Say("crowded.then"),
	}
	var b desk.Balance
	v.Balance(&b, 2*breath)
	for e := desk.Foundation; e <= desk.Fill; e++ {
		for _, m := range moversOf(r.playing(nil, v, e)) {
			s.Facts = append(s.Facts, factOf(v, m, Say("crowded.plays", Level("share", b.Share(m.Index).Level()))))
		}
	}
	return s
}
