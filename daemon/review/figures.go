package review

import (
	"math"
	"slices"
	"time"

	"pawl/rules"
	"pawl/rules/desk"
)

// figures are all coaching figures of a service, in the order in which they are told.
func (c *course) figures(r *Report) []Figure {
	all := []Figure{c.ratchets(r), c.ways(r)}
	for i := range r.Groups {
		all = append(all, c.inWindow(&r.Groups[i]))
	}
	return append(all, c.buys(r), c.soloRaises(r), c.leadBehind(r), c.cards(r), c.answered(r))
}

// begin is a figure without its value.
func (c *course) begin(name string, unit Unit, title, means rules.Phrase) Figure {
	return Figure{Name: name, Unit: unit, Title: c.Speaker.Say(title), Means: c.Speaker.Say(means), Text: none, Parts: []Part{}, Moments: []When{}}
}

// none stands where there is no value.
const none = "–"

func (f *Figure) set(v float64, text string) {
	v = math.Round(v*1000) / 1000
	f.Value, f.Text = &v, text
}

func (c *course) part(f *Figure, name string, v float64, unit Unit, text rules.Phrase) {
	f.Parts = append(f.Parts, Part{name, math.Round(v*1000) / 1000, unit, c.Speaker.Say(text)})
}

func (f *Figure) moment(w When) {
	if len(f.Moments) < MostMoments {
		f.Moments = append(f.Moments, w)
	}
}

// enough reports whether there is so much music that a figure by its length means
// anything, and says so if not.
func (c *course) enough(f *Figure, music rules.Moment) bool {
	if time.Duration(music) >= c.Limits.Least {
		return true
	}
	f.Why = c.Speaker.Say(rules.Say("figure.too-short", span("music", music), rules.Time("least", c.Limits.Least)))
	return false
}

// span is a length of time for a phrase: minutes alone once there are ten of them.
func span(name string, d rules.Moment) rules.Figure {
	t := time.Duration(d)
	if t >= 10*time.Minute {
		t = t.Round(time.Minute)
	}
	return rules.Time(name, t)
}

func percent(name string, share float64) rules.Figure {
	return rules.Number(name, int(math.Round(share*100)))
}

func num(name string, v float64) rules.Figure {
	return rules.Figure{Name: name, Value: v, Unit: rules.Decibels}
}

func (c *course) ratchets(r *Report) Figure {
	f := c.begin("ratchets", PerHour, rules.Say("figure.ratchets"), rules.Say("figure.ratchets-means"))
	for i := range r.Findings {
		if r.Findings[i].Rule == "ratchet" {
			f.N++
			f.moment(r.Findings[i].Opened)
		}
	}
	music := r.Heading.Music
	f.Cases = c.Speaker.Say(rules.Say("figure.ratchets-cases", rules.Number("n", f.N), span("music", music)))
	if c.enough(&f, music) {
		v := float64(f.N) / time.Duration(music).Hours()
		f.set(v, c.Speaker.Say(rules.Say("figure.ratchets-value", num("value", v))))
	}
	return f
}

// ways is how long the way back took.
func (c *course) ways(r *Report) Figure {
	back := func(j *Judged) desk.DB { return j.limits.Ratchet.Eased }
	means := rules.Say("figure.way-back-means", rules.DB("back", back(c.last())))
	f := c.begin("way-back", Seconds, rules.Say("figure.way-back"), means)
	f.Means = c.means(means, back)
	var took []rules.Moment
	count := map[way]int{}
	for i, l := range c.lives {
		if l.first.Rule != "ratchet" || l.shown == nil {
			continue
		}
		how, after := c.wayBack(l)
		count[how]++
		f.N++
		f.moment(*r.Findings[i].Shown)
		if how == takenBack {
			took = append(took, after)
		}
	}
	f.Cases = c.Speaker.Say(rules.Say("figure.way-back-cases", rules.Number("n", f.N)))
	for _, p := range []struct {
		how  way
		name string
		text rules.Phrase
	}{
		{takenBack, "back", rules.Say("figure.way-back-back", rules.Number("n", count[takenBack]))},
		{notBack, "not-back", rules.Say("figure.way-back-not", rules.Number("n", count[notBack]))},
		{byItself, "by-itself", rules.Say("figure.way-back-itself", rules.Number("n", count[byItself]))},
		{kept, "kept", rules.Say("figure.way-back-kept", rules.Number("n", count[kept]))},
		{elsewhere, "elsewhere", rules.Say("figure.way-back-elsewhere", rules.Number("n", count[elsewhere]))},
	} {
		if count[p.how] > 0 || p.how == takenBack && f.N > 0 {
			c.part(&f, p.name, float64(count[p.how]), Count, p.text)
		}
	}
	switch {
	case f.N == 0:
		f.Why = c.Speaker.Say(rules.Say("figure.way-back-none"))
	case len(took) == 0:
		f.Why = c.Speaker.Say(rules.Say("figure.way-back-never"))
	default:
		v := middle(took)
		f.set(time.Duration(v).Seconds(), c.Speaker.Say(rules.Say("figure.span", span("value", v))))
	}
	return f
}

