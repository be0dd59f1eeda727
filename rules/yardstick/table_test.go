package yardstick

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"pawl/daemon/practice/practicetest"
)

// tally is a row of the table: counts over some lines and alarms.
type tally struct {
	name   string
	length time.Duration // of service
	came   [late + 1]int // lines by outcome
	slow   int
	shown  int // lines met that were on the screen in time
	tone   int // lines met that weighed what the label says
	others int // strips named besides those it is about
	delays []time.Duration

	cards, lines count // false alarms
	errs         figures
}

// count is of false alarms that were shown and those that the calm policy held back.
type count struct{ shown, held int }

func (t *tally) line(l *line) {
	t.came[l.came]++
	if l.came != met {
		return
	}
	t.delays = append(t.delays, l.delay())
	t.others += len(l.besides)
	if l.shown() {
		t.shown++
	}
	if l.weight.String() == l.How {
		t.tone++
	}
	if goal := l.goal(); goal > 0 && l.delay() > goal {
		t.slow++
	}
}

func (t *tally) alarm(a *alarm) {
	c := &t.lines
	if a.card() {
		c = &t.cards
	}
	if a.shown == never {
		c.held++
	} else {
		c.shown++
	}
}

// anything reports whether the row has something to tell.
func (t *tally) anything() bool {
	return t.came != [late + 1]int{} || t.cards != t.lines || t.cards != count{}
}

// wrong reports whether something is the matter with it.
func (t *tally) wrong() bool {
	return t.came[missed]+t.came[early]+t.came[wrong]+t.came[late]+t.slow > 0 || t.cards != count{} || t.lines != count{}
}

const heading = `| | said / due | on screen | missed | late | too early | wrong inputs | others named | delay mean / worst | too slow | tone as labelled | false cards, shown + held | false lines, shown + held |
|---|---|---|---|---|---|---|---|---|---|---|---|---|
`

func (t *tally) row() string {
	due := 0
	for _, n := range t.came {
		due += n
	}
	delay := "–"
	if n := len(t.delays); n > 0 {
		var sum time.Duration
		for _, d := range t.delays {
			sum += d
		}
		delay = fmt.Sprintf("%.1f s / %.1f s", sum.Seconds()/float64(n), slices.Max(t.delays).Seconds())
	}
	return fmt.Sprintf("| %s | %d / %d | %d | %d | %d | %d | %d | %d | %s | %d | %d | %s | %s |\n", t.name, t.came[met], due, t.shown,
		t.came[missed], t.came[late], t.came[early], t.came[wrong], t.others, delay, t.slow, t.tone, t.cards, t.lines)
}

func (c count) String() string {
	if c == (count{}) {
		return "0"
	}
	return fmt.Sprintf("%d + %d", c.shown, c.held)
}

// perHour is how many false alarms there are in an hour.
func (t *tally) perHour() string {
	per := func(n int) float64 { return float64(n) / t.length.Hours() }
	return fmt.Sprintf("False in an hour of service: %.1f cards and %.1f lines shown, %.1f and %.1f held back.",
		per(t.cards.shown), per(t.lines.shown), per(t.cards.held), per(t.lines.held))
}

// table is the scores of a set in Markdown: a row a word, a row for each service with
// something wrong, and all of them together.
func table(set string, scores []score) string {
	order := append(slices.Clone(practicetest.Notices), "hall too loud")
	byWord := map[string]*tally{}
	for _, w := range order {
		byWord[w] = &tally{name: w}
	}
	all := &tally{name: "**all**"}
	var services []*tally
	for i := range scores {
		s := &scores[i]
		one := &tally{name: s.service, length: s.length}
		for k := range s.lines {
			l := &s.lines[k]
			for _, t := range []*tally{byWord[l.What], one, all} {
				t.line(l)
			}
		}
		for k := range s.alarms {
			a := &s.alarms[k]
			for _, t := range []*tally{byWord[a.words[0]], one, all} {
				t.alarm(a)
			}
		}
		all.length += s.length
		all.errs.add(s.errs)
		services = append(services, one)
	}
	var b strings.Builder
	fmt.Fprintf(&b, "\n%s: %d services, %v of service.\n\n%s", set, len(scores), all.length, heading)
	for _, w := range order {
		if t := byWord[w]; t.anything() {
			b.WriteString(t.row())
		}
	}
	for _, t := range services {
		if t.wrong() {
			t.name = "*" + t.name + "*"
			b.WriteString(t.row())
		}
	}
	b.WriteString(all.row())
	fmt.Fprintf(&b, "\n%s\n%s\n", all.perHour(), all.errs)
	return b.String()
}

// figures are how far what was told is from what was so, in dB.
type figures struct {
	sum, worst float64
	where      string // the worst
	n          int
}

func (f *figures) take(said, was float64, service string, at time.Duration) {
	f.add(figures{math.Abs(said - was), math.Abs(said - was), fmt.Sprintf("%s at %v", service, at), 1})
}

func (f *figures) add(o figures) {
	if o.worst > f.worst {
		f.worst, f.where = o.worst, o.where
	}
	f.sum, f.n = f.sum+o.sum, f.n+o.n
}

func (f figures) String() string {
	if f.n == 0 {
		return "No figure was compared."
	}
	return fmt.Sprintf("The rise of the total since the mark, at each remark and every ten seconds: %.2f dB wrong in the mean of %d, %.2f dB at worst (%s).",
		f.sum/float64(f.n), f.n, f.worst, f.where)
}
