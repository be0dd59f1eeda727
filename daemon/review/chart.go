package review

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"pawl/rules"
	"pawl/rules/desk"
)

// chart is a picture of a service over its time, in the coordinates of an SVG. Nothing in
// it is told by colour alone: areas, lines and dashes have words in the legend.
type chart struct {
	Title         string // in words, for who cannot see it
	Width, Height float64
	Left, Right   float64 // of the plot
	Top, Bottom   float64
	X, Y          []tick
	Zero          float64
	Cut           bool    // some of it lies lower than the scale, and is drawn at its edge
	Bands         []strip // what is well
	Areas         []drawn
	Lines         []drawn
	Parts         []band // of the service, under the plot
	Marks         []tick // findings, above it
}

type tick struct {
	At   float64
	Text string
}

type band struct {
	From, Size float64
	Class      string
	Text       string
}

// strip is a range of values over a time.
type strip struct{ X, Width, From, Size float64 }

type drawn struct{ Class, Path string }

const (
	chartWidth  = 1000
	splitHeight = 300
	plotLeft    = 64
	plotRight   = 988
	mostBins    = 460 // a bin is about two units wide
)

// frame is a chart of the course without its curves.
func (c *course) frame(height float64, least, most float64, step float64) *chart {
	g := &chart{Width: chartWidth, Height: height, Left: plotLeft, Right: plotRight, Top: 14, Bottom: height - 34}
	for v := least; v <= most+step/2; v += step {
		g.Y = append(g.Y, tick{g.y(v, least, most), strings.Replace(fmt.Sprintf("%.0f", v), "-", "−", 1)})
	}
	g.Zero = g.y(0, least, most)
	every := tickEvery(time.Duration(c.length))
	first := c.Service.Began.In(c.Zone).Truncate(every)
	for i := range 13 {
		at := first.Add(time.Duration(i) * every)
		if t := rules.Moment(at.Sub(c.Service.Began)); t >= 0 && t <= c.length {
			g.X = append(g.X, tick{c.x(t), at.Format("15:04")})
		}
	}
	return g
}

// tickEvery is the time between ticks, so that there are at most ten.
func tickEvery(length time.Duration) time.Duration {
	for _, every := range []time.Duration{time.Minute, 2 * time.Minute, 5 * time.Minute, 10 * time.Minute, 15 * time.Minute, 30 * time.Minute, time.Hour, 2 * time.Hour, 6 * time.Hour} {
		if length/every <= 10 {
			return every
		}
	}
	return 24 * time.Hour * time.Duration(1+length/(240*time.Hour))
}

func (g *chart) y(v, least, most float64) float64 {
	v = max(least, min(v, most))
	return math.Round(10*(g.Bottom-(g.Bottom-g.Top)*(v-least)/(most-least))) / 10
}

func (c *course) x(t rules.Moment) float64 {
	share := float64(t) / math.Max(float64(c.length), 1)
	return math.Round(10*(plotLeft+(plotRight-plotLeft)*max(0, min(share, 1)))) / 10
}

// bins are means of values over equal spans of the service. A bin of which there is
// nothing is a gap in a curve.
type bins struct {
	sums [][]float64
	n    []int
	span rules.Moment
}

func (c *course) newBins(values int) *bins {
	b := &bins{span: max(c.length/mostBins, rules.Moment(2*time.Second))}
	count := int(c.length/b.span) + 1
	b.n = make([]int, count)
	for range values {
		b.sums = append(b.sums, make([]float64, count))
	}
	return b
}

func (b *bins) add(t rules.Moment, values ...float64) {
	i := int(t / b.span)
	if t < 0 || i >= len(b.n) {
		return
	}
	for _, v := range values {
		if math.IsInf(v, 0) || math.IsNaN(v) {
			return
		}
	}
	for k, v := range values {
		b.sums[k][i] += v
	}
	b.n[i]++
}

// runs calls f with each stretch of bins without a gap, from and until, not itself in it.
func (b *bins) runs(f func(from, until int)) {
	for i := 0; i < len(b.n); i++ {
		from := i
		for i < len(b.n) && b.n[i] > 0 {
			i++
		}
		if i > from {
			f(from, i)
		}
	}
}

func (b *bins) mean(k, i int) float64 { return b.sums[k][i] / float64(b.n[i]) }

