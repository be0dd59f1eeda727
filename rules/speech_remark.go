package rules

import (
	"slices"
	"time"

	"pawl/rules/desk"
)

// speechRemark hears the speaker a second time, through instruments that were left open:
// what their microphones pick up comes late and blurs every word, and each brings feedback
// nearer. It is a remark, made once in a segment. An instrument that plays under a
// reading is meant to be heard, and one that picks up nothing does no harm. To close what
// nobody uses is common practice. The limit is ours: a copy 15 dB down makes ripples of
// 3 dB in a voice (20 lg((1+a)/(1-a)), a = 10^(-15/20)), and they are just to be heard.
type speechRemark struct {
	limits SpeechRemarkLimits
	beats
	standing               // the copies against the voices
	segment  int           // the one that it is about
	words    time.Duration // when the words began that it is about
	said     bool
	open     []int
	about    []desk.Mover // the same
	player   strayPlayer
}

// SpeechRemarkLimits say when instruments left open in a speech segment are worth a word.
type SpeechRemarkLimits struct {
	Open  desk.DB       `yaml:"open" doc:"an instrument's effective gain above this is open"`
	Under desk.DB       `yaml:"under" doc:"they bring what is said once more, together no further below it than this" from:"ours: ripples of 3 dB"`
	For   time.Duration `yaml:"for" doc:"for this long, while somebody speaks" from:"ours: hands need a moment"`
}

func defaultSpeechRemarkLimits() SpeechRemarkLimits {
	return SpeechRemarkLimits{Open: -40, Under: 15, For: 10 * time.Second}
}

var speechRemarkKind = Kind{
	Name:     "speech-remark",
	Summary:  "instruments left open while somebody speaks",
	Needs:    []desk.Signal{desk.InputFader},
	Helped:   []desk.Signal{desk.InputLevel, desk.InputMute, desk.DCAFader, desk.DCAMute},
	Compares: true,
	Says: []string{"speech-remark.open", "speech-remark.again", "speech-remark.try", "speech-remark.then", "speech-remark.each", "speech-remark.eased",
		"speech-remark.plays", "speech-remark.try-plays", "speech-remark.then-plays"},
	In: []desk.SegmentKind{desk.Speech},
	New: func(l Limits) Rule {
		return &speechRemark{limits: l.SpeechRemark, player: strayPlayer{limits: l.SpeechRemark}}
	},
}

// Judge implements Rule. It holds at most one claim of each kind, and of each segment its own.
func (r *speechRemark) Judge(v *desk.View, claim func(Claim)) {
	r.player.take(v)
	if v.Segment.Kind != desk.Speech {
		return // a service that nobody divided is not known to be speech
	}
	if v.Segment.Number != r.segment || v.Segment.Sounding != r.words { // a part that somebody named may have words twice
		r.segment, r.words, r.standing, r.said = v.Segment.Number, v.Segment.Sounding, standing{}, false
		r.player.begin()
	}
	if r.fell(v) {
		if !r.said {
			r.count(v)
		}
		r.player.count(v)
	}
	r.player.claim(v, claim)
	c := Claim{Key: r.segment, Weight: Whisper}
	switch {
	case !r.said && !r.on:
		return
	case !r.said:
		r.open = inputsOf(r.open, v, func(i int) bool { return r.leftOpen(v, i) })
		if len(r.open) == 0 {
			return // closed just now
		}
		r.said, r.about = true, moversOf(r.open)
		c.Say = func() Said { return r.remark(v) } // and once is enough
	case !slices.ContainsFunc(r.open, func(i int) bool { return v.Gain(i) > r.limits.Open }):
		c.Eased, c.Say = true, func() Said { return Said{What: []Phrase{Say("speech-remark.eased")}} }
		claim(c)
		return
	}
	c.About = r.about
	claim(c)
}

// count compares what the instruments bring to what the voices do, while these sound.
// Without meters all are equally loud, and the faders tell.
func (r *speechRemark) count(v *desk.View) {
	var copies, voices desk.Power
	speaks := false
	for i := range v.Inputs() {
		share := v.Moment().Share(i)
		switch {
		case r.leftOpen(v, i):
			copies += share
		case v.Input(i).Voice && v.Playing(i) && !v.Overhears(i):
			voices += share
			speaks = speaks || v.Sounds(i) || !v.Metered(i)
		}
	}
	speaks = speaks && !maySound(v, aVoice)
	r.beat(speaks, copies, voices)
	r.keeps(r.over(), -r.limits.Under, -r.limits.Under, r.limits.For, breath)
}

// over is how far the copies lie over the voices.
func (r *speechRemark) over() desk.DB { return r.above(3 * time.Second) }

// leftOpen reports whether an instrument is open, does not play, and may be picking up
// somebody else. Where others have a meter, one without may as well be playing.
func (r *speechRemark) leftOpen(v *desk.View, i int) bool {
	in := v.Input(i)
	return !in.Voice && !in.Cue && v.Gain(i) > r.limits.Open && (v.Overhears(i) || !v.Metered(i) && !v.Unmetered(i))
}

func (r *speechRemark) remark(v *desk.View) Said {
	who := cast(v, moversOf(r.open))
	s := Said{
		Figures: Figures{Number("open", len(who))},
		What:    []Phrase{Say("speech-remark.open", Number("open", len(who))).Naming("who", who...)},
		Try:     Say("speech-remark.try").Naming("who", who...),
		Then:    Say("speech-remark.then"),
	}
	if v.Basis() != desk.OnFaders {
		s.What = append(s.What, Say("speech-remark.again", DB("under", -r.over())))
	}
	for _, i := range r.open {
		s.Facts = append(s.Facts, factOf(v, inputMover(i), Say("speech-remark.each", DB("gain", v.Gain(i)))))
	}
	return s
}
