package survey

import (
	"flag"
	"fmt"
	"iter"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"pawl/daemon/practice"
	"pawl/daemon/practice/practicetest"
	"pawl/oscmap"
	"pawl/rules/desk"
)

// person answers whatever the guide asks, as somebody beside the practice desk would: marks
// are printed every so often beside its faders, and a mark that would help is used if it is
// printed.
type person struct {
	strip string   // that was asked about last, in the words of a script
	marks []string // printed ones that were not gone to yet
	given []string
}

// retried stands before a question that is asked again since nothing was seen.
const retried = "(again) "

var (
	fewMarks = []string{"-10", "-30", "3", "-5", "-20", "-40", "-50"} // two that everybody goes to, then the others
	halfway  = regexp.MustCompile(`halfway between (-?[0-9.]+) and (-?[0-9.]+)`)
	numbered = regexp.MustCompile(`(input|group|DCA) ([0-9]+)`)
)

// names are the strips of the hall as its scripts call them.
func names(kind string, n int) string {
	r := roster()
	switch {
	case kind == "input" && n <= len(r.Inputs):
		return "fader " + r.Inputs[n-1].Name
	case kind == "group" && n <= len(r.Groups):
		return "group " + r.Groups[n-1]
	case kind == "DCA" && n <= len(r.DCAs):
		return "dca " + r.DCAs[n-1]
	}
	return ""
}

// answer is what is done and typed for a question. Somebody of little care types no minus,
// and presses Enter too early the first time that 0 dB is asked for.
func (p *person) answer(q string, careless bool) line {
	again := strings.HasPrefix(q, retried)
	strip := "main"
	if m := numbered.FindStringSubmatch(q); m != nil {
		n, _ := strconv.Atoi(m[2])
		strip = names(m[1], n)
	}
	typed := func(db string) string {
		if careless {
			return strings.TrimPrefix(db, "-")
		}
		return db
	}
	at := func(db string) string { return fmt.Sprintf("%s to %s dB over 1s", p.strip, db) }
	switch {
	case strings.Contains(q, "very bottom"):
		p.strip = strip
		return line{p.strip + " to closed over 1s", ""}
	case strings.Contains(q, "all the way to the top"):
		return line{at("6"), "6"}
	case strings.Contains(q, "0 dB mark"):
		if careless && !again && p.strip == names("input", 1) {
			return line{}
		}
		return line{at("0"), ""}
	case strings.Contains(q, "-10 mark"):
		return line{at("-10"), ""}
	case strings.Contains(q, "mark"):
		if !again {
			enough := len(p.given) >= 4 && !strings.Contains(q, "Best is") || len(p.marks) == 0
			if strings.HasPrefix(q, "Every further mark") && enough {
				return line{}
			}
			p.given = append(p.given, p.next(q))
		}
		db := p.given[len(p.given)-1]
		return line{at(db), typed(db)}
	case strings.Contains(q, "a little up and down"):
		if strip == "" {
			return line{"", "none"}
		}
		return line{strip + " to -3 dB over 1s", ""}
	case strings.Contains(q, "Unmute"):
		return line{"unmute " + strings.TrimPrefix(p.strip, "fader "), ""}
	case strings.Contains(q, "Mute"):
		if q := numbered.FindStringSubmatch(q); q == nil {
			p.strip = "main"
		} else {
			p.strip = strip
		}
		return line{"mute " + strings.TrimPrefix(p.strip, "fader "), ""}
	}
	return line{}
}

// next takes the printed mark that was asked for, or the next one there is.
func (p *person) next(q string) string {
	best := 0
	if m := halfway.FindStringSubmatch(q); m != nil && len(p.marks) > 0 {
		a, _ := strconv.ParseFloat(m[1], 64)
		b, _ := strconv.ParseFloat(m[2], 64)
		near := 1e9
		for i, mark := range p.marks {
			x, _ := strconv.ParseFloat(mark, 64)
			if d := (x-a)*(x-b) + 0; d < 0 && abs(x-(a+b)/2) < near {
				best, near = i, abs(x-(a+b)/2)
			}
		}
	}
	if len(p.marks) == 0 {
		return "-15"
	}
	mark := p.marks[best]
	p.marks = append(append([]string{}, p.marks[:best]...), p.marks[best+1:]...)
	return mark
}