// extent is the least and the most of all values, at least so far.
func (b *bins) extent(least, most float64) (float64, float64) {
	for i := range b.n {
		for k := range b.sums {
			if b.n[i] > 0 {
				least, most = min(least, b.mean(k, i)), max(most, b.mean(k, i))
			}
		}
	}
	return least, most
}

// seldom is the share of the bins whose depth makes no room in a chart: where somebody
// begins alone after a pause, the whole lies far below what all play.
const seldom = 0.04

// low is the least of all values, but for those of that share of the bins.
func (b *bins) low(but float64) float64 {
	var all []float64
	for i := range b.n {
		if b.n[i] == 0 {
			continue
		}
		lowest := b.mean(0, i)
		for k := range b.sums {
			lowest = min(lowest, b.mean(k, i))
		}
		all = append(all, lowest)
	}
	slices.Sort(all)
	if len(all) == 0 {
		return 0
	}
	return all[int(but*float64(len(all)-1))]
}

// line draws value k; area draws what is between values k and l, or between k and zero
// for l below 0.
func (b *bins) line(c *course, k int, y func(float64) float64) string {
	var path strings.Builder
	b.runs(func(from, until int) {
		for i := from; i < until; i++ {
			verb := "L"
			if i == from {
				verb = "M"
			}
			fmt.Fprintf(&path, "%s%g %g", verb, c.x(b.middle(i)), y(b.mean(k, i)))
		}
		if until == from+1 { // one bin alone would not be seen
			fmt.Fprintf(&path, "h2")
		}
	})
	return path.String()
}

func (b *bins) area(c *course, k, l int, y func(float64) float64) string {
	var path strings.Builder
	b.runs(func(from, until int) {
		for i := from; i < until; i++ {
			verb := "L"
			if i == from {
				verb = "M"
			}
			fmt.Fprintf(&path, "%s%g %g", verb, c.x(b.middle(i)), y(b.mean(k, i)))
		}
		for i := until - 1; i >= from; i-- {
			v := 0.0
			if l >= 0 {
				v = b.mean(l, i)
			}
			fmt.Fprintf(&path, "L%g %g", c.x(b.middle(i)), y(v))
		}
		path.WriteString("Z")
	})
	return path.String()
}

func (b *bins) middle(i int) rules.Moment { return rules.Moment(i)*b.span + b.span/2 }

// eachSecond calls f with the seconds of music that have levels.
func (c *course) eachSecond(f func(stretch int, t rules.Moment, l *rules.Levels)) {
	for k := range c.Stretches {
		for i := range c.Stretches[k].Levels {
			l := &c.Stretches[k].Levels[i]
			if t := c.since(k, l.T); c.music(t) {
				f(k, t, l)
			}
		}
	}
}

// split is the chart of the total against the mark and its causes; nil without levels in
// music.
func (c *course) split(r *Report) *chart {
	b := c.newBins(4) // total, faders, stage, groups and main
	c.eachSecond(func(_ int, t rules.Moment, l *rules.Levels) {
		if l.Total > desk.Silence && l.Playing > 0 {
			s := l.Split
			b.add(t, float64(s.Total()), float64(s.Faders), float64(s.Stage), float64(s.Groups+s.Main))
		}
	})
	if !b.any() {
		return nil
	}
	least, most := b.extent(-3, 6)
	bottom := min(-3, b.low(seldom))
	least, most = max(-24, 3*math.Floor(least/3)), min(24, 3*math.Ceil(most/3))
	bottom = max(least, 3*math.Floor(bottom/3))
	cut := bottom > least
	least = bottom
	g := c.frame(splitHeight, least, most, 3)
	g.Cut = cut
	g.Top, g.Bottom = 44, splitHeight-70
	g.Y = nil
	for v := least; v <= most; v += 3 {
		text := "0"
		if v != 0 {
			text = strings.Replace(fmt.Sprintf("%+.0f", v), "-", "−", 1)
		}
		g.Y = append(g.Y, tick{g.y(v, least, most), text})
	}
	y := func(v float64) float64 { return g.y(v, least, most) }
	g.Zero = y(0)
	g.Bands = []strip{{g.Left, g.Right - g.Left, y(1), y(-1) - y(1)}}
	g.Areas = []drawn{{"faders", b.area(c, 1, -1, y)}}
	g.Lines = []drawn{{"rest", b.line(c, 3, y)}, {"stage", b.line(c, 2, y)}, {"total", b.line(c, 0, y)}}
	for _, s := range r.Segments {
		from, until := c.x(s.Began.T), c.x(s.Began.T+s.Length)
		g.Parts = append(g.Parts, band{From: from, Size: until - from, Class: string(s.Kind), Text: fits(s.Title, until-from)})
	}
	for i := range r.Findings {
		g.Marks = append(g.Marks, tick{c.x(r.Findings[i].Opened.T), fmt.Sprint(i + 1)})
	}
	g.Marks = apart(g.Marks)
	g.Title = c.Speaker.Say(rules.Say("report.chart-total", rules.DB("least", desk.DB(least)), rules.DB("most", desk.DB(most))))
	return g
}

