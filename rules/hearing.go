package rules

import (
	"slices"
	"time"

	"pawl/rules/desk"
)

// hearing tells from who plays what kind of part this is, so that nobody has to say it.
// It goes by meters alone: where there are none, it hears nothing.
type hearing struct {
	are   []source // by input
	heard [sounds]run

	under bool         // whoever plays is far below whoever speaks, or tries
	tries bool         // they who play began with nobody to follow, and nobody carries a tune since
	join  joiners      // and the pads that try with them
	mix   desk.Balance // scratch
}

// source is what may be heard at an input, in whatever segment.
type source uint8

const (
	instrument source = iota // or a microphone on the room
	speaker                  // a voice that does not sing
	singer
	nobody // a cue
)

// What may be heard, each in a run of its own. Sound is what is neither: a piano alone,
// or under somebody who speaks.
const (
	musicSound = iota
	speechSound
	quietSound
	someSound
	sounds
)

var soundKinds = [sounds]desk.SegmentKind{desk.Music, desk.Speech, desk.Quiet, desk.AnyKind}

// run is something that has been so for a time, short breaks aside: whoever speaks
// pauses. The zero value has never been so.
type run struct {
	going       bool
	old         bool // it was so before the segment began, and is no news
	since, last time.Duration
}

func (r *run) take(at time.Duration, so bool, brk time.Duration) {
	if r.going && at-r.last > brk {
		r.going = false
	}
	if !so {
		return
	}
	if !r.going {
		*r = run{going: true, since: at}
	}
	r.last = at
}

// lasted is for how long it has been so, 0 while it is not.
func (r *run) lasted(at time.Duration) time.Duration {
	if !r.going || r.last != at {
		return 0
	}
	return at - r.since
}

// sourcesOf is sources of all inputs.
func sourcesOf(v *desk.View) []source {
	var all []desk.Input
	for i := range v.Inputs() {
		all = append(all, v.Input(i))
	}
	return sources(all)
}

// sources tells the inputs of a roster apart. Voices sing that have an element, or share
// a DCA or group with a lead: two of them together are no conversation.
func sources(inputs []desk.Input) []source {
	are := make([]source, len(inputs))
	for i, in := range inputs {
		withLead := func(lead desk.Input) bool {
			return lead.Element == desk.Lead && (share(in.DCAs, lead.DCAs) || share(in.Groups, lead.Groups))
		}
		switch {
		case in.Cue:
			are[i] = nobody
		case in.Voice && (in.Element != desk.NoElement || slices.ContainsFunc(inputs, withLead)):
			are[i] = singer
		case in.Voice:
			are[i] = speaker
		}
	}
	return are
}

func share(a, b []int) bool {
	return slices.ContainsFunc(a, func(k int) bool { return slices.Contains(b, k) })
}

// take looks at this beat, and gives the kind that it is by itself, AnyKind for one
// that could be of several.
func (h *hearing) take(v *desk.View, l SegmentLimits) desk.SegmentKind {
	now := h.sound(v)
	for k := range h.heard {
		h.heard[k].take(v.Watched, k == now, l.Break)
	}
	if now == sounds {
		return desk.AnyKind
	}
	return soundKinds[now]
}

// sound is what is heard at this beat; sounds if it cannot be told.
func (h *hearing) sound(v *desk.View) int {
	instruments, parts, following, voices, singing, unknown, unknownVoices := 0, 0, 0, 0, 0, 0, 0
	metered, carried := false, false
	for i, is := range h.are {
		known := v.Metered(i)
		metered = metered || known
		switch {
		case is == nobody || !v.Playing(i) || v.Overhears(i):
		case !known && is == instrument:
			unknown++
		case !known:
			unknownVoices++
		case is == instrument:
			instruments++
			if v.Element(i) != desk.NoElement {
				parts++ // the rest may be a microphone on the room, which hears whoever speaks
			}
			switch {
			case followsOthers(v, i), carriesWords(v, i) && h.join.joins(v, i):
				following++
			case carriesWords(v, i):
				carried = true
			}
		default:
			voices++
			if is == singer {
				singing++
			}
		}
	}
	behind := voices > 0 && singing == 0 && instruments > 0 // whoever plays does so behind a speaker
	if behind {
		h.hearBehind(v, carried, nobodyToFollow(instruments, following))
	} else {
		h.tries, h.under = false, false
	}
	if h.under {
		instruments, parts = 0, 0 // whoever tunes or tries a phrase behind a speaker
	}
	switch {
	case instruments >= 2:
		return musicSound
	case unknown > 0:
		return sounds
	case voices > 0 && unknownVoices == 0 && parts == 0 && (voices == 1 || singing == 0):
		return speechSound
	case voices+instruments > 0:
		return someSound
	case unknownVoices == 0 && metered:
		return quietSound
	}
	return sounds
}

