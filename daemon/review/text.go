package review

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"pawl/rules"
	"pawl/rules/desk"
)

// aside is the column at which texts stand beside a label.
const aside = 20

// Text writes the report for a terminal.
func (r *Report) Text(w io.Writer, o TextOptions) error {
	p, t := newPen(w, o), r.tongue()
	h := &r.Heading
	p.para(0, bold, h.Title)
	for _, line := range h.about(t) {
		p.para(0, plain, line)
	}
	for _, g := range r.Gaps {
		p.beside(t.fixed("not-kept"), aside, plain, g.Text+t.since(g))
	}
	for _, j := range r.Limits {
		if j.Text != "" {
			p.beside(t.fixed("limits"), aside, plain, j.Text)
		}
	}
	r.textNext(p, t)
	p.heading(t.fixed("found-heading"))
	r.textFindings(p, t)
	p.heading(t.fixed("figures"))
	told := r.told()
	for i := range told {
		// One sentence defines all groups' shares.
		defined := i+1 < len(told) && told[i+1].Means == told[i].Means
		p.figure(&told[i], !defined)
	}
	if longer := r.longer(); len(r.Segments) > 0 {
		p.heading(t.fixed("parts"))
		if len(longer) < len(r.Segments) {
			p.para(0, dim, t.fixed("parts-short"))
		}
		for _, s := range longer {
			p.beside(clock(s.Began), 10, plain, fmt.Sprintf("%s, %s: %s", s.Title, length(time.Duration(s.Length)), s.told(t)))
		}
	}
	r.textGroups(p, t)
	r.textMovers(p, t)
	if len(r.Checks) > 0 {
		p.heading(t.fixed("line-check"))
		for _, l := range r.Checks {
			for _, line := range l.Lines {
				p.beside(clock(l.When), 10, plain, line)
			}
		}
	}
	if len(r.Notes) > 0 {
		p.heading(t.fixed("notes"))
		for _, n := range r.Notes {
			p.beside(clock(n.When), 10, plain, n.told(t))
		}
	}
	return p.w.Flush()
}

// tongue is the language of the report.
func (r *Report) tongue() tongue { return tongue{r.course.Speaker} }

// about is the second and third line of a report.
func (h *Heading) about(t tongue) []string {
	times := t.say(rules.Say("report.from-to").Quoting("from", h.Began.Format("15:04")).Quoting("to", h.Ended.Format("15:04")))
	if h.GoesOn {
		times = t.say(rules.Say("report.since").Quoting("from", h.Began.Format("15:04")))
	}
	if h.Name != "" {
		times = t.on(rules.Say("report.date"), h.Began) + ", " + times
	}
	lasted := rules.Say("report.lasted")
	if h.Check > 0 {
		lasted = rules.Say("report.lasted-checked").Quoting("check", length(time.Duration(h.Check)))
	}
	lasted = lasted.Quoting("house", h.House).Quoting("number", strconv.FormatInt(h.ID, 10)).Quoting("times", times).
		Quoting("length", length(time.Duration(h.Length))).Quoting("music", length(time.Duration(h.Music))).
		Quoting("speech", length(time.Duration(h.Speech))).Quoting("quiet", length(time.Duration(h.Quiet)))
	mixing := t.fixed("nobody-mixing")
	if h.Mixing != "" {
		mixing = t.say(rules.Say("report.mixing").Quoting("who", h.Mixing))
	}
	came := rules.Say("report.came").Quoting("moves", t.moves(h.Moves)).Quoting("findings", t.findings(h.Findings)).
		Quoting("cards", t.cards(h.Cards)).Quoting("lines", t.lines(h.Lines))
	switch {
	case h.Findings == 0:
		came = rules.Say("report.came-nothing").Quoting("moves", t.moves(h.Moves))
	case h.Cards+h.Lines == 0:
		came = rules.Say("report.came-none").Quoting("moves", t.moves(h.Moves)).Quoting("findings", t.findings(h.Findings))
	case h.Lines == 0:
		came = rules.Say("report.came-alike").Quoting("moves", t.moves(h.Moves)).Quoting("findings", t.findings(h.Findings)).Quoting("shown", t.cards(h.Cards))
	case h.Cards == 0:
		came = rules.Say("report.came-alike").Quoting("moves", t.moves(h.Moves)).Quoting("findings", t.findings(h.Findings)).Quoting("shown", t.lines(h.Lines))
	}
	return []string{t.say(lasted), mixing + " " + t.say(came)}
}

