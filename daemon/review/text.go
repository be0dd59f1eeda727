package review

import (
	"fmt"
	"io"
	"strings"
	"time"

	"pawl/rules/desk"
)

// aside is the column at which texts stand beside a label.
const aside = 20

// Text writes the report for a terminal.
func (r *Report) Text(w io.Writer, o TextOptions) error {
	p := newPen(w, o)
	h := &r.Heading
	p.para(0, bold, h.Title)
	for _, line := range h.about() {
		p.para(0, plain, line)
	}
	for _, g := range r.Gaps {
		p.beside("Not in the record", aside, plain, g.Text+at(g))
	}
	r.textNext(p)
	p.heading("What was found")
	r.textFindings(p)
	p.heading("Figures")
	for i := range r.Figures {
		// One sentence defines all groups' shares.
		defined := i+1 < len(r.Figures) && r.Figures[i+1].Means == r.Figures[i].Means
		p.figure(&r.Figures[i], !defined)
	}
	if len(r.Segments) > 0 {
		p.heading("The parts")
		for _, s := range r.Segments {
			p.beside(clock(s.Began), 10, plain, fmt.Sprintf("%s, %s: %s", s.Title, length(time.Duration(s.Length)), s.told()))
		}
	}
	r.textGroups(p)
	r.textMovers(p)
	if len(r.Checks) > 0 {
		p.heading("The line check")
		for _, l := range r.Checks {
			for _, line := range l.Lines {
				p.beside(clock(l.When), 10, plain, line)
			}
		}
	}
	if len(r.Notes) > 0 {
		p.heading("Notes")
		for _, n := range r.Notes {
			p.beside(clock(n.When), 10, plain, n.told())
		}
	}
	return p.w.Flush()
}

// about is the second and third line of a report.
func (h *Heading) about() []string {
	times := h.Began.Format("15:04") + " to " + h.Ended.Format("15:04")
	if h.GoesOn {
		times = "Since " + h.Began.Format("15:04") + ", and it goes on"
	}
	if h.Name != "" {
		times = h.Began.Format("Monday 2 January 2006, ") + times
	}
	lines := []string{fmt.Sprintf("%s. Service %d. %s: %s, of which music %s, speech %s, quiet %s.", h.House, h.ID, times,
		length(time.Duration(h.Length)), length(time.Duration(h.Music)), length(time.Duration(h.Speech)), length(time.Duration(h.Quiet)))}
	mixing := "Nobody said who was mixing."
	if h.Mixing != "" {
		mixing = "Mixing: " + h.Mixing + "."
	}
	return append(lines, fmt.Sprintf("%s %s; %s, of which %s and %s came to the screen.", mixing,
		many(h.Moves, "move"), many(h.Findings, "finding"), many(h.Cards, "card"), many(h.Lines, "line")))
}

// at is when a gap was, for one of which that is known.
func at(g Gap) string {
	if g.Length == 0 {
		return ""
	}
	return " From " + clock(g.From) + " on."
}

func (r *Report) textNext(p *pen) {
	p.heading("Next time")
	if r.Next == nil {
		p.para(2, plain, nothingToTry)
		return
	}
	p.para(2, plain, r.Next.What)
	p.para(2, dim, r.Next.Why)
	for _, m := range r.Next.Moments {
		p.beside("  "+clock(m.When), 12, plain, m.Text)
	}
}

const (
	nothingToTry = "Nothing of this service stands out as a thing to practise."
	nothingFound = "Nothing: no rule had anything to say."
)

func (r *Report) textFindings(p *pen) {
	if len(r.Findings) == 0 {
		p.para(2, plain, nothingFound)
	}
	for i := range r.Findings {
		f := &r.Findings[i]
		p.beside("  "+clock(f.Opened), 12, bold, f.sort())
		p.para(12, plain, strings.Join(f.What, " "))
		if f.Try != "" {
			p.para(12, plain, "To try: "+strings.TrimSpace(f.Try+" "+f.Then))
		}
		p.para(12, dim, strings.TrimSpace(f.Life+" "+f.answer()))
	}
}

