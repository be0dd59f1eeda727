package rules

import (
	"cmp"
	"slices"
	"time"

	"pawl/rules/desk"
)

var squeezedGroupPhrases = []string{
	"squeezed-group.holds", "squeezed-group.gentle", "squeezed-group.never", "squeezed-group.accents", "squeezed-group.hand", "squeezed-group.stage", "squeezed-group.setting", "squeezed-group.unmetered", "squeezed-group.always",
	"squeezed-group.try-inputs", "squeezed-group.try-threshold", "squeezed-group.try-look", "squeezed-group.left", "squeezed-group.louder",
	"squeezed-group.eased", "squeezed-group.reported", "squeezed-group.measured", "squeezed-group.computed", "squeezed-group.spread",
	"squeezed-group.curve", "squeezed-group.member", "squeezed-group.began", "squeezed-group.drive",
}

// squeezeCause is why a group is squeezed: what its members send more than when its
// reduction was last in range, and by whose doing.
type squeezeCause struct {
	*desk.View
	limits  SqueezedGroupLimits
	group   desk.Mover
	squeeze desk.Squeeze
	over    time.Duration // by these settings it has been so for as long
	never   bool          // it is known never to let go
	past    *rangedMix    // nil if it never was in range
	now     *desk.Balance

	faders, stage desk.DB      // of what is sent more
	partly        bool         // somebody in it has no meter: what the stage sends is not known
	ups           []desk.Mover // inputs and DCAs that went up, those that add most first
}

// cause looks for it. What it gives is good until the view is.
func (r *squeezedGroup) cause(v *desk.View, k int, s desk.Squeeze) *squeezeCause {
	v.Balance(&r.now, r.over)
	c := &squeezeCause{
		View: v, limits: r.limits, group: groupMover(k), squeeze: s, over: r.judgedOver(k, s), never: r.never(k, s),
		past: r.groups[k].past.last(), now: &r.now,
	}
	if c.past == nil {
		return c
	}
	then, held, now := c.past.mix.Into(k), c.now.IntoAt(k, &c.past.mix), c.now.Into(k)
	if then <= 0 || held <= 0 || now <= 0 { // of nothing there is no comparing
		c.past = nil
		return c
	}
	c.faders, c.stage = now.Level().Above(held.Level()), held.Level().Above(then.Level())
	for i := range v.Inputs() {
		c.partly = c.partly || v.Drives(c.group, i) && v.Playing(i) && v.Unmetered(i)
	}
	if c.partly {
		c.stage = 0
	}
	c.findUps()
	return c
}

func (c *squeezeCause) findUps() {
	add := func(m desk.Mover) {
		if c.rise(m).Reaches(c.limits.Up) && c.adds(m) > 0 {
			c.ups = append(c.ups, m)
		}
	}
	for d := range c.DCAs() {
		add(dcaMover(d))
	}
	for i := range c.Inputs() {
		if m := (inputMover(i)); c.Playing(i) && c.Drives(c.group, i) {
			add(m)
		}
	}
	slices.SortStableFunc(c.ups, func(a, b desk.Mover) int { return cmp.Compare(c.adds(b), c.adds(a)) })
}

// rise is how far a fader went up since.
func (c *squeezeCause) rise(m desk.Mover) desk.DB { return c.now.Fader(m).Above(c.past.mix.Fader(m)) }

// adds is what the group would be spared, in power, if a fader had not gone up.
func (c *squeezeCause) adds(m desk.Mover) desk.Power {
	var without desk.Balance
	without.CopyFrom(c.now)
	without.SetFader(m, c.past.mix.Fader(m))
	return c.now.Into(c.group.Index) - without.Into(c.group.Index)
}

// byHand reports whether the faders are what can be put back.
func (c *squeezeCause) byHand() bool { return c.faders.Reaches(c.limits.Up) && len(c.ups) > 0 }

