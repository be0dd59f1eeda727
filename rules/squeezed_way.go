package rules

import (
	"math"

	"pawl/rules/desk"
)

// wayOut is lower inputs where the faders brought it about, and a higher threshold
// where they did not.
func (c *squeezeCause) wayOut() (try, then Phrase) {
	curve, mapped := c.Curve(c.group.Index)
	at, turns := curve.In(c.squeeze.Median)
	wanted, _ := curve.In(c.limits.Target)
	mapped = mapped && turns
	if c.byHand() {
		need := c.faders
		if mapped {
			need = min(need, desk.DB(at-wanted))
		}
		if whom, by := c.lower(need); len(whom) > 0 {
			try = Say("squeezed-group.try-inputs", DB("by", by)).Naming("who", cast(c.View, whom)...)
			if mapped {
				then = Say("squeezed-group.left", DB("left", curve.Reduction(at-desk.DBFS(c.spares(whom, by)))))
			}
			return try, then
		}
	}
	group := c.Who(c.group)
	if !mapped {
		return Say("squeezed-group.try-look", DB("target", c.limits.Target)).Naming("who", group), Phrase{}
	}
	by := halves(desk.DB(at - wanted))
	left := curve.Reduction(at - desk.DBFS(by))
	try = Say("squeezed-group.try-threshold", DB("by", by), Level("to", curve.Threshold+desk.DBFS(by))).Naming("who", group)
	return try, Say("squeezed-group.louder", DB("left", left), DB("louder", c.squeeze.Median-left))
}

// lower is whom to bring down and by how much, to send about so much less: one DCA that
// moves what went up and little else, or else at most three of those that went up. None
// is led below where it was, nor by more than a hand should go at once.
func (c *squeezeCause) lower(need desk.DB) (whom []desk.Mover, by desk.DB) {
	need = min(need, mostSpared)
	if d, ok := c.dca(); ok {
		return []desk.Mover{d}, halves(need)
	}
	for _, m := range c.ups[:min(len(c.ups), mostTrims)] {
		if rise := c.rise(m); rise < begins { // one that was brought in is no raise
			whom, need = append(whom, m), min(need, rise)
		}
	}
	return whom, halves(need)
}

const mostSpared = desk.DB(6) // at a time, and then listen again

// halves rounds to what a hand can set, and to no less than half a dB.
func halves(by desk.DB) desk.DB { return max(desk.DB(math.Round(float64(by)*2))/2, trimStep) }

// dca is the one that moves at least four fifths of what was added, and of which no
// more than a fifth goes elsewhere.
func (c *squeezeCause) dca() (best desk.Mover, ok bool) {
	var all, most desk.Power
	for _, m := range c.ups {
		all += c.adds(m)
	}
	for k := range c.DCAs() {
		d := dcaMover(k)
		var mine, own, power desk.Power
		for _, m := range c.ups {
			if m == d || m.Strip == desk.StripInput && c.Drives(d, m.Index) {
				mine += c.adds(m)
			}
		}
		for i := range c.Inputs() {
			if c.Playing(i) && c.Drives(d, i) {
				power += c.now.Share(i)
				if c.Drives(c.group, i) {
					own += c.now.Share(i)
				}
			}
		}
		if mine >= covers*all && own >= (1-littleElse)*power && mine > most {
			best, most, ok = d, mine, true
		}
	}
	return best, ok
}

// spares is how much less goes into the group with these brought down.
func (c *squeezeCause) spares(whom []desk.Mover, by desk.DB) desk.DB {
	var then desk.Balance
	then.CopyFrom(c.now)
	for _, m := range whom {
		then.SetFader(m, then.Fader(m)-by)
	}
	return c.now.Into(c.group.Index).Level().Above(then.Into(c.group.Index).Level())
}
