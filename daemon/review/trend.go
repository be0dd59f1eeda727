package review

import (
	"cmp"
	"slices"
	"time"

	"pawl/rules"
)

// Trend is one figure over many services, the earliest first. It names who was mixing,
// and orders nobody by it.
type Trend struct {
	Name     string  `json:"name"`
	About    string  `json:"about"` // as in Figure
	Title    string  `json:"title"`
	Means    string  `json:"means"` // as it is measured in the newest
	Unit     Unit    `json:"unit"`
	Points   []Point `json:"points"`
	Rests    int     `json:"rests_on"` // services that have a value
	Services int     `json:"services"` // of so many
	Text     string  `json:"text"`     // on how many it rests, and what is too few to say

	differs bool // the services were not all judged by one limit
}

// Point is a figure of one service.
type Point struct {
	Service int64     `json:"service"`
	Title   string    `json:"title"`
	Began   time.Time `json:"began"`
	Mixing  string    `json:"mixing"`
	Value   *float64  `json:"value"` // null for a service that has none
	N       int       `json:"n"`
	Text    string    `json:"text"` // the value with its unit, or why there is none
}

// OneThing is the one thing to practise this week.
type OneThing struct {
	Name     string   `json:"name"`     // of what it is chosen by, a figure's
	What     string   `json:"what"`     // the thing to practise, a sentence
	Why      string   `json:"why"`      // why this one: the count and the comparison that chose it
	Services int      `json:"services"` // of how many services it was chosen
	Moments  []Moment `json:"moments"`  // that it comes from, the newest first
}

// Moment is a moment of some service.
type Moment struct {
	Service int64  `json:"service"`
	Title   string `json:"title"` // the service's
	When
	Text string `json:"text"` // what was there
}

// order is the one in which figures are told.
var order = []string{"ratchets", "way-back", "window", "bought", "solo-raises", "lead-behind", "cards", "followed"}

// Trends are the figures of services, each over all of them.
func Trends(services []Listed, o Options) []Trend {
	o = o.filled()
	services = slices.Clone(services)
	slices.SortStableFunc(services, func(a, b Listed) int { return a.Heading.Began.Compare(b.Heading.Began) })
	type key struct{ name, about string }
	all := []Trend{}
	place := map[key]int{}
	for i := range services {
		for _, f := range services[i].Figures {
			k := key{f.Name, f.About}
			if _, ok := place[k]; !ok {
				place[k] = len(all)
				t := Trend{Name: f.Name, About: f.About, Title: f.Title, Means: f.Means, Unit: f.Unit, Services: len(services)}
				for k := range services {
					t.Points = append(t.Points, services[k].point(none))
				}
				all = append(all, t)
			}
			t := &all[place[k]]
			t.differs = t.differs || t.Means != f.Means
			t.Means = f.Means // of the newest
			p := &t.Points[i]
			p.Value, p.N, p.Text = f.Value, f.N, cmp.Or(f.Why, f.Text)
			if f.Value != nil {
				t.Rests++
			}
		}
	}
	for i := range all {
		all[i].Text = o.restsOn(&all[i])
	}
	slices.SortStableFunc(all, func(a, b Trend) int {
		return cmp.Or(cmp.Compare(slices.Index(order, a.Name), slices.Index(order, b.Name)), cmp.Compare(a.About, b.About))
	})
	return all
}

func (l *Listed) point(text string) Point {
	h := &l.Heading
	return Point{Service: h.ID, Title: h.Title, Began: h.Began, Mixing: h.Mixing, Text: text}
}

func (o *Options) restsOn(t *Trend) string {
	// Whether it is "services" hangs on how many there are, so that number stands first.
	n := []rules.Figure{rules.Number("of", t.Services), rules.Number("n", t.Rests)}
	text := o.Speaker.Say(rules.Say("trend.rests", n...))
	if t.Rests < o.Limits.Trend {
		text = o.Speaker.Say(rules.Say("trend.scarce", n...))
	}
	if t.differs {
		text += " " + o.Speaker.Say(rules.Say("limits.differ-between"))
	}
	return text
}
