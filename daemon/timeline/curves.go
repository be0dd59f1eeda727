package timeline

import (
	"math"
	"strconv"

	"pawl/daemon/store"
	"pawl/rules"
	"pawl/rules/desk"
)

// Curves are where the mix stood in a span of a service, in points of equal width: each
// is made of the seconds in it and stands for all of them. A point of which the record
// knows nothing, or in which nothing played, is null.
//
// Means are of decibels and not of powers, so that the four causes still add up to the
// rise.
type Curves struct {
	From rules.Moment `json:"from"` // where the first point begins
	Step rules.Moment `json:"step"` // the width of a point; never less than a second

	Total    Line `json:"total_dbfs"` // mean
	RiseLow  Line `json:"rise_low_db"`
	Rise     Line `json:"rise_db"` // mean of what the total stood above the mark
	RiseHigh Line `json:"rise_high_db"`
	Faders   Line `json:"faders_db"` // of the rise, likewise the next three
	Stage    Line `json:"stage_db"`
	Groups   Line `json:"groups_db"`
	Main     Line `json:"main_db"`

	Squeeze []SqueezeLines `json:"squeeze"` // in the order of Timeline.Groups
}

// SqueezeLines are how hard one group's compressor worked: the least of its 10th
// percentiles in each point, the mean of its medians, the most of its 90th. All three
// are upwards positive.
type SqueezeLines struct {
	Low    Line `json:"low_db"`
	Median Line `json:"median_db"`
	High   Line `json:"high_db"`
}

// Line is one value a point, to a hundredth. NaN leaves as null.
type Line []float64

// MarshalJSON writes each value with no more digits than it has; a list of two thousand
// by reflection takes five times as long.
func (l Line) MarshalJSON() ([]byte, error) {
	b := make([]byte, 0, 6*len(l)+2)
	b = append(b, '[')
	for i, v := range l {
		if i > 0 {
			b = append(b, ',')
		}
		if math.IsNaN(v) || math.IsInf(v, 0) {
			b = append(b, "null"...)
			continue
		}
		b = strconv.AppendFloat(b, math.Round(v*100)/100+0, 'f', -1, 64)
	}
	return append(b, ']'), nil
}

// second is where the mix stood at one second of the service.
type second struct {
	t       rules.Moment
	rise    float64 // NaN when nothing played, or there was no mark yet
	causes  [causes]float64
	total   float64
	squeeze []rules.GroupLevels // by Timeline.Groups; short or unknown where nothing is known
}

// causes are faders, stage, groups and main, in this order.
const causes = 4

// levels puts the seconds of a stretch into the curves. Before there is a mark they
// measure nothing, and say so by zeros: until one is set within the stretch, or figures
// show that one was set before it, there is no rise.
func (p *plot) levels(one *store.Stretch) {
	marked := rules.Moment(math.MaxInt64)
	for _, e := range one.Entries {
		if m, ok := e.(*rules.Marked); ok {
			marked = m.T
			break
		}
	}
	place := make([]int, len(one.Run.Strips.Groups))
	for k, name := range one.Run.Strips.Groups {
		place[k] = p.groups[name]
	}
	for _, l := range one.Levels {
		s := second{t: l.T + p.ahead, rise: math.NaN(), total: float64(l.Total), squeeze: make([]rules.GroupLevels, len(p.Groups))}
		if l.Split != (desk.Split{}) {
			marked = min(marked, l.T)
		}
		if l.T >= marked && l.Playing > 0 {
			s.rise = float64(l.Split.Total())
			s.causes = [causes]float64{float64(l.Split.Faders), float64(l.Split.Stage), float64(l.Split.Groups), float64(l.Split.Main)}
		}
		for k, g := range l.Groups {
			if k < len(place) {
				s.squeeze[place[k]] = g
			}
		}
		p.seconds = append(p.seconds, s)
	}
}

// MostPoints is how many points there can be: more than any screen is wide.
const MostPoints = 2000

// curves are those from one moment until another, in so many points. What asks for too
// many, or for a span that is none, gets what is nearest to it.
func (d *drawn) curves(from, until rules.Moment, points int) Curves {
	const second = rules.Moment(1e9)
	points = max(1, min(points, MostPoints))
	from = max(0, min(from, d.Length))
	until = max(from+second, min(until, d.Length))
	step := max(second, (until-from+rules.Moment(points)-1)/rules.Moment(points))
	// Whole steps from the service's beginning, so that the same seconds stay together
	// while the view moves, and a curve does not tremble.
	step = (step + second - 1) / second * second
	from = from / step * step
	n := int((until - from + step - 1) / step)
	c := newCurves(n, len(d.Groups))
	c.From, c.Step = from, step
	first := d.at(from)
	for i := range n {
		end := from + rules.Moment(i+1)*step
		last := first
		for last < len(d.seconds) && d.seconds[last].t < end {
			last++
		}
		c.point(i, d.seconds[first:last])
		first = last
	}
	return c
}

// at is the place of the first second that is not before t.
func (d *drawn) at(t rules.Moment) int {
	lo, hi := 0, len(d.seconds)
	for lo < hi {
		if mid := (lo + hi) / 2; d.seconds[mid].t < t {
			lo = mid + 1
		} else {
			hi = mid
		}
	}
	return lo
}

func newCurves(n, groups int) Curves {
	line := func() Line {
		l := make(Line, n)
		for i := range l {
			l[i] = math.NaN()
		}
		return l
	}
	c := Curves{Total: line(), RiseLow: line(), Rise: line(), RiseHigh: line(), Faders: line(), Stage: line(), Groups: line(), Main: line(),
		Squeeze: make([]SqueezeLines, groups)}
	for k := range c.Squeeze {
		c.Squeeze[k] = SqueezeLines{line(), line(), line()}
	}
	return c
}

// point makes one point of its seconds.
func (c *Curves) point(i int, of []second) {
	var rise, total mean
	var parts [causes]mean
	for _, s := range of {
		total.add(s.total)
		if math.IsNaN(s.rise) || math.IsInf(s.rise, 0) {
			continue
		}
		rise.add(s.rise)
		for k, v := range s.causes {
			parts[k].add(v)
		}
		c.RiseLow[i] = least(c.RiseLow[i], s.rise)
		c.RiseHigh[i] = most(c.RiseHigh[i], s.rise)
	}
	c.Rise[i], c.Total[i] = rise.value(), total.value()
	c.Faders[i], c.Stage[i], c.Groups[i], c.Main[i] = parts[0].value(), parts[1].value(), parts[2].value(), parts[3].value()
	for k := range c.Squeeze {
		c.Squeeze[k].point(i, k, of)
	}
}

func (l *SqueezeLines) point(i, group int, of []second) {
	var median mean
	for _, s := range of {
		if group >= len(s.squeeze) || !s.squeeze[group].Known {
			continue
		}
		g := s.squeeze[group]
		median.add(float64(g.Median))
		l.Low[i] = least(l.Low[i], float64(g.Low))
		l.High[i] = most(l.High[i], float64(g.High))
	}
	l.Median[i] = median.value()
}

// mean is of what was added that is a number; NaN of nothing.
type mean struct {
	sum float64
	n   int
}

func (m *mean) add(v float64) {
	if !math.IsInf(v, 0) && !math.IsNaN(v) {
		m.sum, m.n = m.sum+v, m.n+1
	}
}

func (m *mean) value() float64 { return m.sum / float64(m.n) }

// least and most take a NaN for no value yet.
func least(a, b float64) float64 {
	if math.IsNaN(a) || b < a {
		return b
	}
	return a
}

func most(a, b float64) float64 { return -least(-a, -b) }
