package rules

import (
	"time"

	"pawl/rules/desk"
)

// wordsCovered hears players who begin behind somebody who speaks, and are louder. A pad or a piano under
// words is meant, and a song that begins is music to whoever hears it: but while the same voice goes on speaking
// its words are what is to be understood, and beside as much of something else they are not. Only who
// began after the words is asked about. Who played before them was brought down or was not; who sings is no
// speaker, and whom others speak with is none that has to be heard alone.
//
// That music goes under words and never over them is common practice. So is to say a word to the stage: whoever
// speaks cannot be made as loud as a band.
type wordsCovered struct {
	limits WordsCoveredLimits
	beats
	standing              // the players against the voice
	segment  int          // the newest
	are      []source     // by input
	played   []run        // likewise: since when, as watched
	speaker  int          // whose words are the newest
	words    run          // since when they go on
	spoken   bool         // and they were a part of speech
	who      []int        // the players, as of the last beat
	about    []desk.Mover // the same
	view     *desk.View   // that is judged
	say      func() Said
}

// WordsCoveredLimits say when players over somebody who speaks are worth a word.
type WordsCoveredLimits struct {
	Over  desk.DB       `yaml:"over" doc:"the players who began behind the words, together at or over the voice by this"`
	Means time.Duration `yaml:"means" doc:"by mean power over this much of the speech, at most 10s" from:"ours"`
	For   time.Duration `yaml:"for" doc:"for this long, while somebody speaks" from:"ours: a song's first bars may run into the last words"`
}

func defaultWordsCoveredLimits() WordsCoveredLimits {
	return WordsCoveredLimits{Over: 0, Means: 3 * time.Second, For: 10 * time.Second}
}

var wordsCoveredKind = Kind{
	Name:     "words-covered",
	Summary:  "players who begin behind somebody who speaks, and are louder",
	Needs:    []desk.Signal{desk.InputFader, desk.InputLevel},
	Helped:   []desk.Signal{desk.InputMute, desk.DCAFader, desk.GroupReduction},
	Compares: true,
	Says:     []string{"words-covered.over", "words-covered.try", "words-covered.then", "words-covered.each", "words-covered.eased"},
	In:       []desk.SegmentKind{desk.Speech, desk.Music}, // what plays behind words is music once it is heard for long
	New: func(l Limits) Rule {
		r := &wordsCovered{limits: l.WordsCovered}
		r.say = r.said
		return r
	},
}

// Judge implements Rule. It holds at most one claim.
func (r *wordsCovered) Judge(v *desk.View, claim func(Claim)) {
	r.view = v
	was := r.on
	if r.fell(v) {
		r.count(v)
	}
	switch {
	case r.on:
		r.about = stillAbout(r.about, r.who)
		c := Claim{Key: r.speaker, About: r.about, Weight: Nudge, Size: r.over()}
		if !v.Moving { // once the hand has finished
			c.Say = r.say
		}
		claim(c)
	case was && r.idle == 0 && r.words.going:
		claim(Claim{Key: r.speaker, Eased: true, Say: func() Said { return r.eased(v) }})
	}
}

// over is how far the players stand over the voice.
func (r *wordsCovered) over() desk.DB { return r.above(r.limits.Means) }

func (r *wordsCovered) count(v *desk.View) {
	if r.are == nil {
		r.are, r.played = sourcesOf(v), make([]run, v.Inputs())
	}
	speaks := r.follow(v)
	r.who = inputsOf(r.who, v, func(i int) bool { return r.beganBehind(v, i) })
	if !speaks || len(r.who) == 0 {
		r.beat(false, 0, 0)
		return
	}
	r.beat(true, sum(v, r.who), v.Moment().Share(r.speaker))
	r.keeps(r.over(), r.limits.Over, r.limits.Over-1, r.limits.For, breath)
}

// follow takes who speaks, and reports whether that one alone is heard at this moment. Whom
// another voice joins speaks no more, and neither does who is said to sing.
func (r *wordsCovered) follow(v *desk.View) bool {
	voices, who := 0, 0
	for i := range r.are {
		if aVoice(v.Input(i)) && plays(v, i) {
			voices, who = voices+1, i
		}
	}
	speaks := voices == 1 && r.are[who] == speaker
	other := voices > 0 && !(speaks && who == r.speaker)
	song := v.Segment.Number != r.segment && v.Segment.Kind == desk.Music && v.Segment.How != desk.Overheard
	if r.segment = v.Segment.Number; other || song {
		r.words, r.standing, r.spoken = run{}, standing{}, false
	}
	if speaks {
		r.speaker = who
	}
	r.words.take(v.Watched, speaks, phraseLong)
	r.spoken = r.words.going && (r.spoken || v.Segment.Kind == desk.Speech && r.words.lasted(v.Watched) >= phraseLong)
	return speaks && v.Sounds(who) && !hallIn(v, who) && !maySound(v, aVoice)
}

// beganBehind reports whether a player plays who began when somebody had spoken for a while.
func (r *wordsCovered) beganBehind(v *desk.View, i int) bool {
	now := r.are[i] == instrument && v.Element(i) != desk.NoElement && plays(v, i)
	p := &r.played[i]
	p.take(v.Watched, now, phraseLong)
	return now && r.spoken && p.since-r.words.since >= phraseLong && !hallIn(v, i)
}

func (r *wordsCovered) said() Said {
	v := r.view
	who, voice, over := cast(v, moversOf(r.who)), v.Who(inputMover(r.speaker)), r.over()
	by := downBy(over + meantUnder)
	s := Said{
		Figures: Figures{DB("over", over)},
		What:    []Phrase{Say("words-covered.over", DB("over", over)).Naming("who", who...).Naming("voice", voice)},
		Try:     Say("words-covered.try", DB("by", by)).Naming("who", who...),
		Then:    Say("words-covered.then", DB("under", by-over)).Naming("voice", voice),
	}
	var b desk.Balance
	v.Balance(&b, r.limits.Means)
	for _, i := range r.who {
		alone := b.Share(i).Level().Above(b.Share(r.speaker).Level())
		s.Facts = append(s.Facts, factOf(v, inputMover(i), Say("words-covered.each", DB("against", alone)).
			Naming("who", v.Who(inputMover(i))).Naming("voice", voice)))
	}
	return s
}

func (r *wordsCovered) eased(v *desk.View) Said {
	return Said{What: []Phrase{Say("words-covered.eased").Naming("voice", v.Who(inputMover(r.speaker)))}}
}
