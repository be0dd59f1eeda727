package rules

import (
	"slices"
	"time"

	"pawl/rules/desk"
)

// mutedVoice finds somebody who speaks or sings into a microphone that is muted: the
// room sees a mouth move and hears nothing. A muted microphone also hears everybody
// else, so it counts only while what it hears is its own: not what muted microphones
// all hear of a louder source, and not a copy of what others hear, alone or together. What
// they might all bring there is its own if it had heard far less of them before.
type mutedVoice struct {
	limits MutedVoiceLimits
	check  bool // somebody listens to one after another, and there was no mix yet
	inputs []mutedInput
	muters []desk.Mover
	kept   [][]desk.Mover // those who are kept from the room, by muter
	said   []int          // how many they were when last looked at

	muted, voices []desk.DBFS  // scratch: what others hear
	shares        []desk.Ratio // scratch
}

// mutedInput is what one microphone hears while it is muted.
type mutedInput struct {
	lasting              // somebody speaks into it
	voice   run          // what it hears is its own
	more    run          // it is more than it had heard of the others before
	heard   []desk.Ratio // that is, of the level of each, at most
	summed  bool         // and of all at once
}

// nearer is how much louder a voice must be elsewhere to belong there: less is two
// microphones side by side, and either will do.
const nearer = desk.DB(3)

// enoughAlike is how many microphones must hear what one hears to tell of the hall.
const enoughAlike = 3

// compared is how far back two microphones are compared.
const compared = 2 * time.Second

var mutedVoiceKind = Kind{
	Name:     "muted-voice",
	Summary:  "somebody speaks or sings into a microphone that is muted",
	Needs:    []desk.Signal{desk.InputMute, desk.InputLevel},
	Helped:   []desk.Signal{desk.DCAMute, desk.GroupMute, desk.InputSolo},
	Compares: true,
	Says:     []string{"muted-voice.speaks", "muted-voice.by", "muted-voice.try", "muted-voice.then", "muted-voice.level"},
	New: func(l Limits) Rule {
		return &mutedVoice{limits: l.MutedVoice}
	},
}

// MutedVoiceLimits say when a muted microphone is spoken into.
type MutedVoiceLimits struct {
	Above  desk.DB       `yaml:"above" doc:"so far above its gate a muted voice is speaking" from:"ours: a voice near its microphone lies far above the room"`
	For    time.Duration `yaml:"for" doc:"and for this long, or twice that if only what it had heard of all others before tells that it is its own" from:"ours: a cough or a word to somebody near is shorter, and a first sentence longer"`
	Bleed  desk.DB       `yaml:"bleed" doc:"what it hears is its own if it lies so far above the median of what others hear" from:"ours: a voice in its own microphone lies further above the next one's"`
	Copy   desk.DB       `yaml:"copy" doc:"and is not this much below an open input whose ups and downs it has, nor a sum of what all others would bring there if each were so far below its own level" from:"ours"`
	Source desk.DB       `yaml:"source" doc:"the median is of muted inputs where somebody is this much louder, whom they could all be hearing" from:"ours"`
	Ends   time.Duration `yaml:"ends" doc:"it is over after this long without" from:"ours: longer than a speaker's pause"`
}

func defaultMutedVoiceLimits() MutedVoiceLimits {
	return MutedVoiceLimits{Above: 10, For: 2500 * time.Millisecond, Bleed: 6, Copy: 12, Source: 12, Ends: 3 * time.Second}
}

// Judge implements Rule: a claim for each mute that keeps somebody from the room.
func (r *mutedVoice) Judge(v *desk.View, claim func(Claim)) {
	if r.inputs == nil {
		r.inputs = make([]mutedInput, v.Inputs())
	}
	r.check = !v.Mark.Set && (r.check || soloed(v))
	for i := range r.muters {
		r.kept[i] = r.kept[i][:0]
	}
	for i := range r.inputs {
		by, muted := v.MutedBy(i)
		if r.check || !muted || !v.Input(i).Voice || !v.Metered(i) {
			r.inputs[i] = mutedInput{heard: r.inputs[i].heard[:0]} // an open microphone is heard, however lately it was opened
			continue
		}
		if r.goesOn(v, i) {
			r.keep(by, inputMover(i))
		}
	}
	for i := range r.muters {
		switch n := len(r.kept[i]); {
		case n > 0 && n != r.said[i]:
			by, who := r.muters[i], slices.Clone(r.kept[i])
			claim(Claim{Key: i, About: who, Weight: Now, Say: func() Said { return r.say(v, by, who) }})
		case n > 0:
			claim(Claim{Key: i})
		}
		r.said[i] = len(r.kept[i])
	}
}

