package review

import (
	_ "embed"
	"html/template"
	"io"
	"strings"
	"time"

	"pawl/rules"
	"pawl/rules/desk"
)

//go:embed report.html
var reportPage string

var page = template.Must(template.New("report").Funcs(template.FuncMap{
	"clock":  clock,
	"iso":    func(w When) string { return w.At.Format(time.RFC3339) },
	"length": func(d rules.Moment) string { return length(time.Duration(d)) },
	"plus":   func(a, b float64) float64 { return a + b },
	"less":   func(a, b float64) float64 { return a - b },
	"times":  func(i int, by float64) float64 { return float64(i) * by },
	"number": func(i int) int { return i + 1 },
	"join":   func(all []string) string { return strings.Join(all, " ") },
	"sort":   func(f Finding) string { return f.sort() },
	"answer": func(f Finding) string { return f.answer() },
	"note":   func(n Note) string { return n.told() },
	"gap":    func(g Gap) string { return g.Text + at(g) },
	"signed": func(v desk.DB) string { return signed(v) },
	"mean": func(v *desk.DB) string {
		if v == nil {
			return none
		}
		return signed(*v)
	},
}).Parse(reportPage))

// paper is what the page is made of.
type paper struct {
	*Report
	Lang    string
	About   []string
	Split   *chart
	Charts  []groupChart
	Bars    []bar
	Idle    string // of which groups the compressor hardly worked
	Window  string
	Nothing string // is to be tried
	None    string // was found
}

// HTML writes the report as one page that needs nothing else: no script, no network, and
// made to be printed.
func (r *Report) HTML(w io.Writer) error {
	c := r.course
	return page.Execute(w, paper{
		Report: r, Lang: c.Speaker.Tag(), About: r.Heading.about(), Split: c.split(r), Charts: c.reductions(r), Idle: r.idle(), Bars: bars(r.Movers),
		Window: c.Limits.WindowLow.String() + " to " + c.Limits.WindowHigh.String(), Nothing: nothingToTry, None: nothingFound,
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
