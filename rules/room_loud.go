package rules

import (
	"fmt"
	"math"
	"time"

	"pawl/rules/desk"
)

// roomLoud watches what ears in the room have had: LAeq of the last fifteen minutes
// against the house's limit, and the dose of a day. It speaks only where a measuring
// microphone is mapped and the house file says how it was calibrated, and never without
// saying that it is no legal measurement.
//
// The limit is that of the WHO's global standard for safe listening venues and events,
// 2022; the dose that of NIOSH 98-126, and beside it the week of ITU-T H.870.
type roomLoud struct {
	limits RoomLoudLimits

	begun   bool
	second  time.Duration // as watched, when the last was taken
	quarter quarter
	laeq    desk.SPL // of it
	day     exposure
	dayAt   time.Duration // when it began
	near    lasting
	full    lasting // the dose is
	fullAt  time.Duration

	view    *desk.View  // that is judged
	sayNear func() Said // made once, since they may be wanted at every beat
	sayFull func() Said
}

// RoomLoudLimits say what a room may have.
type RoomLoudLimits struct {
	Calibrated string   `yaml:"calibrated" doc:"how room.level was compared with a calibrated meter, in the house's own words, such as: beside a class 2 meter, 3 March; without it the rule is silent" from:"the house's own"`
	Offset     desk.DB  `yaml:"offset" doc:"what is added to room.level to make dB(A)" from:"the house's own"`
	Limit      desk.SPL `yaml:"limit" doc:"LAeq over 15 min for a nudge" from:"WHO global standard for safe listening venues and events, 2022"`
	Near       desk.DB  `yaml:"near" doc:"this much below it is a whisper" from:"ours"`
	Day        desk.SPL `yaml:"day" doc:"the level that may stand for 8 h of a day, 3 dB more for half as long; a day's dose is a whisper" from:"NIOSH 98-126"`
	Grew       desk.DB  `yaml:"grew" doc:"said again when it has grown by this" from:"ours"`
}

func defaultRoomLoudLimits() RoomLoudLimits {
	return RoomLoudLimits{Limit: 100, Near: 2, Day: 85, Grew: 3}
}

// Check finds limits that make no sense.
func (l RoomLoudLimits) Check() (wrong []desk.WrongLimit) {
	for _, c := range []struct {
		name  string
		found desk.SPL
	}{{"limit", l.Limit}, {"day", l.Day}} {
		if c.found < 60 || c.found > 115 {
			wrong = append(wrong, desk.WrongLimit{Name: c.name, Text: fmt.Sprintf("found %v; want one between 60 and 115 dB(A)", c.found)})
		}
	}
	if l.Offset.Abs() > 200 {
		wrong = append(wrong, desk.WrongLimit{Name: "offset", Text: fmt.Sprintf("found %v; want one within 200 dB", l.Offset)})
	}
	return wrong
}

var roomLoudKind = Kind{
	Name:    "room-loud",
	Summary: "the room near its own limit, or at a day's dose; no legal measurement",
	Needs:   []desk.Signal{desk.RoomLevel},
	Seldom:  true,
	In:      desk.SegmentKinds, // whoever is at a sound check has ears too
	Says: []string{"room-loud.near", "room-loud.passed", "room-loud.dose", "room-loud.caution", "room-loud.try-lower", "room-loud.try-stay",
		"room-loud.try-rest", "room-loud.eased", "room-loud.calibrated", "room-loud.heard", "room-loud.day"},
	Grew: func(l Limits) desk.DB { return l.RoomLoud.Grew },
	New: func(l Limits) Rule {
		r := &roomLoud{limits: l.RoomLoud, laeq: desk.SPL(math.Inf(-1))}
		r.sayNear = func() Said { return r.said(r.view, r.laeq) }
		r.sayFull = func() Said {
			return Said{What: []Phrase{r.dose(r.view), caution()}, Try: Say("room-loud.try-rest"), Facts: r.facts(r.view)}
		}
		return r
	},
}

// The claims of the rule.
const (
	roomNear = iota
	roomDose
)

// room is whom it is about: the whole, as it leaves the desk.
var room = []desk.Mover{desk.Main}

// told is how long the dose stays said: it does not go down again.
const told = 10 * time.Minute

// Judge implements Rule, once a second.
func (r *roomLoud) Judge(v *desk.View, claim func(Claim)) {
	level, heard := v.RoomLevel(time.Second)
	if !heard || r.limits.Calibrated == "" {
		return
	}
	if !r.begun || v.At-r.dayAt >= 24*time.Hour {
		r.begun, r.day, r.dayAt, r.full = true, exposure{}, v.At, lasting{}
		r.second = v.Watched
	}
	if v.Watched-r.second >= time.Second { // it stands while the desk is away
		r.second = v.Watched
		now := desk.SPL(level) + desk.SPL(r.limits.Offset)
		r.quarter.add(now)
		r.laeq = r.quarter.level(len(r.quarter.energy))
		r.day.add(now, time.Second, r.limits.Day)
	}
	r.view = v
	r.judgeQuarter(v, claim)
	r.judgeDose(v, claim)
}

func (r *roomLoud) judgeQuarter(v *desk.View, claim func(Claim)) {
	above := desk.DB(r.laeq-r.limits.Limit) + r.limits.Near
	was := r.near.on
	switch on := r.near.over(v.Watched, above, 0, -1, 0, 0); {
	case on:
		weight := Whisper
		if r.laeq >= r.limits.Limit {
			weight = Nudge
		}
		claim(Claim{Key: roomNear, About: room, Weight: weight, Size: above, Say: r.sayNear})
	case was:
		claim(Claim{Key: roomNear, Eased: true, Say: func() Said { return Said{What: []Phrase{Say("room-loud.eased", r.figures(r.laeq)...), caution()}} }})
	}
}

func (r *roomLoud) judgeDose(v *desk.View, claim func(Claim)) {
	was := r.full.on
	if !r.full.holds(v.Watched, r.day.dose >= 1, 0, 0) {
		return
	}
	if !was {
		r.fullAt = v.Watched
	}
	if v.Watched-r.fullAt < told {
		claim(Claim{Key: roomDose, About: room, Weight: Whisper, Say: r.sayFull})
	}
}
