package rules

import (
	"slices"
	"time"

	"pawl/rules/desk"
)

// soloRaise finds a fader that was raised while somebody listened to something alone:
// what was heard was not the mix, and the mix is what the room hears.
//
// That a level is judged in the mix and not in solo is common practice; the limits
// are ours.
type soloRaise struct {
	limits SoloRaiseLimits
	on     bool
	since  time.Duration // when a solo went on
	until  time.Duration // when one was last on
	soloed []desk.Mover  // those that then were
	raised []soloRaised
}

// soloRaised is a raise that was made in solo, until it has been heard in the mix.
type soloRaised struct {
	move    desk.Move
	soloed  []desk.Mover
	said    bool
	grown   bool          // since it was said
	since   time.Duration // as watched, when it was made
	heard   time.Duration // as watched, how long the mix was listened to since
	watched time.Duration // when that was last counted
}

var soloRaiseKind = Kind{
	Name:    "solo-raise",
	Summary: "a fader was raised while something was listened to in solo",
	Needs:   []desk.Signal{desk.InputFader, desk.InputSolo},
	Helped:  []desk.Signal{desk.InputLevel, desk.DCAFader, desk.GroupFader},
	Says:    []string{"solo-raise.went", "solo-raise.try", "solo-raise.try-again", "solo-raise.then", "solo-raise.soloed"},
	In:      []desk.SegmentKind{desk.Music},
	New:     func(l Limits) Rule { return &soloRaise{limits: l.SoloRaise} },
}

// SoloRaiseLimits say when a raise in solo is worth a word.
type SoloRaiseLimits struct {
	Raise desk.DB       `yaml:"raise" doc:"a raise of this much" from:"ours: what is plain to hear in a mix"`
	Alone time.Duration `yaml:"alone" doc:"said once the solo is off, or has stayed on this long after it" from:"ours: whoever still listens alone may not have done yet"`
	Ends  time.Duration `yaml:"ends" doc:"it is over once the mix was listened to for this long" from:"ours"`
}

func defaultSoloRaiseLimits() SoloRaiseLimits {
	return SoloRaiseLimits{Raise: 2, Alone: 5 * time.Second, Ends: 10 * time.Second}
}

// Judge implements Rule: a claim for each mover that was raised in solo.
func (r *soloRaise) Judge(v *desk.View, claim func(Claim)) {
	r.listen(v)
	for _, m := range v.Moves {
		r.take(v, m)
	}
	r.raised = slices.DeleteFunc(r.raised, func(s soloRaised) bool { return s.heard >= r.limits.Ends })
	for i := range r.raised {
		s := &r.raised[i]
		if !r.on {
			s.heard += v.Watched - s.watched
		}
		s.watched = v.Watched
		c := Claim{Key: r.key(v, s.move.Mover)}
		if !s.said && r.on && v.Watched-s.since < r.limits.Alone {
			continue // the hand may not have done yet
		}
		if !s.said || s.grown {
			c.Anew, s.said, s.grown = s.said, true, false
			c.About, c.Weight, c.Size = []desk.Mover{s.move.Mover}, Whisper, s.move.Net()
			c.Say = func() Said { return r.say(v, s) }
		}
		claim(c)
	}
}

// listen takes what is soloed now.
func (r *soloRaise) listen(v *desk.View) {
	was := r.on
	r.on = false
	for i := range v.Inputs() {
		if on, ok := v.Latest(desk.InputSolo, i); !ok || on == 0 {
			continue
		}
		if !r.on {
			r.soloed = r.soloed[:0]
		}
		r.on, r.until = true, v.At
		r.soloed = append(r.soloed, inputMover(i))
	}
	if r.on && !was {
		r.since = v.At
	}
}

// take enters a raise that was made while a solo was on, and forgets one that was
// taken back or overtaken. What is put right by a little in the same solo, as where a fader
// of coarse steps is led a step too far, was not heard in the mix either.
func (r *soloRaise) take(v *desk.View, m desk.Move) {
	if m.Kind == desk.Scene || m.Kind == desk.Reroute {
		r.raised = r.raised[:0]
		return
	}
	solo := r.since < m.End && r.until > m.Start
	if m.Kind == desk.Raise && !solo {
		return // it was made by ear, in the mix
	}
	if solo && r.goesOn(m) {
		return
	}
	r.raised = slices.DeleteFunc(r.raised, func(s soloRaised) bool { return s.move.Mover == m.Mover })
	if m.Kind == desk.Raise && m.Net().Reaches(r.limits.Raise) && v.Active(m.Mover) && playsBeside(v, m.Mover) {
		r.raised = append(r.raised, soloRaised{move: m, soloed: slices.Clone(r.soloed), since: v.Watched, watched: v.Watched})
	}
}

// playsBeside reports whether anybody else plays: one instrument and a bass are a mix too, in which
// a raise by ear alone is found too loud.
func playsBeside(v *desk.View, m desk.Mover) bool {
	for i := range v.Inputs() {
		if v.Playing(i) && !v.Unknown(i) && !v.Overhears(i) && !v.Drives(m, i) {
			return true
		}
	}
	return false
}

// goesOn follows a raise whose fader was moved again in the same solo, and reports whether it is
// still one: several are heard as one when the solo is off.
func (r *soloRaise) goesOn(m desk.Move) bool {
	i := slices.IndexFunc(r.raised, func(s soloRaised) bool { return s.move.Mover == m.Mover && s.move.End > r.since })
	if i < 0 || m.Kind != desk.Raise && m.Kind != desk.Lower || !m.To.Above(r.raised[i].move.From).Reaches(r.limits.Raise) {
		return false
	}
	s := &r.raised[i]
	s.move.To, s.move.End, s.grown = m.To, m.End, s.said
	return true
}

func (r *soloRaise) key(v *desk.View, m desk.Mover) int {
	return int(m.Strip)*(v.Inputs()+v.DCAs()+v.Groups()+1) + m.Index
}

func (r *soloRaise) say(v *desk.View, s *soloRaised) Said {
	who := v.Who(s.move.Mover)
	out := Said{
		Figures: Figures{DB("by", s.move.Net())},
		What:    []Phrase{Say("solo-raise.went", DB("by", s.move.Net())).Naming("who", who).Naming("soloed", cast(v, s.soloed)...)},
		Try:     Say("solo-raise.try-again").Naming("who", who),
		Then:    Say("solo-raise.then", DB("from", s.move.From)).Naming("who", who),
		Facts:   []Fact{moveFact(v, s.move)},
	}
	if r.on {
		out.Try = Say("solo-raise.try").Naming("who", who)
	}
	for _, m := range s.soloed {
		out.Facts = append(out.Facts, factOf(v, m, Say("solo-raise.soloed")))
	}
	return out
}
