package rules

import (
	"time"

	"pawl/rules/desk"
)

// Picture is what one look at the page should answer: am I louder than I meant to
// be, and is it me?
type Picture struct {
	T         Moment     `json:"t"`
	N         uint64     `json:"n"` // the newest entry that it knows of
	Basis     desk.Basis `json:"basis"`
	Explained bool       `json:"explained"` // false while the map does not account for the desk's own main level

	Playing int         `json:"playing"`    // inputs in the mix now
	Total   desk.DBFS   `json:"total_dbfs"` // modelled, at the main's output, mean power over ten seconds
	Mark    MarkPicture `json:"mark"`
	Rise    desk.DB     `json:"rise_db"` // total above the mark, the sum of Split
	Split   desk.Split  `json:"split"`

	Segment SegmentPicture `json:"segment"`
	Hold    bool           `json:"hold"` // the coach holds whispers and nudges
	Card    *Finding       `json:"card"` // the one nudge or now on the screen
	Line    *Finding       `json:"line"` // the one whisper, or what has just eased
	Told    *CoachLine     `json:"told"` // the line that the coach sent, while it stands on the operator's screen
	Groups  []GroupPicture `json:"groups"`
	Plenty  desk.DB        `json:"plenty_db"` // of reduction on a group: more is too much, by the limits in force
	Parts   []Part         `json:"parts"`

	// Lead is the change in a glance's words, without its number, or why there is none;
	// Rest goes on from it, with what made most of it; Causes are the figures of both.
	Lead   Phrase `json:"lead"`
	Rest   Phrase `json:"rest"`
	Causes Phrase `json:"causes"`
}

// MarkPicture is the mark that figures are measured from.
type MarkPicture struct {
	Set   bool      `json:"set"` // the rest means nothing until it is
	T     Moment    `json:"t"`
	How   desk.How  `json:"how"`
	Total desk.DBFS `json:"total_dbfs"`
}

// SegmentPicture is the part of the service that this is.
type SegmentPicture struct {
	Number int              `json:"number"`
	Since  Moment           `json:"since"`
	Kind   desk.SegmentKind `json:"kind"`
	Name   string           `json:"name"`
	Part   int              `json:"part"` // of the running order, counted from 1; 0 for one that is not in it
	How    desk.Began       `json:"how"`  // how it began
	Next   string           `json:"next"` // the part of the running order that comes next, or ""
	Back   bool             `json:"back"` // it began with a tap that may still be taken back
}

// GroupPicture is how hard a group's compressor works.
type GroupPicture struct {
	Who    desk.Who    `json:"who"`
	Active bool        `json:"active"` // something in it is playing and open
	Known  bool        `json:"known"`  // the figures mean something
	Source desk.Source `json:"source"` // how they are known, or "" while they are not
	Median desk.DB     `json:"median_db"`
	Low    desk.DB     `json:"low_db"` // 10th and 90th percentile of the last minute of playing
	High   desk.DB     `json:"high_db"`
}

// Part is one element of the mix and who leads it now.
type Part struct {
	Element desk.Element `json:"element"`
	Present bool         `json:"present"`
	Lead    *desk.Who    `json:"lead"` // the loudest input of the element; nil when none is present
}

// Picture looks at the service as it stands.
func (j *Judge) Picture() Picture {
	v := j.view()
	split := j.weigh(&v)
	p := Picture{
		T: Moment(j.at), N: j.stamped, Basis: v.Basis(), Explained: v.Unexplained() <= j.limits.Mix.Unexplained,
		Playing: v.PlayingCount(), Total: j.balance.Total(), Rise: split.Total(), Split: split, Hold: j.past.hold,
		Segment: j.segments.picture(v.Watched),
		Card:    j.last[j.screen.Card], Line: j.line(), Told: j.coach.standing(j.at), Groups: []GroupPicture{}, Plenty: j.limits.SqueezedGroup.Whisper,
	}
	if v.Mark.Set {
		// Not v.Mark.Total: how the groups answer may have become known since, and then the
		// rise is from what is now known of the mark.
		p.Mark = MarkPicture{true, Moment(v.Mark.At), v.Mark.How, v.Mark.Base.Total()}
	}
	for k := range v.Groups() {
		p.Groups = append(p.Groups, groupPicture(&v, k))
	}
	for e := desk.Foundation; e <= desk.Fill; e++ {
		part := Part{Element: e}
		if i, ok := v.Lead(e, &j.balance); ok {
			who := v.Who(inputMover(i))
			part.Present, part.Lead = true, &who
		}
		p.Parts = append(p.Parts, part)
	}
	p.glance()
	return p
}

func (s *segments) picture(watched time.Duration) SegmentPicture {
	n := s.now
	return SegmentPicture{n.Number, Moment(n.Since), n.Kind, n.Name, n.Part, n.How, s.next(), s.canUntap(watched)}
}

func groupPicture(v *desk.View, k int) GroupPicture {
	s := v.Squeeze(k)
	g := GroupPicture{Who: v.Who(groupMover(k)), Active: s.Active, Known: s.Known}
	if s.Known {
		g.Source, g.Median, g.Low, g.High = s.Source, s.Median, s.Low, s.High
	}
	return g
}

