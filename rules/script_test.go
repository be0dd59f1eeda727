package rules

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"pawl/rules/desk"
)

// WantLine parts a written service from what is to be said of it.
const WantLine = "-- want --\n"

// ScriptOf reads a written service.
func ScriptOf(t *testing.T, path, text string) Script {
	t.Helper()
	s := Script{t: t, path: path}
	for i, line := range strings.Split(strings.TrimSuffix(text, "\n"), "\n") {
		s.line = i + 1
		if line, _, _ = strings.Cut(line, "#"); strings.TrimSpace(line) != "" {
			s.read(strings.Fields(line))
		}
	}
	slices.SortStableFunc(s.Readings, func(a, b desk.Reading) int { return cmp.Compare(a.At, b.At) })
	return s
}

// Script is a written service: first the roster, one `input NAME ELEMENT [voice]
// [dca=NAME] [group=NAME]`, `dca NAME` or `group NAME` a line; then what is heard, as
// `TIME WHO WHAT VALUE [over TIME]` or `TIME press WHAT [NUMBER or KIND]`, and last `TIME end`.
type Script struct {
	t        *testing.T
	path     string
	line     int
	At       time.Duration // of its end
	Roster   desk.Roster
	Readings []desk.Reading
	Presses  []TimedPress
}

func (s *Script) failf(format string, args ...any) {
	s.t.Helper()
	s.t.Fatalf("%s:%d: %s", s.path, s.line, fmt.Sprintf(format, args...))
}

func (s *Script) read(w []string) {
	switch w[0] {
	case "dca":
		s.Roster.DCAs = append(s.Roster.DCAs, w[1])
	case "group":
		s.Roster.Groups = append(s.Roster.Groups, w[1])
	case "input":
		s.input(w)
	default:
		s.event(w)
	}
}

func (s *Script) input(w []string) {
	s.t.Helper()
	if len(w) < 3 {
		s.failf("%q; want input NAME ELEMENT [voice] [dca=NAME] [group=NAME]", strings.Join(w, " "))
	}
	var element desk.Element
	if err := element.UnmarshalText([]byte(w[2])); err != nil {
		s.failf("%v", err)
	}
	in := desk.Input{Name: w[1], Element: element, Main: true}
	for _, member := range w[3:] {
		if member == "voice" {
			in.Voice = true
			continue
		}
		what, name, _ := strings.Cut(member, "=")
		switch what {
		case "dca":
			in.DCAs = append(in.DCAs, s.index(s.Roster.DCAs, name))
		case "group":
			in.Groups, in.Main = append(in.Groups, s.index(s.Roster.Groups, name)), false
		default:
			s.failf("%q is neither voice, dca= nor group=", member)
		}
	}
	s.Roster.Inputs = append(s.Roster.Inputs, in)
}

// index finds one that was named above.
func (s *Script) index(among []string, name string) int {
	i := slices.Index(among, name)
	if i < 0 {
		s.failf("nothing above is called %q", name)
	}
	return i
}

func (s *Script) event(w []string) {
	at, err := time.ParseDuration(w[0])
	if err != nil {
		s.failf("%v", err)
	}
	if at < s.At {
		s.failf("%v is before the line above", at)
	}
	s.At = at
	if len(w) == 2 && w[1] == "end" {
		return
	}
	if w[1] == "press" {
		s.press(w[2:])
		return
	}
	if len(w) != 4 && (len(w) != 6 || w[4] != "over") {
		s.failf("%d words; want TIME WHO WHAT VALUE [over TIME]", len(w))
	}
	strip, index := s.who(w[1])
	signal, ok := desk.SignalNamed(strip.String() + "." + w[2])
	if !ok {
		s.failf("no signal %s.%s", strip, w[2])
	}
	value, err := strconv.ParseFloat(w[3], 64)
	if err != nil {
		s.failf("%v", err)
	}
	r := desk.Reading{At: at, Signal: signal, Index: index, Value: value}
	if len(w) == 4 {
		s.Readings = append(s.Readings, r)
		return
	}
	over, err := time.ParseDuration(w[5])
	if err != nil {
		s.failf("%v", err)
	}
	s.glide(r, over)
}

// glide adds thirty steps a second from the last value to this one.
func (s *Script) glide(to desk.Reading, over time.Duration) {
	from := math.NaN()
	for _, r := range s.Readings {
		if r.Signal == to.Signal && r.Index == to.Index {
			from = r.Value
		}
	}
	if math.IsNaN(from) {
		s.failf("nothing to glide from")
	}
	n := max(int(over.Seconds()*30), 1)
	for i := 1; i <= n; i++ {
		r := to
		r.At += over * time.Duration(i) / time.Duration(n)
		r.Value = from + (to.Value-from)*float64(i)/float64(n)
		s.Readings = append(s.Readings, r)
	}
}

func (s *Script) who(name string) (desk.Strip, int) {
	if name == "scene" {
		return desk.StripScene, 0
	}
	if name == "main" {
		return desk.StripMain, 0
	}
	for i, in := range s.Roster.Inputs {
		if in.Name == name {
			return desk.StripInput, i
		}
	}
	if i := slices.Index(s.Roster.DCAs, name); i >= 0 {
		return desk.StripDCA, i
	}
	i := slices.Index(s.Roster.Groups, name)
	if i < 0 {
		s.failf("nobody is called %q", name)
	}
	return desk.StripGroup, i
}

// TimedPress is a press and when it was made.
type TimedPress struct {
	At time.Duration
	Press
}

func (s *Script) press(w []string) {
	p := TimedPress{At: s.At, Press: Press{Do: Do(w[0])}}
	if p.Do == NewSegment && len(w) > 1 {
		p.Kind = desk.SegmentKind(w[1])
	} else if len(w) > 1 {
		n, err := strconv.Atoi(w[1])
		if err != nil {
			s.failf("%v", err)
		}
		p.Number = n
	}
	s.Presses = append(s.Presses, p)
}

// Play gives the service to a judge, presses after the readings of their moment,
// and lets time pass to its end.
func (s *Script) Play(j *Judge) {
	presses := s.Presses
	until := func(at time.Duration) {
		for ; len(presses) > 0 && presses[0].At < at; presses = presses[1:] {
			j.Advance(presses[0].At)
			if err := j.Press(presses[0].Press); err != nil {
				s.failf("%v: %v", presses[0].At, err)
			}
		}
	}
	for _, r := range s.Readings {
		until(r.At)
		j.Hear(r)
	}
	until(s.At + 1)
	j.Advance(s.At)
}