// since is when a gap was, for one of which that is known.
func (t tongue) since(g Gap) string {
	if g.Length == 0 {
		return ""
	}
	return " " + t.say(rules.Say("report.gap-from").Quoting("from", clock(g.From)))
}

func (r *Report) textNext(p *pen, t tongue) {
	p.heading(t.fixed("next"))
	if r.Next == nil {
		p.para(2, plain, t.fixed("nothing-to-try"))
		return
	}
	p.para(2, plain, r.Next.What)
	p.para(2, dim, r.Next.Why)
	for _, m := range r.Next.Moments {
		p.beside("  "+clock(m.When), 12, plain, m.Text)
	}
}

func (r *Report) textFindings(p *pen, t tongue) {
	if len(r.Findings) == 0 {
		p.para(2, plain, t.fixed("nothing-found"))
	}
	for i := range r.Findings {
		f := &r.Findings[i]
		p.beside("  "+clock(f.Opened), 12, bold, f.sort(t))
		p.para(12, plain, strings.Join(f.What, " "))
		if f.Try != "" {
			p.para(12, plain, t.fixed("to-try")+" "+strings.TrimSpace(f.Try+" "+f.Then))
		}
		p.para(12, dim, strings.TrimSpace(f.Life+" "+f.answer(t)))
	}
}

// sort is what sort of finding it is, and whether anybody saw it.
func (f *Finding) sort(t tongue) string {
	what := "a-line"
	if f.Card {
		what = "a-card"
	}
	if f.Shown == nil {
		what += "-unshown"
	}
	return t.fixed(what) + ": " + t.rule(f.Rule)
}

// rule is what a rule is called.
func (t tongue) rule(name string) string { return t.fixed("rule-" + name) }

// answer is what came of it, in words.
func (f *Finding) answer(t tongue) string {
	switch f.Followed {
	case Back:
		return t.fixed("followed")
	case Another:
		return t.fixed("followed-raise")
	case NoAnswer:
		return t.fixed("followed-none")
	}
	return ""
}

func (p *pen) figure(f *Figure, define bool) {
	value, stands := f.Text, bold
	if f.Why != "" {
		value, stands = f.Why, plain
	}
	p.beside("  "+f.Title, figureColumn(p.width), stands, value)
	if of := f.of(); of != "" {
		p.para(figureColumn(p.width), plain, of)
	}
	if define {
		p.para(figureColumn(p.width), dim, f.Means)
	}
}

// of is what a figure's value is of, in a sentence; "" if that there is no value says it.
func (f *Figure) of() string {
	if f.Why != "" && f.N == 0 && len(f.Parts) == 0 {
		return ""
	}
	of := f.Cases
	for _, part := range f.Parts {
		of += "; " + part.Text
	}
	return of + "."
}

// told are the figures but for those of groups whose compressors hardly worked, of which
// that is said elsewhere, once.
func (r *Report) told() []Figure {
	idle := func(name string) bool {
		return slices.ContainsFunc(r.Groups, func(g Group) bool { return g.Who.Name == name && !g.works() })
	}
	return slices.DeleteFunc(slices.Clone(r.Figures), func(f Figure) bool { return f.Name == "window" && idle(f.About) })
}

// aPause is so short that a quiet part of it, in which nothing happened, is not told.
const aPause = rules.Moment(time.Minute)

