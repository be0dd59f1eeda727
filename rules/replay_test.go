package rules

import (
	"bytes"
	"cmp"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"pawl/rules/desk"
)

var update = flag.Bool("update", false, "rewrite the expected part of each replay")

const wantLine = "-- want --\n"

// TestReplays judges every service in testdata/replays and holds what is said
// against what is written there. It fails for a rule that no replay makes speak:
// a rule without one is a rule nobody has heard.
func TestReplays(t *testing.T) {
	paths, err := filepath.Glob("../testdata/replays/*.txt")
	if err != nil || len(paths) == 0 {
		t.Fatalf("no replays: %v", err)
	}
	heard := map[string]bool{}
	for _, path := range paths {
		t.Run(strings.TrimSuffix(filepath.Base(path), ".txt"), func(t *testing.T) {
			file, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			head, want, ok := bytes.Cut(file, []byte(wantLine))
			if !ok {
				t.Fatalf("%s: no line %q", path, wantLine)
			}
			got := replay(t, path, string(head), heard)
			if *update {
				if err := os.WriteFile(path, []byte(string(head)+wantLine+got), 0o644); err != nil {
					t.Fatal(err)
				}
				return
			}
			if got != string(want) {
				t.Errorf("%s:\ngot\n%s\nwant\n%s", path, got, want)
			}
		})
	}
	for _, k := range Kinds {
		if !heard[k.Name] {
			t.Errorf("no replay makes %q speak", k.Name)
		}
	}
}

// replay feeds a written service to a judge and writes down what it says, and
// how the mix stands at the end. A line that it cannot read fails the test.
func replay(t *testing.T, path, text string, heard map[string]bool) string {
	t.Helper()
	s := scriptOf(t, path, text)
	j := NewJudge(s.roster, DefaultLimits())
	var out strings.Builder
	tell := func() {
		for _, f := range j.Said() {
			heard[f.Rule] = true
			fmt.Fprintf(&out, "%v %s %s %s: %s\n", f.At, f.Phase, f.Weight, f.Rule, f.Text)
			if f.Try != "" && f.Phase != Eased {
				fmt.Fprintf(&out, "    try: %s\n", f.Try)
			}
			if f.Held {
				fmt.Fprintf(&out, "    held back: %s\n", f.HeldBy)
			}
			for _, e := range f.Evidence {
				fmt.Fprintf(&out, "    %v %s\n", e.At, e.What)
			}
		}
	}
	for _, r := range s.readings {
		j.Hear(r)
		tell()
	}
	j.Advance(s.at)
	tell()
	fmt.Fprintf(&out, "end: %s\n", j.Glance().Sentence())
	return out.String()
}

func scriptOf(t *testing.T, path, text string) script {
	t.Helper()
	s := script{t: t, path: path}
	for i, line := range strings.Split(strings.TrimSuffix(text, "\n"), "\n") {
		s.line = i + 1
		if line, _, _ = strings.Cut(line, "#"); strings.TrimSpace(line) != "" {
			s.read(strings.Fields(line))
		}
	}
	slices.SortStableFunc(s.readings, func(a, b desk.Reading) int { return cmp.Compare(a.At, b.At) })
	return s
}

// script is a written service: first the roster, one `input NAME ELEMENT [dca=NAME]
// [group=NAME]`, `dca NAME` or `group NAME` a line; then what is heard, as
// `TIME WHO WHAT VALUE [over TIME]`, and last `TIME end`.
type script struct {
	t        *testing.T
	path     string
	line     int
	at       time.Duration
	roster   desk.Roster
	readings []desk.Reading
}

func (s *script) failf(format string, args ...any) {
	s.t.Helper()
	s.t.Fatalf("%s:%d: %s", s.path, s.line, fmt.Sprintf(format, args...))
}

func (s *script) read(w []string) {
	switch w[0] {
	case "dca":
		s.roster.DCAs = append(s.roster.DCAs, w[1])
	case "group":
		s.roster.Groups = append(s.roster.Groups, w[1])
	case "input":
		s.input(w)
	default:
		s.event(w)
	}
}

func (s *script) input(w []string) {
	element, ok := desk.ElementNamed(w[2])
	if !ok {
		s.failf("no element %q", w[2])
	}
	in := desk.Input{Name: w[1], Element: element, Main: true}
	for _, member := range w[3:] {
		what, name, _ := strings.Cut(member, "=")
		switch what {
		case "dca":
			in.DCAs = append(in.DCAs, slices.Index(s.roster.DCAs, name))
		case "group":
			in.Groups, in.Main = append(in.Groups, slices.Index(s.roster.Groups, name)), false
		default:
			s.failf("%q is neither dca= nor group=", member)
		}
	}
	s.roster.Inputs = append(s.roster.Inputs, in)
}

func (s *script) event(w []string) {
	at, err := time.ParseDuration(w[0])
	if err != nil {
		s.failf("%v", err)
	}
	if at < s.at {
		s.failf("%v is before the line above", at)
	}
	s.at = at
	if len(w) == 2 && w[1] == "end" {
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
		s.readings = append(s.readings, r)
		return
	}
	over, err := time.ParseDuration(w[5])
	if err != nil {
		s.failf("%v", err)
	}
	s.glide(r, over)
}

// glide adds thirty steps a second from the last value to this one.
func (s *script) glide(to desk.Reading, over time.Duration) {
	from := math.NaN()
	for _, r := range s.readings {
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
		s.readings = append(s.readings, r)
	}
}

func (s *script) who(name string) (desk.Strip, int) {
	if name == "scene" {
		return desk.StripScene, 0
	}
	if name == "main" {
		return desk.StripMain, 0
	}
	for i, in := range s.roster.Inputs {
		if in.Name == name {
			return desk.StripInput, i
		}
	}
	if i := slices.Index(s.roster.DCAs, name); i >= 0 {
		return desk.StripDCA, i
	}
	i := slices.Index(s.roster.Groups, name)
	if i < 0 {
		s.failf("nobody is called %q", name)
	}
	return desk.StripGroup, i
}
