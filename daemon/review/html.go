package review

import (
	_ "embed"
	"html/template"
	"io"
	"strconv"
	"strings"
	"time"

	"pawl/rules"
	"pawl/rules/desk"
	"pawl/rules/words"
)

//go:embed report.html
var reportPage string

var page = template.Must(template.New("report").Funcs(tongue{words.Own().For(words.Default)}.forPage()).Parse(reportPage))

// forPage is what the page is written with in a language.
func (t tongue) forPage() template.FuncMap {
	return template.FuncMap{
		"say":     t.fixed,
		"clock":   clock,
		"iso":     func(w When) string { return w.At.Format(time.RFC3339) },
		"length":  func(d rules.Moment) string { return length(time.Duration(d)) },
		"plus":    func(a, b float64) float64 { return a + b },
		"less":    func(a, b float64) float64 { return a - b },
		"times":   func(i int, by float64) float64 { return float64(i) * by },
		"number":  func(i int) int { return i + 1 },
		"join":    func(all []string) string { return strings.Join(all, " ") },
		"sort":    func(f Finding) string { return f.sort(t) },
		"answer":  func(f Finding) string { return f.answer(t) },
		"note":    func(n Note) string { return n.told(t) },
		"of":      func(f Figure) string { return f.of() },
		"gap":     func(g Gap) string { return g.Text + t.since(g) },
		"signed":  t.signed,
		"bare":    t.bare,
		"chartOf": func(name string) string { return t.Say(rules.Say("report.chart-of").Quoting("group", name)) },
		"window": func(from, to string) string {
			return t.Say(rules.Say("report.compression-means").Quoting("from", from).Quoting("to", to))
		},
		"judged": func(h Heading) string {
			return t.Say(rules.Say("report.judged").Quoting("number", strconv.FormatInt(h.ID, 10)).Quoting("house", h.House).Quoting("pawl", h.Pawl))
		},
		"mean": func(v *desk.DB) string {
			if v == nil {
				return none
			}
			return t.signed(*v)
		},
	}
}

// paper is what the page is made of.
type paper struct {
	*Report
	Lang     string
	Told     []Figure  // those that say something
	Longer   []Segment // those that are more than a pause
	From, To string    // of a group's window
	About    []string
	Split    *chart
	Charts   []groupChart
	Bars     []bar
	Idle     string // of which groups the compressor hardly worked
}

// HTML writes the report as one page that needs nothing else: no script, no network, and
// made to be printed.
func (r *Report) HTML(w io.Writer) error {
	c, t := r.course, r.tongue()
	inLanguage, err := page.Clone()
	if err != nil {
		return err
	}
	return inLanguage.Funcs(t.forPage()).Execute(w, paper{
		Report: r, Told: r.told(), Longer: r.longer(), Lang: c.Speaker.Tag(), About: r.Heading.about(t), Split: c.split(r), Charts: c.reductions(r), Idle: r.idle(), Bars: bars(r.Movers),
		From: t.bare(c.last().Window.Low), To: t.bare(c.last().Window.High),
	})
}

// works reports whether a group's compressor did anything worth a chart.
func (g *Group) works() bool { return g.In+g.Over > 0 }

// idle says of which groups the compressor hardly worked; "" if it did of all.
func (r *Report) idle() string {
	var idle []desk.Who
	for i := range r.Groups {
		if !r.Groups[i].works() {
			idle = append(idle, r.Groups[i].Who)
		}
	}
	if len(idle) == 0 {
		return ""
	}
	return r.course.Speaker.Say(rules.Say("figure.window-idle-groups").Naming("who", idle...))
}