// What a change since the mark is called. Common practice: a listener who is not told
// hears a change of music from about 1 dB on, and 3 dB, which is the sound power of twice
// as many players, is plainly louder.
const (
	heardChange = desk.DB(1)
	plainChange = desk.DB(3)
	mostOf      = 0.6 // the share of a change from which on one cause made most of it
)

// glance says what the change since the mark is, and what made it. In a sound check, and
// before there is a mark, it says what is being waited for.
func (p *Picture) glance() {
	switch {
	case p.Segment.Kind == desk.SoundCheck:
		p.Lead, p.Rest = Say("glance.sound-check"), Say("glance.sound-check-then")
		return
	case !p.Mark.Set && p.Basis == desk.NoBasis:
		p.Lead = Say("glance.closed")
		return
	case !p.Mark.Set:
		p.Lead = Say("glance.listening")
		return
	case p.Playing == 0:
		p.Lead = Say("glance.silent")
		return
	case p.Total == desk.Silence:
		p.Lead = Say("glance.shut")
		return
	}
	p.Causes = Say("glance.causes", splitFigures(p.Split)...)
	rise, s := p.Rise.Shown(), p.Split
	if rise.Abs() < heardChange {
		p.Lead = Say("glance.as-" + string(p.Mark.How))
		if least := min(s.Faders.Abs(), s.Stage.Abs()); least >= heardChange && (s.Faders > 0) != (s.Stage > 0) {
			p.Rest = Say("glance.stage-made-up")
			if s.Faders > 0 {
				p.Rest = Say("glance.faders-made-up")
			}
		}
		return
	}
	p.Lead = changed(rise)
	p.Rest = madeBy(p.Rise, s)
}

// changed is what a change that is heard is called.
func changed(rise desk.DB) Phrase {
	switch {
	case rise <= -plainChange:
		return Say("glance.quieter")
	case rise < 0:
		return Say("glance.little-quieter")
	case rise < plainChange:
		return Say("glance.little-louder")
	}
	return Say("glance.louder")
}

// madeBy names the cause of most of a change, if one made most of it.
func madeBy(rise desk.DB, s desk.Split) Phrase {
	most := func(cause desk.DB) bool { return cause/rise >= mostOf }
	switch {
	case most(s.Faders):
		return Say("glance.mostly-faders")
	case most(s.Stage):
		return Say("glance.mostly-stage")
	case most(s.Groups):
		return Say("glance.mostly-groups")
	case most(s.Main):
		return Say("glance.mostly-main")
	case most(s.Faders + s.Stage):
		return Say("glance.faders-and-stage")
	}
	return Say("glance.several")
}

// audible is the least change that one decimal shows.
const audible = desk.DB(0.05)

// splitFigures are the four causes of a change.
func splitFigures(s desk.Split) Figures {
	return Figures{DB("faders", s.Faders), DB("stage", s.Stage), DB("groups", s.Groups), DB("main", s.Main)}
}

// weigh takes the balance as it stands, and gives by cause what made it another than the
// mark's; zero without a mark.
func (j *Judge) weigh(v *desk.View) (split desk.Split) {
	v.Balance(&j.balance, j.limits.Mix.JudgeOver)
	if j.marked.Set {
		split = desk.Attribute(j.marked.Base, &j.balance)
	}
	return split
}

// keepSecond says where the mix stands, once in a whole second, and keeps the levels if
// they are asked for. There is nothing to say until there is a mark to measure from, or
// while the desk is away.
func (j *Judge) keepSecond() {
	switch {
	case j.beats%int(time.Second/desk.Beat) != 0:
		return
	case j.link.gone:
		if j.asked {
			j.levels = append(j.levels, Levels{T: Moment(j.at), Total: desk.Silence})
		}
		return
	case !j.marked.Set && !j.asked:
		return
	}
	v := j.mix.View()
	split := j.weigh(&v)
	if j.marked.Set {
		j.say(&Second{Playing: v.PlayingCount(), Total: j.balance.Total(), Rise: split.Total(), Split: split}, SecondEntry)
	}
	if j.asked {
		j.levels = append(j.levels, j.levelsOf(&v, split))
	}
}

// lastFindings are the findings as they were last said, by number, while they may
// still be on the screen.
type lastFindings map[int]*Finding

// lingers is how long the line about a finding that eased stays: long enough to be
// read at the next glance.
const lingers = 12 * time.Second

// keep notes what was said. Of what has eased only the newest is kept.
func (l lastFindings) keep(f *Finding) {
	if f.State == Eased {
		for number, old := range l {
			if old.State == Eased {
				delete(l, number)
			}
		}
	}
	l[f.Number] = f
}

// line is the whisper on the screen, or what has eased there just now.
func (j *Judge) line() *Finding {
	if f := j.last[j.screen.Line]; f != nil {
		return f
	}
	for _, f := range j.last {
		if f.State == Eased && f.Shown && j.at-time.Duration(f.T) < lingers {
			return f
		}
	}
	return nil
}