// longer are the parts that are more than a pause.
func (r *Report) longer() []Segment {
	return slices.DeleteFunc(slices.Clone(r.Segments), func(s Segment) bool {
		return s.Kind == desk.Quiet && s.Length < aPause && s.Moves+s.Cards == 0
	})
}

// figureColumn is where values stand, so that a title fits beside them where there is
// room for both.
func figureColumn(width int) int {
	if width < 70 {
		return 4
	}
	return 30
}

func (s *Segment) told(t tongue) string {
	if s.Moves+s.Cards == 0 {
		return t.fixed("part-still")
	}
	return t.say(rules.Say("report.part-moves").Quoting("moves", t.moves(s.Moves)).Quoting("raises", t.raises(s.Raises)).Quoting("cards", t.cards(s.Cards)))
}

func (r *Report) textGroups(p *pen, t tongue) {
	if len(r.Groups) == 0 {
		return
	}
	p.heading(t.fixed("compression-in-music"))
	for i := range r.Groups {
		if g := &r.Groups[i]; g.works() {
			p.beside("  "+g.Who.Label, figureColumn(p.width), plain, g.told(t))
		}
	}
	if idle := r.idle(); idle != "" {
		p.para(2, plain, idle)
	}
}

func (g *Group) told(t tongue) string {
	text := t.say(rules.Say("report.turned-down", rules.DB("median", g.Median)).Quoting("played", length(time.Duration(g.Played))).
		Quoting("in", t.percent(g.In)).Quoting("below", t.percent(g.Below)).Quoting("over", t.percent(g.Over)))
	if g.At != nil && g.Worst.Shown() > 0 {
		text += "; " + t.say(rules.Say("report.turned-most", rules.DB("worst", g.Worst)).Quoting("at", clock(*g.At)))
	}
	return text
}

func (r *Report) textMovers(p *pen, t tongue) {
	p.heading(t.fixed("who-moved"))
	none := true
	for i := range r.Movers {
		if m := &r.Movers[i]; m.Raises+m.Lowers > 0 {
			p.beside("  "+m.Who.Label, figureColumn(p.width), plain, m.told(t))
			none = false
		}
	}
	if none {
		p.para(2, plain, t.fixed("nobody"))
	}
}

func (m *Mover) told(t tongue) string {
	var parts []string
	if m.Raises > 0 {
		parts = append(parts, t.say(rules.Say("report.in-all", rules.DB("by", m.Raised)).Quoting("moves", t.raises(m.Raises))))
	}
	if m.Lowers > 0 {
		parts = append(parts, t.say(rules.Say("report.in-all", rules.DB("by", -m.Lowered)).Quoting("moves", t.lowers(m.Lowers))))
	}
	if m.Clearer != nil {
		parts = append(parts, t.say(rules.Say("report.raise-bought", rules.DB("clearer", *m.Clearer), rules.DB("swallowed", *m.Swallowed))))
	}
	return strings.Join(parts, "; ")
}

func (n *Note) told(t tongue) string {
	text := n.Text
	if text == "" {
		text = t.fixed("bookmark")
	}
	if n.Question {
		text = t.say(rules.Say("report.question").Quoting("text", text))
	}
	if n.After {
		text += " " + t.on(rules.Say("report.added"), n.Added)
	}
	return text
}

// clock is a time of day as a person reads it beside a service.
func clock(w When) string { return w.At.Format(time.TimeOnly) }

// length is a length of time in words: seconds below two minutes, and no finer than
// minutes above ten.
func length(d time.Duration) string {
	switch {
	case d < 2*time.Minute:
		return fmt.Sprintf("%.0f s", d.Seconds())
	case d < 10*time.Minute:
		s := int(d.Round(time.Second).Seconds())
		return strings.TrimSuffix(fmt.Sprintf("%d min %d s", s/60, s%60), " 0 s")
	}
	return fmt.Sprintf("%.0f min", d.Minutes())
}
