package rules

import (
	"math"
	"time"

	"pawl/rules/desk"
)

// caution stands in whatever the rule says.
func caution() Phrase { return Say("room-loud.caution") }

func (r *roomLoud) figures(laeq desk.SPL) Figures {
	return Figures{DB("laeq", desk.DB(laeq)), DB("limit", desk.DB(r.limits.Limit))}
}

// said is what the last fifteen minutes were, and how far down from here is far enough.
func (r *roomLoud) said(v *desk.View, laeq desk.SPL) Said {
	s := Said{Figures: r.figures(laeq), Facts: r.facts(v)}
	id := "room-loud.near"
	if laeq >= r.limits.Limit {
		id = "room-loud.passed"
	}
	s.What = []Phrase{Say(id, s.Figures...), caution()}
	now := r.quarter.level(min(r.quarter.heard, 60))
	by := desk.DB(now-r.limits.Limit) + r.limits.Near
	s.Try = Say("room-loud.try-stay", DB("now", desk.DB(now)))
	if by.Reaches(trimStep) {
		s.Try = Say("room-loud.try-lower", DB("now", desk.DB(now)), DB("by", upToHalf(by)))
	}
	return s
}

// facts are how the level was made, how much of the time was heard, and the day so far.
func (r *roomLoud) facts(v *desk.View) []Fact {
	return []Fact{
		fact(v, Say("room-loud.calibrated", DB("offset", r.limits.Offset)).Quoting("how", r.limits.Calibrated)),
		fact(v, Say("room-loud.heard", Time("heard", time.Duration(r.quarter.heard)*time.Second), Time("over", quarterHour))),
		fact(v, Say("room-loud.day", DB("day", desk.DB(r.limits.Day)), Time("since", v.At-r.dayAt),
			percent("dose", r.day.dose), percent("week", r.day.pascals()/aWeek))),
	}
}

func (r *roomLoud) dose(v *desk.View) Phrase {
	return Say("room-loud.dose", Time("since", v.At-r.dayAt), percent("dose", r.day.dose), DB("day", desk.DB(r.limits.Day)))
}

// percent is a share as a whole number of hundredths.
func percent(name string, share float64) Figure { return Number(name, int(math.Round(100*share))) }
