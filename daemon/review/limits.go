package review

import (
	"slices"
	"strings"
	"time"

	"pawl/daemon/house"
	"pawl/rules"
	"pawl/rules/desk"
)

// Limits are the review's own numbers that the definitions of figures name. Those of the
// house come with the record.
type Limits struct {
	Follow time.Duration // what comes so soon after a card follows it
	Buys   time.Duration // what a raise bought is asked so long after it
	Least  time.Duration // of music, for a figure that is by its length
	Trend  int           // values that a trend wants before it says more than what they are
}

// DefaultLimits are those that a review goes by.
func DefaultLimits() Limits {
	return Limits{Follow: 2 * time.Minute, Buys: 2 * time.Minute, Least: 10 * time.Minute, Trend: 4}
}

// Window is a group's: its compressor works, and no harder than is plenty.
type Window struct {
	Low  desk.DB `json:"low_db"`  // its median reduction, from this
	High desk.DB `json:"high_db"` // to this
}

// WindowBy is the window by the house file of a run, as its text was kept; the usual one if
// it was not.
func WindowBy(houseText string) Window { return judgedBy(houseText).Window }

// windowOf is the window by the limits of a house: the 1 to 3 dB that are plenty on a
// group, of which the upper is the limit of the rule squeezed-group.
func windowOf(l rules.Limits) Window {
	high := l.SqueezedGroup.Whisper
	return Window{min(1, high/2), high}
}

// Judged is by which limits of the house a service was judged from a moment on, and so by
// which its figures are measured.
type Judged struct {
	From When `json:"from"`

	// Known is false if the record does not have the house file of then, or has one that
	// this Pawl cannot read. The usual limits stand in.
	Known  bool    `json:"known"`
	Window Window  `json:"window"`
	Differ []Limit `json:"differ"` // those that are not the usual ones
	Text   string  `json:"text"`   // the same in words; "" if there is nothing to say

	limits rules.Limits
}

// Limit is a limit of a house file that is not the usual one, as house files write them.
type Limit struct {
	Name  string `json:"name"` // "squeezed-group.whisper"
	Value string `json:"value"`
	Usual string `json:"usual"`
}

// judge finds the limits of every stretch.
func (c *course) judge() {
	known := map[string]*Judged{} // by the text, which most stretches share
	for k := range c.Stretches {
		text := c.Stretches[k].Run.HouseText
		j := known[text]
		if j == nil {
			j = judgedBy(text)
			known[text] = j
		}
		c.by = append(c.by, j)
	}
}

// judgedBy are the limits of a house file.
func judgedBy(text string) *Judged {
	usual := rules.DefaultLimits()
	j := &Judged{Known: text != "", limits: usual, Differ: []Limit{}}
	if j.Known {
		limits, faults := house.LimitsOf("the house file of then", text)
		if j.Known = !faults.Wrong(); j.Known {
			j.limits = limits
		}
	}
	j.Window = windowOf(j.limits)
	rows := usual.Table()
	for i, row := range j.limits.Table() {
		if row.Default != rows[i].Default {
			j.Differ = append(j.Differ, Limit{row.Section + "." + row.Name, row.Default, rows[i].Default})
		}
	}
	return j
}

// limits are those of a stretch.
func (c *course) limits(stretch int) *rules.Limits { return &c.by[stretch].limits }

// last are the limits that were in force last: a figure that has to name one names those.
func (c *course) last() *Judged {
	if n := len(c.by); n > 0 {
		return c.by[n-1]
	}
	return judgedBy("")
}

// changed reports whether a limit was not the same all along.
func (c *course) changed(of func(*Judged) desk.DB) bool {
	return slices.ContainsFunc(c.by, func(j *Judged) bool { return of(j) != of(c.by[0]) })
}

// means is a definition that names a limit of the house, and says if that changed.
func (c *course) means(p rules.Phrase, of func(*Judged) desk.DB) string {
	text := c.Speaker.Say(p)
	if c.changed(of) {
		text += " " + c.Speaker.Say(rules.Say("limits.changed"))
	}
	return text
}

// judged says by which limits the service was judged, each time that they changed.
func (c *course) judged() []Judged {
	all := []Judged{}
	for k, j := range c.by {
		if k > 0 && (j == c.by[k-1] || j.Known == c.by[k-1].Known && j.limits == c.by[k-1].limits) {
			continue
		}
		one := *j
		one.From = c.when(max(0, c.since(k, c.Stretches[k].From)))
		all = append(all, one)
	}
	for i := range all {
		j := &all[i]
		if j.Text = c.restsOn(j, len(all) > 1); j.Text != "" && i > 0 {
			j.Text = c.Speaker.Say(rules.Say("limits.from").Quoting("from", clock(j.From)).Quoting("text", j.Text))
		}
	}
	return all
}

// mostLimits is how many limits are named; more are counted.
const mostLimits = 6

// restsOn says which limits are not the usual ones. What was usual all along is not said.
func (c *course) restsOn(j *Judged, several bool) string {
	switch {
	case !j.Known:
		return c.Speaker.Say(rules.Say("limits.unknown"))
	case len(j.Differ) == 0 && several:
		return c.Speaker.Say(rules.Say("limits.usual"))
	case len(j.Differ) == 0:
		return ""
	}
	var names []string
	for _, l := range j.Differ[:min(len(j.Differ), mostLimits)] {
		names = append(names, c.Speaker.Say(rules.Say("limits.limit").Quoting("name", l.Name).Quoting("value", minus(l.Value)).Quoting("usual", minus(l.Usual))))
	}
	list := strings.Join(names, ", ")
	if more := len(j.Differ) - len(names); more > 0 {
		return c.Speaker.Say(rules.Say("limits.differ-more", rules.Number("n", more)).Quoting("list", list))
	}
	return c.Speaker.Say(rules.Say("limits.differ").Quoting("list", list))
}

// minus writes a negative number as people read it.
func minus(text string) string {
	if after, negative := strings.CutPrefix(text, "-"); negative {
		return "−" + after
	}
	return text
}