// nearlyMeant is how far above where nobody is taken for music somebody must come to be it.
const nearlyMeant = desk.DB(3)

// hearBehind settles whether they who play behind a speaker try a phrase, and whether they are meant to be heard.
func (h *hearing) hearBehind(v *desk.View, carried, alone bool) {
	below := h.below(v)
	h.tries = !carried && (h.tries || alone && below.Reaches(besideWords))
	least := meantUnder
	if h.under {
		least -= nearlyMeant
	}
	h.under = h.tries || below.Reaches(least)
}

// below is how far all who play together are below those who speak.
func (h *hearing) below(v *desk.View) desk.DB {
	v.Balance(&h.mix, breath)
	var played, spoken desk.Power
	for i, is := range h.are {
		switch {
		case is == nobody || !plays(v, i):
		case is == instrument:
			played += h.mix.Share(i)
		default:
			spoken += h.mix.Share(i)
		}
	}
	return spoken.Level().Above(played.Level())
}

// news is the kind that has been heard for long enough, and for how long, if it is another than
// the one that it counts as. After a quiet part anything that sounds and is not speech is music.
func (h *hearing) news(at time.Duration, is desk.SegmentKind, l SegmentLimits) (desk.SegmentKind, time.Duration, bool) {
	patience := [sounds]time.Duration{l.Music, l.Speech, l.Quiet, l.Speech}
	for k := range h.heard {
		kind := soundKinds[k]
		if k == someSound {
			kind = desk.Music
			if is != desk.Quiet {
				continue
			}
		}
		if r := &h.heard[k]; kind != is && !r.old && r.lasted(at) >= patience[k] {
			return kind, r.lasted(at), true
		}
	}
	return desk.AnyKind, 0, false
}

// discount makes what is going on no news: somebody has just said what this is, and
// the song that is still fading does not make it otherwise.
func (h *hearing) discount() {
	for k := range h.heard {
		h.heard[k].old = true
	}
}

// SegmentLimits say when another part of the service begins by itself, and how long a
// tap may be taken back.
type SegmentLimits struct {
	Music    time.Duration `yaml:"music" doc:"two or more instruments for this long are music" from:"ours"`
	Speech   time.Duration `yaml:"speech" doc:"one voice alone, or only voices that do not sing, for this long are speech" from:"ours: longer than a line sung alone"`
	Quiet    time.Duration `yaml:"quiet" doc:"nothing for this long is quiet" from:"ours"`
	Break    time.Duration `yaml:"break" doc:"a break shorter than this ends none of them" from:"ours: whoever speaks draws breath"`
	Over     time.Duration `yaml:"over" doc:"a part that somebody named is over once something of another kind was heard for this long" from:"ours: longer than what is said between two verses"`
	Check    time.Duration `yaml:"check" doc:"a sound check that nobody ended is over after nothing was heard for this long, or speech for as long as over" from:"ours: players who have left the stage are silent for longer than those who talk something over, and nobody checks a microphone by two minutes of speech"`
	Back     time.Duration `yaml:"back" doc:"a tap can be taken back for this long" from:"ours"`
	TapHolds time.Duration `yaml:"tap-holds" doc:"a scene that is recalled this soon after a tap does not overrule it" from:"ours"`
}

func defaultSegmentLimits() SegmentLimits {
	return SegmentLimits{
		Music: 5 * time.Second, Speech: 8 * time.Second, Quiet: 10 * time.Second, Break: 2 * time.Second,
		Over: 2 * time.Minute, Check: 5 * time.Minute, Back: time.Minute, TapHolds: 10 * time.Second,
	}
}