// sort is what sort of finding it is, and whether anybody saw it.
func (f *Finding) sort() string {
	what := "Line"
	if f.Card {
		what = "Card"
	}
	if f.Shown == nil {
		what += ", not shown"
	}
	return what + ": " + strings.ReplaceAll(f.Rule, "-", " ")
}

// answer is what came of it, in words.
func (f *Finding) answer() string {
	switch f.Followed {
	case Back:
		return "It was followed within two minutes."
	case Another:
		return "Another raise came within two minutes."
	case NoAnswer:
		return "Nothing was done about it within two minutes."
	}
	return ""
}

func (p *pen) figure(f *Figure, define bool) {
	value, stands := f.Text, bold
	if f.Why != "" {
		value, stands = f.Why, plain
	}
	p.beside("  "+f.Title, figureColumn(p.width), stands, value)
	of := f.Cases
	for _, part := range f.Parts {
		of += "; " + part.Text
	}
	p.para(figureColumn(p.width), plain, of+".")
	if define {
		p.para(figureColumn(p.width), dim, f.Means)
	}
}

// figureColumn is where values stand, so that a title fits beside them where there is
// room for both.
func figureColumn(width int) int {
	if width < 70 {
		return 4
	}
	return 30
}

func (s *Segment) told() string {
	if s.Moves+s.Cards == 0 {
		return "no moves, no cards"
	}
	return fmt.Sprintf("%s, of which %s; %s", many(s.Moves, "move"), many(s.Raises, "raise"), many(s.Cards, "card"))
}

func (r *Report) textGroups(p *pen) {
	if len(r.Groups) == 0 {
		return
	}
	p.heading("Compression on groups, while they played music")
	for i := range r.Groups {
		if g := &r.Groups[i]; g.works() {
			p.beside("  "+g.Who.Label, figureColumn(p.width), plain, g.told())
		}
	}
	if idle := r.idle(); idle != "" {
		p.para(2, plain, idle)
	}
}

func (g *Group) told() string {
	text := fmt.Sprintf("turned down by %s in the middle; in the window %.0f %% of %s, below it %.0f %%, above it %.0f %%",
		g.Median, 100*g.In, length(time.Duration(g.Played)), 100*g.Below, 100*g.Over)
	if g.At != nil && g.Worst.Shown() > 0 {
		text += fmt.Sprintf("; most at %s, %s", clock(*g.At), g.Worst)
	}
	return text
}

func (r *Report) textMovers(p *pen) {
	p.heading("Who went up and down")
	none := true
	for i := range r.Movers {
		if m := &r.Movers[i]; m.Raises+m.Lowers > 0 {
			p.beside("  "+m.Who.Label, figureColumn(p.width), plain, m.told())
			none = false
		}
	}
	if none {
		p.para(2, plain, "Nobody.")
	}
}

func (m *Mover) told() string {
	var parts []string
	if m.Raises > 0 {
		parts = append(parts, fmt.Sprintf("%s, %s in all", many(m.Raises, "raise"), signed(m.Raised)))
	}
	if m.Lowers > 0 {
		parts = append(parts, fmt.Sprintf("%s, %s in all", many(m.Lowers, "lowering"), signed(-m.Lowered)))
	}
	if m.Clearer != nil {
		parts = append(parts, fmt.Sprintf("a raise bought %s in the mean, and %s were swallowed", signed(*m.Clearer), signed(*m.Swallowed)))
	}
	return strings.Join(parts, "; ")
}

func (n *Note) told() string {
	text := n.Text
	if text == "" {
		text = "(a bookmark)"
	}
	if n.Question {
		text = "To be answered: " + text
	}
	if n.After {
		text += " (added " + n.Added.Format("2 January, 15:04") + ")"
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

// many is a count with its word.
func many(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return fmt.Sprintf("%d %ss", n, word)
}

// signed has a true minus.
func signed(v desk.DB) string { return strings.Replace(v.Shown().Signed(), "-", "−", 1) }