// middle is the median.
func middle(of []rules.Moment) rules.Moment {
	slices.Sort(of)
	n := len(of)
	return (of[(n-1)/2] + of[n/2]) / 2
}

func (c *course) inWindow(g *Group) Figure {
	w := c.last().Window
	by := []rules.Figure{rules.DB("low", w.Low), rules.DB("high", w.High)}
	means := rules.Say("figure.window-means", by...)
	if w != windowOf(rules.DefaultLimits()) {
		means = rules.Say("figure.house-window-means", by...)
	}
	f := c.begin("window", Share, rules.Say("figure.window").Naming("who", g.Who), means)
	f.Means = c.means(means, func(j *Judged) desk.DB { return j.Window.High })
	f.About, f.N = g.Who.Name, int(time.Duration(g.Played).Seconds())
	f.Cases = c.Speaker.Say(rules.Say("figure.window-cases", span("played", g.Played)))
	c.part(&f, "below", g.Below, Share, rules.Say("figure.window-below", percent("percent", g.Below)))
	c.part(&f, "over", g.Over, Share, rules.Say("figure.window-over", percent("percent", g.Over)))
	if g.At != nil && g.Over > 0 {
		f.moment(*g.At)
	}
	switch {
	case !c.enough(&f, g.Played):
	case !g.works():
		f.Why = c.Speaker.Say(rules.Say("figure.window-idle"))
	default:
		f.set(g.In, c.Speaker.Say(rules.Say("figure.percent", percent("percent", g.In))))
	}
	return f
}

// buys is what a raise bought.
func (c *course) buys(r *Report) Figure {
	f := c.begin("bought", Decibels, rules.Say("figure.bought"), rules.Say("figure.bought-means", rules.Time("after", c.Limits.Buys)))
	var raised, clearer, swallowed desk.DB
	for i := range r.Moves {
		if b := r.Moves[i].Bought; b != nil {
			f.N++
			raised, clearer, swallowed = raised+b.Raised, clearer+b.Clearer, swallowed+b.Swallowed
			f.moment(r.Moves[i].Ended)
		}
	}
	f.Cases = c.Speaker.Say(rules.Say("figure.bought-cases", rules.Number("n", f.N)))
	if f.N == 0 {
		f.Why = c.Speaker.Say(rules.Say("figure.bought-none"))
		return f
	}
	n := desk.DB(f.N)
	c.part(&f, "raised", float64(raised/n), Decibels, rules.Say("figure.bought-raised", rules.DB("by", raised/n)))
	c.part(&f, "swallowed", float64(swallowed/n), Decibels, rules.Say("figure.bought-swallowed", rules.DB("by", swallowed/n)))
	f.set(float64(clearer/n), c.Speaker.Say(rules.Say("figure.bought-value", rules.DB("value", clearer/n))))
	return f
}