// goesOn reports whether somebody has been speaking into a muted input for long enough, and
// has not stopped for long. A mean over a syllable is up for a syllable longer than the
// sound was. What only the past tells, since the stage might bring as much there if it stood
// nearer, has to last twice as long.
func (r *mutedVoice) goesOn(v *desk.View, i int) bool {
	in, own := &r.inputs[i], r.hearsItsOwn(v, i)
	so, more := own && !r.bleeds(v, i), own && r.hearsMore(v, i)
	in.voice.take(v.Watched, so, desk.Syllable)
	in.more.take(v.Watched, more, desk.Syllable)
	if so = so || more; !in.on {
		so = in.voice.lasted(v.Watched) >= r.limits.For+desk.Syllable || in.more.lasted(v.Watched) >= 2*r.limits.For+desk.Syllable
	}
	return in.holds(v.Watched, so, 0, r.limits.Ends)
}

// soloed reports whether anything is listened to alone. Before there was a mix that is a
// sound check, where people talk beside closed microphones and nobody is in the room.
func soloed(v *desk.View) bool {
	for i := range v.Inputs() {
		if on, ok := v.Latest(desk.InputSolo, i); ok && on != 0 {
			return true
		}
	}
	return false
}

// keep enters a voice under the mute that keeps it from the room.
func (r *mutedVoice) keep(by, voice desk.Mover) {
	i := slices.Index(r.muters, by)
	if i < 0 {
		i = len(r.muters)
		r.muters, r.kept, r.said = append(r.muters, by), append(r.kept, nil), append(r.said, 0)
	}
	r.kept[i] = append(r.kept[i], voice)
}

// floor is the level from which on a microphone hears somebody.
func (r *mutedVoice) floor(v *desk.View, i int) desk.DBFS {
	return v.Gate(i) + desk.DBFS(r.limits.Above)
}

// bleeds reports whether what an input hears may be the sum of what the others hear: of late, or in
// the last syllable, for a cough in between explains nothing of what is heard after it.
func (r *mutedVoice) bleeds(v *desk.View, i int) bool {
	floor := r.floor(v, i)
	return v.Bleeds(i, r.limits.Copy, floor, compared) || v.Bleeds(i, r.limits.Copy, floor, desk.Syllable)
}

// hearsMore reports whether an input hears more of late than the others can bring there, by what it heard of each
// in the ten seconds before that began: either no sum of them makes it, of each at most what it heard then and no
// more than a copy, or it has outgrown them all.
func (r *mutedVoice) hearsMore(v *desk.View, i int) bool {
	in := &r.inputs[i]
	if !in.more.going {
		r.learn(v, i)
	}
	return in.summed && !r.sumsUp(v, i) || r.outgrew(v, i)
}

// learn takes what an input heard of each until now. Of whom it may have heard more than a copy no sum
// tells anything.
func (r *mutedVoice) learn(v *desk.View, i int) {
	in, most := &r.inputs[i], (-r.limits.Copy).Ratio()
	in.heard, in.summed = in.heard[:0], true
	for k := range v.Inputs() {
		share := v.HeardOf(i, k, compared)
		in.heard = append(in.heard, share)
		if share >= most && r.compares(v, i, k) && v.Level(k, compared) > v.Level(i, compared) {
			in.summed = false
		}
	}
}

// sumsUp reports whether what an input hears may be the sum of what it heard of each.
func (r *mutedVoice) sumsUp(v *desk.View, i int) bool {
	most, floor := (-r.limits.Copy).Ratio(), r.floor(v, i)
	r.shares = r.shares[:0]
	for _, share := range r.inputs[i].heard {
		r.shares = append(r.shares, min(share, most))
	}
	return v.BleedsOf(i, r.shares, floor, compared) || v.BleedsOf(i, r.shares, floor, desk.Syllable)
}

// outgrew reports whether an input is louder than any of the others can have made it. All that it heard then
// was theirs together, so that it grows by no more than whoever of them has grown most. Of whom it had not
// heard yet nobody knows: it may be that one, unless that one is no louder, as two are who begin side by side.
func (r *mutedVoice) outgrew(v *desk.View, i int) bool {
	level := v.Level(i, compared)
	for k, share := range r.inputs[i].heard {
		if !r.compares(v, i, k) {
			continue
		}
		other := v.Level(k, compared)
		outgrown := level.Above((other.Power() * desk.Power(share)).Level()).Reaches(nearer)
		if share >= 1 {
			outgrown = !other.Above(level).Reaches(nearer)
		}
		if !outgrown {
			return false
		}
	}
	return true
}

