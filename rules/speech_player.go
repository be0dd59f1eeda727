package rules

import (
	"slices"
	"time"

	"pawl/rules/desk"
)

// strayPlayer hears somebody who tunes or tries a phrase behind whoever speaks, into an open
// microphone. Words are carried by a pad or by the instrument that carries the song, however
// softly; a fill has no line to answer there, and whoever strums along otherwise nobody to follow.
// Far below the voice and not gone players are not meant for the hall; nor, unless they are nearly as loud, are those
// who began with nobody to follow. Whose fader a hand has set for these words is meant, at whatever level. That
// pads and pianos go under words, and others do not, is common practice; how far below is ours.
type strayPlayer struct {
	limits SpeechRemarkLimits
	standing
	who     []int           // those who play, while they do
	tries   bool            // they began with nobody to follow, and nobody carries a tune since
	set     []time.Duration // when a hand last moved each input's own fader, or a pad's DCA, or -1
	joiners joiners
	about   []desk.Mover
	said    bool // in this segment
	claimed bool
}

// Between these two a player is heard behind a voice, and is not meant to be: nearer is music
// under words, and further away nobody notices.
const (
	meantUnder  = desk.DB(8)
	noticedDown = desk.DB(25)
)

// besideWords is the least of those who have nobody to follow: what is nearer to the voice is a tune.
const besideWords = desk.DB(3)

// strayKey tells the claim from the one about who is left open, whose key is its segment.
const strayKey = -1

// nobodyToFollow reports whether of so many players all follow others: no music that carries words.
func nobodyToFollow(players, following int) bool { return following > 0 && following == players }

// followsOthers reports whether an input plays what answers or doubles others.
func followsOthers(v *desk.View, input int) bool {
	return v.Element(input) == desk.Fill || v.Element(input) == desk.Rhythm && !carriesWords(v, input)
}

// aside is how long before the words a hand may have set the fader of who plays under them.
const aside = 10 * time.Second

// carriesWords reports whether an input plays what words are carried by.
func carriesWords(v *desk.View, input int) bool {
	first, rhythm := v.Primary(desk.Rhythm)
	return v.Element(input) == desk.Pad || rhythm && input == first
}

// joiners are pads that began while somebody spoke, together with players who follow others. The instrument that
// carries the song is one to follow and a pad is none: of four who practise one has a pad, and that makes no
// music of it. Who is asked to play to words begins alone, or before them, or is set by a hand. Where
// somebody carries these words, whoever begins joins that.
type joiners struct {
	with    []bool        // by input
	words   time.Duration // when the words began that they are of
	carried bool          // somebody has carried these
}

// joins reports whether one of those who carry words is one of them.
func (j *joiners) joins(v *desk.View, input int) bool {
	if j.with == nil {
		j.with = make([]bool, v.Inputs())
	}
	if j.words != v.Segment.Sounding {
		clear(j.with)
		j.words, j.carried = v.Segment.Sounding, false
	}
	j.with[input] = j.with[input] || !j.carried && v.Element(input) == desk.Pad && beganBehindWords(v, input) && beganWithFollowers(v, input)
	j.carried = j.carried || !j.with[input] && v.PlayingFor(input) > breath
	return j.with[input]
}

// beganBehindWords reports whether an input plays that did not when somebody began to speak.
func beganBehindWords(v *desk.View, input int) bool {
	return v.Segment.Kind == desk.Speech && v.PlayingFor(input) < v.At-v.Segment.Sounding
}

// beganWithFollowers reports whether an input began with one that follows others, or within a line after it.
func beganWithFollowers(v *desk.View, input int) bool {
	for i := range v.Inputs() {
		if followsOthers(v, i) && plays(v, i) && v.PlayingFor(i)-v.PlayingFor(input) <= phraseLong {
			return true
		}
	}
	return false
}

// begin forgets what was so in another segment.
func (p *strayPlayer) begin() {
	*p = strayPlayer{limits: p.limits, who: p.who[:0], set: p.set, joiners: p.joiners}
}

// take follows whose fader a hand sets; one that is only unmuted, or told for the first time, nobody set.
func (p *strayPlayer) take(v *desk.View) {
	if p.set == nil {
		p.set = slices.Repeat([]time.Duration{-1}, v.Inputs())
	}
	for _, m := range v.Moves {
		if m.Kind == desk.Scene || m.Kind == desk.BringIn && m.Start == m.End {
			continue
		}
		for i := range p.set {
			if m.Mover == inputMover(i) || m.Mover.Strip == desk.StripDCA && v.Drives(m.Mover, i) && v.Element(i) == desk.Pad {
				p.set[i] = v.At
			}
		}
	}
}

// placed reports whether a hand has set an input's fader for these words, or just before.
func (p *strayPlayer) placed(v *desk.View, i int) bool {
	return p.set[i] >= 0 && p.set[i] >= v.Segment.Sounding-aside
}

// count takes a beat: what the loudest of the players brings, while a voice sounds.
func (p *strayPlayer) count(v *desk.View) {
	if p.said {
		return
	}
	var players, voices desk.Power
	carried, speaks, following := mayPlaySoftly(v), false, 0
	p.who = p.who[:0]
	for i := range v.Inputs() {
		switch in := v.Input(i); {
		case in.Cue || !plays(v, i):
		case in.Voice:
			voices += v.Moment().Share(i)
			speaks = speaks || v.Sounds(i)
		case carriesWords(v, i) && (p.placed(v, i) || !p.joiners.joins(v, i)):
			carried = true
		case v.PlayingFor(i) >= v.At-v.Segment.Sounding:
			// played before the words, and goes on under them
		case p.placed(v, i):
		default:
			players = max(players, v.Moment().Share(i))
			p.who = append(p.who, i)
			if followsOthers(v, i) || carriesWords(v, i) {
				following++
			}
		}
	}
	p.beat(speaks, players, voices)
	over := p.above(3 * time.Second)
	p.tries = !carried && len(p.who) > 0 && (p.tries || nobodyToFollow(len(p.who), following))
	meant := meantUnder
	if p.tries {
		meant = besideWords
	}
	so := !carried && len(p.who) > 0 && !over.Reaches(-meant) && over.Reaches(-noticedDown)
	if p.idle == 0 {
		p.holds(p.counted, so, p.limits.For, breath)
	}
}

// claim makes the claim once a segment, for as long as somebody whom it is about plays.
func (p *strayPlayer) claim(v *desk.View, claim func(Claim)) {
	if !p.on || len(p.who) == 0 || p.said && !p.claimed {
		p.claimed = false
		return
	}
	p.about = stillAbout(p.about, p.who)
	c := Claim{Key: strayKey, About: p.about, Weight: Whisper}
	if !p.said {
		c.Say = func() Said { return p.remark(v) }
	}
	p.said, p.claimed = true, true
	claim(c)
}

func (p *strayPlayer) remark(v *desk.View) Said {
	who, under := cast(v, moversOf(p.who)), -p.above(3*time.Second)
	s := Said{
		Figures: Figures{DB("under", under)},
		What:    []Phrase{Say("speech-remark.plays", DB("under", under)).Naming("who", who...)},
		Try:     Say("speech-remark.try-plays").Naming("who", who...),
		Then:    Say("speech-remark.then-plays"),
	}
	for _, i := range p.who {
		s.Facts = append(s.Facts, factOf(v, inputMover(i), Say("speech-remark.each", DB("gain", v.Gain(i)))))
	}
	return s
}
