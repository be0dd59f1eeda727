package survey

import (
	"flag"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
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

// untilAnswered is a minute, and as long afterwards as anybody is asked anything.
var untilAnswered = sync.OnceValues(func() (*practice.Script, error) {
	return practice.ParseScript("answered.txt", []byte("length 1h\nexpect nothing\n"+minute))
})

// through is the guided part from the first question to the last, answered by a person as it is asked: half a
// second after a question begins what it asks for, and after some more comes the answer.
func through(t *testing.T, d furtherDialect, careless bool) (s *Survey, g *Guide, talk string, lines []line) {
	t.Helper()
	script, err := untilAnswered()
	if err != nil {
		t.Fatal(err)
	}
	s = New(Options{})
	somebody := person{marks: slices.Clone(fewMarks)}
	var said strings.Builder
	var now line    // what is done and typed for the question that is asked
	var does string // of that what is still to be done
	next, begins, ends, again := handBegins, time.Duration(0), script.Length, ""
	hand := func(at time.Duration) string {
		if at >= next {
			s.Elapse(next)
			if g == nil {
				g = s.Guide()
			} else if g.Question() != "" {
				lines, again = append(lines, now), ""
				fmt.Fprintf(&said, "%s\n> %s {%s}\n", g.Question(), now.typed, now.move)
				for _, word := range g.Answer(now.typed) {
					fmt.Fprintln(&said, word)
					if strings.HasPrefix(word, "Nothing changed") || strings.HasPrefix(word, "Put it back") {
						again = retried
					}
				}
			}
			if g.Question() == "" {
				ends = min(ends, next+handPause)
			} else {
				now = somebody.answer(again+g.Question(), careless)
				does, begins = now.move, next+500*time.Millisecond
			}
			next += handPause
		}
		if does == "" || at < begins {
			return ""
		}
		move := does
		does = ""
		return move
	}
	for at, packet := range practice.Play(script, d, practice.Playing{Hand: hand}) {
		if at >= ends {
			return s, g, said.String(), lines
		}
		s.Hear(at, packet)
	}
	t.Errorf("%s: the guide does not come to an end:\n%s", d.name, said.String())
	return s, g, said.String(), lines
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
// with little care; those of the fifth have both. With -everybody all have both, in two
// minutes of a core where it is else one, and so they have with -update.
func TestBlind(t *testing.T) {
	practicetest.SkipRaced(t)
	t.Run("first", func(t *testing.T) {
		blindSet(t, "blind.txt", "eight desks that were made by somebody else", blind, false)
	})
	t.Run("again", func(t *testing.T) { blindSet(t, "blind2.txt", "eight further ones", blind2, false) })
	t.Run("third", func(t *testing.T) { blindSet(t, "blind3.txt", "a third set", blind3, false) })
	t.Run("fourth", func(t *testing.T) { blindSet(t, "blind4.txt", "a fourth set", blind4, false) })
	t.Run("fifth", func(t *testing.T) {
		blindSet(t, "blind5.txt", "a fifth set, by which nothing was mended", blind5, true)
	})
}

var everybody = flag.Bool("everybody", false, "let each blind desk be asked about by both persons")

// blindSet drafts the desks of a set, for both persons or for one of them by turns, and holds what is told against its golden file.
func blindSet(t *testing.T, file, called string, desks func() []furtherDialect, both bool) {
	both = both || *everybody || *update
	table := []string{fmt.Sprintf("# Of %s: signals told as by hand, of those in the hand-written map;", called),
		"# false lines; how far input faders are off in dB at 13 gains from 6 to -36; a person's minutes by the model of minutes.",
		"#", "# desk                    care    told      false  faders  minutes"}
	all := desks()
	rows, left := make([][]string, len(all)), make([]string, len(all)) // left is how a row begins that is left out
	t.Run("each", func(t *testing.T) {
		for i, d := range all {
			t.Run(d.name, func(t *testing.T) {
				t.Parallel()
				for _, careless := range []bool{false, true} {
					if !both && careless != (i%2 == 1) {
						left[i] = blindHead(d, careless)
						continue
					}
					rows[i] = append(rows[i], blindRow(t, desks()[i], careless)) // one that was just turned on
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