func (b *bins) any() bool {
	for _, n := range b.n {
		if n > 0 {
			return true
		}
	}
	return false
}

// fits is a text if there is room for it.
func fits(text string, room float64) string {
	const letter = 9.5 // units, of the type that parts are named in
	if float64(wide(text))*letter <= room-6 {
		return text
	}
	return ""
}

// apart draws marks that would lie on one another as one.
func apart(marks []tick) (all []tick) {
	for _, m := range marks {
		if n := len(all); n > 0 && m.At-all[n-1].At < 26 {
			if first, _, more := strings.Cut(all[n-1].Text, "–"); more || first != m.Text {
				all[n-1].Text = first + "–" + m.Text
			}
			continue
		}
		all = append(all, m)
	}
	return all
}

// groupChart is a group's reduction, with its window.
type groupChart struct {
	Name  string
	Told  string
	Chart *chart
}

// reductions are the charts of all groups.
func (c *course) reductions(r *Report) (all []groupChart) {
	place := map[string]*bins{}
	for _, g := range r.Groups {
		place[g.Who.Name] = c.newBins(3)
	}
	c.eachSecond(func(k int, t rules.Moment, l *rules.Levels) {
		for g, name := range c.strips(k).Groups {
			if b := place[name]; b != nil && g < len(l.Groups) && l.Groups[g].Known && c.sounds(k, g, l) {
				b.add(t, float64(l.Groups[g].Median), float64(l.Groups[g].Low), float64(l.Groups[g].High))
			}
		}
	})
	for i := range r.Groups {
		g := &r.Groups[i]
		if !g.works() {
			continue
		}
		b := place[g.Who.Name]
		_, most := b.extent(0, 6)
		most = min(30, 3*math.Ceil(most/3))
		step := 3.0
		if most > 12 {
			step = 6
			most = 6 * math.Ceil(most/6)
		}
		f := c.frame(150, 0, most, step)
		y := func(v float64) float64 { return f.y(v, 0, most) }
		for k, j := range r.Limits {
			until := c.length
			if k+1 < len(r.Limits) {
				until = r.Limits[k+1].From.T
			}
			from, high := c.x(j.From.T), y(float64(j.Window.High))
			f.Bands = append(f.Bands, strip{from, c.x(until) - from, high, y(float64(j.Window.Low)) - high})
		}
		f.Areas = []drawn{{"range", b.area(c, 2, 1, y)}}
		f.Lines = []drawn{{"total", b.line(c, 0, y)}}
		told := g.told(tongue{c.Speaker})
		f.Title = c.Speaker.Say(rules.Say("report.chart-reduction").Quoting("group", g.Who.Label).Quoting("told", told))
		all = append(all, groupChart{g.Who.Label, told, f})
	}
	return all
}

// bar is what was raised with one fader, and what of it stood out.
type bar struct {
	Name    string
	Width   float64 // of 600
	Clearer float64 // so much of the width
	Known   bool    // whether that can be told
}

// bars are the movers that were raised, those raised most first, in rows of an SVG.
func bars(movers []Mover) (all []bar) {
	most := desk.DB(0)
	for _, m := range movers {
		most = max(most, m.Raised)
	}
	for _, m := range movers {
		if m.Raises == 0 || most <= 0 {
			continue
		}
		b := bar{Name: m.Who.Label, Width: math.Round(float64(m.Raised / most * 600))}
		if m.Clearer != nil && *m.Clearer+*m.Swallowed > 0 {
			share := float64(*m.Clearer / (*m.Clearer + *m.Swallowed))
			b.Known, b.Clearer = true, math.Round(b.Width*max(0, min(share, 1)))
		}
		all = append(all, b)
	}
	return all
}