func abs(x float64) float64 { return max(x, -x) }

// through is the guided part from the first question to the last. What is asked depends on
// what was seen, and the moves must be known before the desk plays: so it is played again
// from the beginning, with what is known of the questions by then, until nothing more is
// asked than was answered.
func through(t *testing.T, d furtherDialect, careless bool) (s *Survey, g *Guide, talk string, lines []line) {
	t.Helper()
	// What is asked of a desk that is all plain, for a beginning.
	lines = answers(usualQuestions(), careless)
	for range 60 {
		var asked []string
		s, g, talk, asked = guidedBy(practice.Play(played(t, lines), d, practice.Playing{}), lines)
		want := answers(asked, careless)
		i := 0
		for i < len(want) && i < len(lines) && want[i] == lines[i] {
			i++
		}
		if g.Question() == "" && i == len(want) {
			return s, g, talk, lines[:i]
		}
		// The first that was answered otherwise is put right; what comes after it is guessed.
		known := asked[:min(i+1, len(asked))]
		lines = answers(append(append([]string{}, known...), after(known)...), careless)
	}
	t.Errorf("%s: the guide does not come to an end:\n%s", d.name, talk)
	return s, g, talk, lines
}

func usualQuestions() (all []string) {
	for _, q := range questions()[:5] {
		all = append(all, q.text())
	}
	return append(all, after(all)...)
}

// after is what is likely to be asked after some questions.
func after(asked []string) (all []string) {
	more := 0
	for _, q := range asked {
		if strings.Contains(q, "another printed mark") || strings.Contains(q, "Every further mark") {
			more++
		}
	}
	last := strings.TrimPrefix(asked[len(asked)-1], retried)
	on := false
	for _, q := range questions() {
		text := q.text()
		switch isMark := q.act == mark && q.strip == inputStrip; {
		case on && isMark && more > 4:
		case on:
			all = append(all, text)
			if isMark {
				more++
			}
		}
		on = on || text == last || q.more && strings.HasPrefix(last, "Every further mark") ||
			q.act == mark && q.strip == inputStrip && strings.Contains(last, "a little up and down")
	}
	return all
}

// answers are those of a person to some questions.
func answers(asked []string, careless bool) (all []line) {
	p := person{marks: append([]string{}, fewMarks...)}
	for _, q := range asked {
		all = append(all, p.answer(q, careless))
	}
	return all
}

// guidedBy is guided, and also what was asked; if more is asked than there are lines it stops.
func guidedBy(packets iter.Seq2[time.Duration, []byte], lines []line) (s *Survey, g *Guide, talk string, asked []string) {
	s = New(Options{})
	var b strings.Builder
	next, again := handBegins, ""
	for at, packet := range packets {
		for at >= next {
			s.Elapse(next)
			switch {
			case g == nil:
				g = s.Guide()
			case g.Question() == "":
			case len(asked) == len(lines):
				return s, g, b.String(), append(asked, again+g.Question())
			default:
				l := lines[len(asked)]
				asked = append(asked, again+g.Question())
				fmt.Fprintf(&b, "%s\n> %s {%s}\n", g.Question(), l.typed, l.move)
				again = ""
				for _, said := range g.Answer(l.typed) {
					fmt.Fprintln(&b, said)
					if strings.HasPrefix(said, "Nothing changed") || strings.HasPrefix(said, "Put it back") {
						again = retried
					}
				}
			}
			next += handPause
		}
		s.Hear(at, packet)
	}
	return s, g, b.String(), asked
}

// loadPart loads a draft that may hear too few strips for the roster, or none of them.
func loadPart(t *testing.T, draft string) *oscmap.Map {
	t.Helper()
	if m, faults := oscmap.Load("draft.yaml", []byte(draft), roster()); !faults.Wrong() {
		return m
	}
	return checked(t, draft)
}