func (c *course) soloRaises(r *Report) Figure {
	f := c.begin("solo-raises", Count, rules.Say("figure.solo-raises"), rules.Say("figure.solo-raises-means"))
	solo := 0
	for i := range r.Findings {
		if r.Findings[i].Rule == "solo-raise" {
			solo++
			f.moment(r.Findings[i].Opened)
		}
	}
	for i := range c.moves {
		if m := &c.moves[i]; m.Kind == desk.Raise && c.music(m.ended) {
			f.N++
		}
	}
	f.Cases = c.Speaker.Say(rules.Say("figure.solo-raises-cases", rules.Number("n", f.N)))
	if c.enough(&f, r.Heading.Music) {
		f.set(float64(solo), c.Speaker.Say(rules.Say("figure.count", rules.Number("value", solo))))
	}
	return f
}

func (c *course) leadBehind(r *Report) Figure {
	f := c.begin("lead-behind", Seconds, rules.Say("figure.lead-behind"), rules.Say("figure.lead-behind-means"))
	var all []stint
	for _, l := range c.lives {
		if l.first.Rule == "lead-behind" {
			f.N++
			f.moment(c.when(l.opened))
			all = append(all, stint{l.opened, l.until})
		}
	}
	f.Cases = c.Speaker.Say(rules.Say("figure.lead-behind-cases", rules.Number("n", f.N)))
	behind := c.ofMusic(all)
	if c.enough(&f, r.Heading.Music) {
		share := float64(behind) / float64(r.Heading.Music)
		c.part(&f, "share", share, Share, rules.Say("figure.lead-behind-share", percent("percent", share)))
		f.set(time.Duration(behind).Seconds(), c.Speaker.Say(rules.Say("figure.span", span("value", behind))))
	}
	return f
}

// stint is a span of the service.
type stint struct{ from, until rules.Moment }

// ofMusic is how much music lies in any of the stints; two leads behind at once are one
// time.
func (c *course) ofMusic(all []stint) (sum rules.Moment) {
	slices.SortFunc(all, func(a, b stint) int { return int(min(max(a.from-b.from, -1), 1)) })
	var done rules.Moment
	for _, s := range all {
		from := max(s.from, done)
		for _, p := range c.pieces {
			if p.Kind == desk.Music {
				sum += max(0, min(p.until, s.until)-max(p.from, from))
			}
		}
		done = max(done, s.until)
	}
	return sum
}

func (c *course) cards(r *Report) Figure {
	f := c.begin("cards", Count, rules.Say("figure.cards"), rules.Say("figure.cards-means"))
	seen := 0
	for i := range r.Findings {
		x := &r.Findings[i]
		if x.Carded == nil {
			continue
		}
		f.N++
		f.moment(*x.Carded)
		if x.Seen != nil {
			seen++
		}
	}
	f.Cases = c.Speaker.Say(rules.Say("figure.cards-cases", rules.Number("n", f.N), span("length", r.Heading.Length)))
	c.part(&f, "seen", float64(seen), Count, rules.Say("figure.cards-seen", rules.Number("n", seen)))
	f.set(float64(f.N), c.Speaker.Say(rules.Say("figure.count", rules.Number("value", f.N))))
	return f
}

func (c *course) answered(r *Report) Figure {
	f := c.begin("followed", Share, rules.Say("figure.followed"), rules.Say("figure.followed-means", rules.Time("within", c.Limits.Follow)))
	count := map[Followed]int{}
	for i := range r.Findings {
		if x := &r.Findings[i]; x.Carded != nil {
			f.N++
			count[x.Followed]++
			f.moment(*x.Carded)
		}
	}
	f.Cases = c.Speaker.Say(rules.Say("figure.followed-cases", rules.Number("n", f.N)))
	if f.N == 0 {
		f.Why = c.Speaker.Say(rules.Say("figure.followed-nothing"))
		return f
	}
	c.part(&f, string(Back), float64(count[Back]), Count, rules.Say("figure.followed-back", rules.Number("n", count[Back])))
	c.part(&f, string(Another), float64(count[Another]), Count, rules.Say("figure.followed-raise", rules.Number("n", count[Another])))
	c.part(&f, string(NoAnswer), float64(count[NoAnswer]), Count, rules.Say("figure.followed-none", rules.Number("n", count[NoAnswer])))
	share := float64(count[Back]) / float64(f.N)
	f.set(share, c.Speaker.Say(rules.Say("figure.percent", percent("percent", share))))
	return f
}
