package review

import (
	"math"
	"slices"
	"time"

	"pawl/rules"
	"pawl/rules/desk"
)

// groups says how each group's compressor worked while the group played music, in order
// of the roster. A group goes by its name: a house file that was read again may have it
// at another place.
func (c *course) groups() []Group {
	all := []Group{}
	var tallies []*tally
	place := map[string]int{}
	for k := range c.Stretches {
		s := &c.Stretches[k]
		for g, name := range s.Run.Strips.Groups {
			if _, ok := place[name]; !ok {
				place[name] = len(all)
				who := c.Speaker.Label(desk.Who{Strip: desk.StripGroup, Index: g, Name: name})
				all, tallies = append(all, Group{Who: who}), append(tallies, &tally{})
			}
		}
		for i := range s.Levels {
			l := &s.Levels[i]
			t := c.since(k, l.T)
			if !c.music(t) {
				continue
			}
			for g := range min(len(l.Groups), len(s.Run.Strips.Groups)) {
				if l.Groups[g].Known && c.sounds(k, g, l) {
					tallies[place[s.Run.Strips.Groups[g]]].add(l.Groups[g].Median, t, c.by[k].Window)
				}
			}
		}
	}
	for i, t := range tallies {
		t.fill(&all[i], c)
	}
	return slices.DeleteFunc(all, func(g Group) bool { return g.Played == 0 })
}

// sounds reports whether something plays into a group.
func (c *course) sounds(stretch, group int, l *rules.Levels) bool {
	inputs := c.strips(stretch).Inputs
	for i := range min(len(inputs), len(l.Inputs)) {
		if slices.Contains(inputs[i].Groups, group) && c.plays(stretch, &inputs[i], &l.Inputs[i]) {
			return true
		}
	}
	return false
}

// tally counts the seconds of a group by reduction, in steps of a tenth of a decibel,
// as fine as a quantile of the judge's is.
type tally struct {
	steps           [601]int
	n               int
	below, in, over int
	worst           desk.DB
	at              rules.Moment
}

func (y *tally) add(median desk.DB, t rules.Moment, w Window) {
	y.steps[int(math.Round(float64(max(0, min(median, 60)))*10))]++
	switch shown := median.Shown(); {
	case shown < w.Low:
		y.below++
	case shown > w.High:
		y.over++
	default:
		y.in++
	}
	if y.n == 0 || median > y.worst {
		y.worst, y.at = median, t
	}
	y.n++
}

func (y *tally) fill(g *Group, c *course) {
	if y.n == 0 {
		return
	}
	n := float64(y.n)
	g.Played = rules.Moment(y.n) * rules.Moment(time.Second)
	g.Below, g.In, g.Over = float64(y.below)/n, float64(y.in)/n, float64(y.over)/n
	g.Worst, g.At = y.worst, c.whenever(&y.at)
	past := 0
	for step, count := range y.steps {
		if past += count; 2*past >= y.n {
			g.Median = desk.DB(step) / 10
			return
		}
	}
}