// TestBlind is the proof of the first hour on desks of strangers: made by somebody who had seen
// the manual of the map and nothing of the program. No line without a # may be false, faders
// may be off by half a dB between the marks or by what the draft itself says, and the questions
// must come to an end. What is told of each desk stands in a golden file for each set, so that it
// does not fall unseen.
//
// A desk of the first four sets, by which the survey was mended, has one of the two persons, every other one that
// with little care; those of the fifth have both. With -everybody all have both, in four
// minutes of a core where it is else two and a half, and so they have with -update.
func TestBlind(t *testing.T) {
	practicetest.SkipRaced(t)
	t.Run("first", func(t *testing.T) {
		blindSet(t, "blind.txt", "eight desks that were made by somebody else", blind(), false)
	})
	t.Run("again", func(t *testing.T) { blindSet(t, "blind2.txt", "eight further ones", blind2(), false) })
	t.Run("third", func(t *testing.T) { blindSet(t, "blind3.txt", "a third set", blind3(), false) })
	t.Run("fourth", func(t *testing.T) { blindSet(t, "blind4.txt", "a fourth set", blind4(), false) })
	t.Run("fifth", func(t *testing.T) {
		blindSet(t, "blind5.txt", "a fifth set, by which nothing was mended", blind5(), true)
	})
}

var everybody = flag.Bool("everybody", false, "let each blind desk be asked about by both persons")

// blindSet drafts the desks of a set, for both persons or for one of them by turns, and holds what is told against its golden file.
func blindSet(t *testing.T, file, called string, desks []furtherDialect, both bool) {
	both = both || *everybody || *update
	table := []string{fmt.Sprintf("# Of %s: signals told as by hand, of those in the hand-written map;", called),
		"# false lines; how far input faders are off in dB at 13 gains from 6 to -36; a person's minutes by the model of minutes.",
		"#", "# desk                    care    told      false  faders  minutes"}
	rows, left := make([][]string, len(desks)), make([]string, len(desks)) // left is how a row begins that is left out
	t.Run("each", func(t *testing.T) {
		for i, d := range desks {
			t.Run(d.name, func(t *testing.T) {
				t.Parallel()
				for _, careless := range []bool{false, true} {
					if !both && careless != (i%2 == 1) {
						left[i] = blindHead(d, careless)
						continue
					}
					rows[i] = append(rows[i], blindRow(t, d, careless))
				}
			})
		}
	})
	for _, r := range rows {
		table = append(table, r...)
	}
	goldenBut(t, file, strings.Join(table, "\n")+"\n", func(line string) bool {
		return slices.ContainsFunc(left, func(head string) bool { return head != "" && strings.HasPrefix(line, head) })
	})
}

// careOf is what a person's care is called.
func careOf(careless bool) string { return map[bool]string{false: "usual", true: "little"}[careless] }

// blindHead is how a desk's line of the table begins.
func blindHead(d furtherDialect, careless bool) string {
	return fmt.Sprintf("%-24s  %-6s  ", d.name, careOf(careless))
}

// blindRow drafts one desk, and gives its line of the table.
func blindRow(t *testing.T, d furtherDialect, careless bool) string {
	t.Helper()
	s, g, talk, lines := through(t, d, careless)
	draft := s.Draft(g, DraftOptions{Desk: d.name})
	want, got := load(t, d.Map()), loadPart(t, draft)
	within, said := 0.5, 0.0
	if c, ok := g.steps.control(inputStrip, zero, g.refused); ok {
		sc, _ := fit(c.points())
		said = sc.doubt
		within = max(within, said)
	}
	right, missing, wrong := compareWithin(t, d, want, got, g, within)
	care := careOf(careless)
	if len(wrong) > 0 {
		t.Errorf("%s, %s care: false: %s\n%s\n%s", d.name, care, strings.Join(wrong, "\n"), talk, draft)
	}
	off := "-"
	if got.HearsSignal(desk.InputFader) {
		worst := fadersOff(t, d, got)
		off = fmt.Sprintf("%.2f", worst)
		if !(worst <= within) {
			t.Errorf("%s, %s care: faders are off by %.2f dB, and the draft says %.2f\n%s", d.name, care, worst, said, draft)
		}
	}
	row := blindHead(d, careless) + fmt.Sprintf("%2d of %2d  %5d  %6s  %7.1f", right, right+len(missing)+len(wrong), len(wrong), off, minutes(lines))
	if len(missing) > 0 {
		row += "  not told: " + strings.Join(missing, ", ")
	}
	return row
}
