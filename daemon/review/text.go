package review

import (
	"bufio"
	"fmt"
	"io"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"pawl/rules/desk"
)

// TextOptions say what a review is printed on.
type TextOptions struct {
	Width  int  // columns; 80 if 0, and at least 40
	Colour bool // bold and dim may be used; nothing is told by them alone
}

// pen writes text for a person within a width.
type pen struct {
	w      *bufio.Writer
	width  int
	colour bool
}

func newPen(w io.Writer, o TextOptions) *pen {
	if o.Width == 0 {
		o.Width = 80
	}
	// Beyond a hundred columns lines are too long to be read.
	return &pen{bufio.NewWriter(w), max(40, min(o.Width, 100)), o.Colour}
}

// tone is how a text stands out on a terminal that can.
type tone string

const (
	plain tone = ""
	bold  tone = "\x1b[1m"
	dim   tone = "\x1b[2m"
)

func (p *pen) toned(t tone, text string) string {
	if !p.colour || t == plain || text == "" {
		return text
	}
	return string(t) + text + "\x1b[0m"
}

func (p *pen) blank() { p.w.WriteByte('\n') }

// heading writes the title of a part.
func (p *pen) heading(text string) {
	p.blank()
	p.para(0, bold, text)
}

// para writes a text from a column on, broken between words.
func (p *pen) para(from int, t tone, text string) { p.beside("", from, t, text) }

// beside writes a text from a column on, with a label before its first line. A label that
// is too long stands on a line of its own.
func (p *pen) beside(label string, from int, t tone, text string) {
	label = visible(label)
	if wide(label) >= from && label != "" {
		p.w.WriteString(label + "\n")
		label = ""
	}
	for _, line := range broken(visible(text), p.width-from) {
		p.w.WriteString(label + strings.Repeat(" ", from-wide(label)) + p.toned(t, line) + "\n")
		label = ""
	}
}

// wide is how many columns a text takes; marks that stand on the letter before them take
// none.
func wide(text string) (n int) {
	for _, r := range text {
		if !unicode.Is(unicode.Mn, r) {
			n++
		}
	}
	return n
}

// broken is a text in lines of at most so many columns. A word that is longer is broken.
func broken(text string, width int) (lines []string) {
	line, n := "", 0
	for _, word := range strings.Fields(text) {
		for wide(word) > width {
			if n > 0 {
				lines, line, n = append(lines, line), "", 0
			}
			cut := 0
			for range width {
				_, size := utf8.DecodeRuneInString(word[cut:])
				cut += size
			}
			lines, word = append(lines, word[:cut]), word[cut:]
		}
		switch w := wide(word); {
		case w == 0:
		case n == 0:
			line, n = word, w
		case n+1+w <= width:
			line, n = line+" "+word, n+1+w
		default:
			lines, line, n = append(lines, line), word, w
		}
	}
	if n > 0 || len(lines) == 0 {
		lines = append(lines, line)
	}
	return lines
}

// visible is a text without what a terminal would obey: names come from desks, and notes
// from whoever is on the network.
func visible(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\t':
			return ' '
		case r == utf8.RuneError || unicode.Is(unicode.Cc, r) || unicode.Is(unicode.Cf, r) && r != '\u200d':
			return '?'
		}
		return r
	}, text)
}

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

// ListText writes a list of services for a terminal, the newest first, and the one thing
// to practise.
func ListText(w io.Writer, services []Listed, o Options, to TextOptions) error {
	p := newPen(w, to)
	for i := range services {
		h := &services[i].Heading
		p.beside(fmt.Sprintf("%5d", h.ID), 7, bold, h.Title)
		p.para(7, plain, h.line())
	}
	p.heading("One thing to practise")
	if one := ChooseOneThing(services, o); one != nil {
		p.para(2, plain, one.What)
		p.para(2, dim, one.Why)
		for _, m := range one.Moments {
			p.beside("  "+m.At.Format("Mon 2 Jan, 15:04:05"), 25, plain, fmt.Sprintf("%s (service %d)", m.Text, m.Service))
		}
	} else {
		p.para(2, plain, "Nothing was common enough in the last services to be one.")
	}
	p.heading(fmt.Sprintf("The last %s, the earliest first", many(min(len(services), lastPoints), "service")))
	trends := Trends(services, o)
	for i := range trends {
		p.trend(&trends[i], i+1 == len(trends) || trends[i+1].Means != trends[i].Means)
	}
	return p.w.Flush()
}

// line is a service in a list.
func (h *Heading) line() string {
	text := h.Began.Format("Mon 2 Jan 2006, 15:04")
	if h.Name == "" {
		text = h.House
	}
	text += fmt.Sprintf(": %s, music %s; %s, %s shown", length(time.Duration(h.Length)), length(time.Duration(h.Music)), many(h.Moves, "move"), many(h.Cards, "card"))
	if h.Mixing != "" {
		text += "; mixing: " + h.Mixing
	}
	if h.GoesOn {
		text += "; it goes on"
	}
	return text
}

// lastPoints is how many services a trend shows on a terminal.
const lastPoints = 8

func (p *pen) trend(t *Trend, define bool) {
	var values []string
	for _, point := range t.Points[max(0, len(t.Points)-lastPoints):] {
		text := none
		if point.Value != nil {
			of := fmt.Sprintf("n %d", point.N)
			if t.Name == "window" { // whose cases are seconds
				of = "of " + length(time.Duration(point.N)*time.Second)
			}
			text = fmt.Sprintf("%s (%s)", number(*point.Value, t.Unit), of)
		}
		values = append(values, text)
	}
	shown := strings.Join(values, " · ")
	if t.Rests == 0 {
		shown = none
	}
	p.beside("  "+t.Title, figureColumn(p.width), plain, shown)
	told := unitWords[t.Unit] + " " + t.Text
	if define {
		told += " " + t.Means
	}
	p.para(figureColumn(p.width), dim, told)
}

var unitWords = map[Unit]string{
	PerHour: "In an hour of music.", Seconds: "Length of time.", Share: "Share.", Decibels: "In dB.", Count: "A count.",
}

// number is a value as a person reads it, with its unit.
func number(v float64, u Unit) string {
	switch u {
	case Share:
		return fmt.Sprintf("%.0f %%", 100*v)
	case Seconds:
		return length(time.Duration(v * float64(time.Second)))
	case Count:
		return fmt.Sprintf("%.0f", v)
	case Decibels:
		return signed(desk.DB(v))
	}
	return fmt.Sprintf("%.1f", v)
}