// byStage reports whether it is the players who lean in, or may be.
func (c *squeezeCause) byStage() bool {
	return c.past != nil && !c.byHand() && (c.partly || c.stage.Reaches(c.limits.Up))
}

func (c *squeezeCause) said() Said {
	who := c.Who(c.group)
	s := Said{Figures: Figures{DB("median", c.squeeze.Median), DB("least", c.squeeze.Least), DB("faders", c.faders), DB("stage", c.stage)}}
	if isGentle(c.View, c.group.Index) {
		s.What = []Phrase{
			Say("squeezed-group.gentle", DB("median", c.squeeze.Mid), Time("over", desk.Minute)).Naming("who", who),
			Say("squeezed-group.never", DB("least", c.squeeze.Low)),
		}
	} else {
		s.What = []Phrase{Say("squeezed-group.holds", DB("median", c.squeeze.Median), Time("over", c.over), DB("most", c.limits.Whisper)).Naming("who", who)}
		if c.never {
			s.What = append(s.What, Say("squeezed-group.never", DB("least", c.squeeze.Least)), Say("squeezed-group.accents"))
		}
	}
	s.What = append(s.What, c.why())
	s.Try, s.Then = c.wayOut()
	s.Facts = c.facts()
	return s
}

// why is what changed since.
func (c *squeezeCause) why() Phrase {
	if c.past == nil {
		return Say("squeezed-group.always")
	}
	figures := Figures{DB("was", c.past.median), DB("faders", c.faders), DB("stage", c.stage), Time("since", c.At-c.past.at)}
	switch {
	case c.byHand():
		return Say("squeezed-group.hand", figures...).Naming("who", cast(c.View, c.ups)...)
	case c.stage.Reaches(c.limits.Up):
		return Say("squeezed-group.stage", figures...)
	case c.partly:
		return Say("squeezed-group.unmetered", figures...)
	}
	return Say("squeezed-group.setting", figures...)
}

// facts are how it is known, how it is spread, who went up, and the drive if there is one.
func (c *squeezeCause) facts() []Fact {
	out := []Fact{
		factOf(c.View, c.group, Say("squeezed-group."+string(c.squeeze.Source))),
		fact(c.View, Say("squeezed-group.spread", DB("low", c.squeeze.Low), DB("high", c.squeeze.High))),
	}
	if curve, ok := c.Curve(c.group.Index); ok {
		out = append(out, fact(c.View, Say("squeezed-group.curve", Level("threshold", curve.Threshold), DB("ratio", desk.DB(curve.Ratio)))))
	}
	if c.past == nil {
		return out
	}
	for i := range c.Inputs() {
		if m := (inputMover(i)); c.Playing(i) && c.Drives(c.group, i) {
			out = c.member(out, m)
		}
	}
	down := -c.rise(c.group)
	if c.faders.Reaches(c.limits.Up) && down.Reaches(c.limits.Up) && c.limits.Up.Reaches((c.faders - down).Abs()) {
		out = append(out, factOf(c.View, c.group, Say("squeezed-group.drive",
			DB("up", c.faders), DB("down", down), DB("more", c.squeeze.Median-c.past.median))))
	}
	return out
}

// member adds what one member sends more, if it does.
func (c *squeezeCause) member(out []Fact, m desk.Mover) []Fact {
	fader := c.now.Gain(m.Index).Above(c.past.mix.Gain(m.Index))
	stage := c.now.Stage(m.Index).Level().Above(c.past.mix.Stage(m.Index).Level())
	if c.Unmetered(m.Index) {
		stage = 0
	}
	switch {
	case fader > begins || stage > begins:
		return append(out, factOf(c.View, m, Say("squeezed-group.began")))
	case fader.Reaches(c.limits.Up) || stage.Reaches(c.limits.Up):
		return append(out, factOf(c.View, m, Say("squeezed-group.member", DB("fader", fader), DB("stage", stage))))
	}
	return out
}

// begins is more than anybody rises by: it was closed or did not play before.
const begins = desk.DB(20)