// hearsItsOwn reports whether what a muted input hears is loud enough for a voice, and neither what all of
// them hear nor anybody else's.
func (r *mutedVoice) hearsItsOwn(v *desk.View, i int) bool {
	floor := r.floor(v, i)
	level := v.Level(i, desk.Syllable)
	return level > floor && !v.Overhears(i) && !r.hearsAll(v, i, level, floor) && !r.copies(v, i, floor) && !mayHearUnmetered(v, i, level)
}

// hearsAll reports whether an input hears no more than others do in general, and there
// is something for all of them to hear: a much louder source on the stage, by which muted
// inputs are compared, or a hall that claps, which every voice hears at once, or every
// microphone as loud. Singers behind one forgotten mute are as loud as one another and keep
// time with one another, and are no applause.
func (r *mutedVoice) hearsAll(v *desk.View, i int, level, floor desk.DBFS) bool {
	r.muted, r.voices = r.muted[:0], r.voices[:0]
	by, _ := v.MutedBy(i)
	loudest, applause, alike := desk.Silence, true, 0
	for k := range v.Inputs() {
		if !r.compares(v, i, k) {
			continue
		}
		other := v.Level(k, desk.Syllable)
		loudest = max(loudest, other)
		too, muted := v.MutedBy(k)
		if in := v.Input(k); in.HasMic() && (!muted || too != by) && alike >= 0 {
			if alike++; other.Above(level).Abs().Reaches(r.limits.Bleed) {
				alike = -1 // while anybody plays or speaks, some hear it nearer than others
			}
		}
		if muted {
			r.muted = append(r.muted, other)
		}
		if v.Input(k).Voice && (muted && too != by || r.open(v, k)) {
			r.voices = append(r.voices, other)
			_, follows := v.Follows(i, k, floor, compared)
			applause = applause && follows
		}
	}
	return loudest.Above(level).Reaches(r.limits.Source) && r.noneOver(level, r.muted) ||
		alike >= enoughAlike || applause && len(r.voices) >= 2 && r.noneOver(level, r.voices)
}

// noneOver reports whether a level is not far above the median of others.
func (r *mutedVoice) noneOver(level desk.DBFS, others []desk.DBFS) bool {
	slices.Sort(others)
	return len(others) > 0 && !level.Above(others[len(others)/2]).Reaches(r.limits.Bleed)
}

// copies reports whether what an input hears belongs to another one: to an open one,
// by which the room hears it already, or to a muted one that is nearer to who speaks.
func (r *mutedVoice) copies(v *desk.View, i int, floor desk.DBFS) bool {
	for k := range v.Inputs() {
		if !r.compares(v, i, k) {
			continue
		}
		least := nearer
		if r.open(v, k) {
			least = r.limits.Copy // who sings with the lead keeps time with the lead, and is nearly as loud
		}
		if below, follows := v.Follows(i, k, floor, compared); follows && below > least {
			return true
		}
	}
	return false
}

func (r *mutedVoice) open(v *desk.View, i int) bool {
	return v.Open(inputMover(i))
}

// compares reports whether an input can tell whose voice another one hears.
func (r *mutedVoice) compares(v *desk.View, i, other int) bool {
	return other != i && v.Metered(other) && !v.Input(other).Cue
}

func (r *mutedVoice) say(v *desk.View, by desk.Mover, who []desk.Mover) Said {
	voices := cast(v, who)
	level := v.Level(who[0].Index, desk.Syllable)
	s := Said{
		Figures: Figures{Level("level", level), Number("voices", len(who))},
		What:    []Phrase{Say("muted-voice.speaks", Number("voices", len(who)), Level("level", level)).Naming("who", voices...)},
		Try:     Say("muted-voice.try").Naming("who", v.Who(by)),
		Then:    Say("muted-voice.then"),
	}
	if by.Strip != desk.StripInput {
		s.What = append(s.What, Say("muted-voice.by").Naming("who", v.Who(by)))
	}
	for _, m := range who {
		s.Facts = append(s.Facts, factOf(v, m, Say("muted-voice.level", Level("level", v.Level(m.Index, desk.Syllable)),
			Level("gate", v.Gate(m.Index)), DB("above", r.limits.Above), Time("for", r.limits.For))))
	}
	return s
}
