package survey

import (
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"pawl/daemon/practice"
	"pawl/daemon/practice/practicetest"
	"pawl/oscmap"
	"pawl/oscmap/wire"
	"pawl/rules/desk"
)

var update = flag.Bool("update", false, "write the golden files anew")

// TestDraftsOfDialects drafts a map of every practice dialect from a minute of
// traffic and the guided moves, and holds it against the map written by hand: the
// same readings at all times of two services, or the signal is not in the draft at
// all and the draft says so. The share found stands in a golden file.
func TestDraftsOfDialects(t *testing.T) {
	practicetest.SkipRaced(t)
	table := []string{"# Of the signals in each hand-written map, how many the draft hears with the same readings."}
	dialects := practicetest.Dialects()
	table = append(table, make([]string, len(dialects))...)
	t.Run("each", func(t *testing.T) {
		for i, d := range dialects {
			t.Run(d.Name(), func(t *testing.T) {
				t.Parallel()
				table[i+1] = draftOf(t, d)
			})
		}
	})
	golden(t, "share.txt", strings.Join(table, "\n")+"\n")
}

// draftOf drafts one dialect, and gives the line of the table of shares.
func draftOf(t *testing.T, d practicetest.Dialect) string {
	t.Helper()
	lines := hand(printed)
	s, g, talk := guided(t, practice.Play(played(t, lines), d, practice.Playing{}), lines)
	draft := s.Draft(g, DraftOptions{Desk: d.Name(), Link: linkOf(d.Map())})
	golden(t, d.Name()+".talk", talk)
	golden(t, d.Name()+".map.yaml", draft)
	want, got := load(t, d.Map()), load(t, []byte(draft))
	right, missing, wrong := compare(t, d, want, got, g)
	share := fmt.Sprintf("%-9s %2d of %2d", d.Name(), right, right+len(missing)+len(wrong))
	if len(missing) > 0 {
		share += ", not told: " + strings.Join(missing, ", ")
	}
	for _, m := range missing {
		if !strings.Contains(draft, m) {
			t.Errorf("%s is missing and the draft does not say so", m)
		}
	}
	if len(wrong) > 0 {
		t.Errorf("heard, but not as by hand: %s\n%s\n%s", strings.Join(wrong, "\n"), draft, talk)
	}
	return share
}

func linkOf(src []byte) string {
	_, link, _ := strings.Cut(string(src), "\nlink:")
	link, _, _ = strings.Cut(link, "\n\n")
	text := "link:" + link
	if strings.Contains(text, "{input}") {
		text += "\n\nstrips: {input: 1-16, dca: 1-4, group: 1-4}"
	}
	return text
}

func load(t *testing.T, src []byte) *oscmap.Map {
	t.Helper()
	m, faults := oscmap.Load("draft.yaml", src, roster())
	if faults.Wrong() {
		t.Fatalf("%v\n%s", faults, src)
	}
	return m
}

// roster is the practice desk's, as the desk says it itself.
func roster() *desk.Roster {
	r := &desk.Roster{DCAs: []string{"low end", "band", "brass", "voices"}, Groups: []string{"rhythm", "band", "brass", "voices"}}
	for _, name := range []string{"cajon", "upright bass", "piano", "accordion", "fiddle", "mandolin", "harp", "trumpet", "horn",
		"organ pad", "lead voice", "harmony high", "harmony low", "choir pair", "reader's mic", "click"} {
		r.Inputs = append(r.Inputs, desk.Input{Name: name})
	}
	return r
}

// key is one value of the desk.
type key struct {
	signal    desk.Signal
	index, to int
	post      bool
}

// compare plays two services to both maps and holds their readings together.
func compare(t *testing.T, d practicetest.Dialect, want, got *oscmap.Map, g *Guide) (right int, missing, wrong []string) {
	t.Helper()
	return compareWithin(t, d, want, got, g, 0.3)
}

// compareWithin is compare where faders may be off by so many dB.
func compareWithin(t *testing.T, d practicetest.Dialect, want, got *oscmap.Map, g *Guide, fader float64) (right int, missing, wrong []string) {
	t.Helper()
	low := -math.MaxFloat64
	if c, ok := g.steps.control(inputStrip, zero, g.refused); ok {
		sc, _ := fit(c.points())
		low = sc.low
	}
	same := func(s desk.Signal, a, b desk.Reading, low float64) bool {
		return same(s, a, b, low) || s.Quantity() == desk.InputFader.Quantity() && strings.HasSuffix(s.String(), ".fader") && math.Abs(a.Value-b.Value) <= fader
	}
	bad, told := map[desk.Signal]string{}, map[desk.Signal]bool{}
	for _, name := range []string{"harbour-hall", "scene-change"} {
		script, err := practicetest.Service(name)
		if err != nil {
			t.Fatal(err)
		}
		byHand, drafted := want.NewHearer(), got.NewHearer()
		var r wire.Reader
		for at, packet := range practice.Play(script, d, practice.Playing{Seed: 7}) {
			for r.Reset(packet); r.Next(); {
				a := readings(byHand, at, r.Message())
				b := readings(drafted, at, r.Message())
				for k, v := range a {
					told[k.signal] = true
					if w, ok := b[k]; !ok || !same(k.signal, v, w, low) {
						bad[k.signal] = fmt.Sprintf("%s %d at %v in %s: %v by hand, %v by the draft", k.signal, k.index+1, at, name, v, b[k])
					}
				}
				for k, v := range b {
					if _, ok := a[k]; !ok {
						bad[k.signal] = fmt.Sprintf("%s %d at %v in %s: nothing by hand, %v by the draft", k.signal, k.index+1, at, name, v)
					}
				}
			}
		}
	}
	for _, s := range desk.Signals() {
		switch {
		case !want.HearsSignal(s) && !got.HearsSignal(s):
		case !told[s] && !got.HearsSignal(s):
			// A switch that nobody touches is not told, and a draft is made of what is.
		case !got.HearsSignal(s):
			missing = append(missing, s.String())
		case bad[s] != "":
			wrong = append(wrong, bad[s])
		default:
			right++
		}
	}
	return right, missing, wrong
}

func readings(h *oscmap.Hearer, at time.Duration, m *wire.Message) map[key]desk.Reading {
	out := map[key]desk.Reading{}
	for _, r := range h.Hear(nil, at, m) {
		out[key{r.Signal, r.Index, r.To, r.Post}] = r
	}
	return out
}

// same allows what the eye does not see and a hand does not do: 0.3 dB. Below the
// lowest mark that was given, a fader's scale is not known, and nobody mixes there.
func same(s desk.Signal, a, b desk.Reading, low float64) bool {
	if a.Text != b.Text {
		return false
	}
	switch s {
	case desk.InputFader, desk.DCAFader, desk.GroupFader, desk.MainFader:
		if a.Value < low && b.Value < low+0.3 {
			return true
		}
	}
	return a.Value == b.Value || math.Abs(a.Value-b.Value) <= 0.3
}

func golden(t *testing.T, name, got string) {
	t.Helper()
	goldenBut(t, name, got, func(string) bool { return false })
}

// goldenBut is golden but for the lines of the file that are left out.
func goldenBut(t *testing.T, name, got string, left func(line string) bool) {
	t.Helper()
	file := filepath.Join("testdata", name)
	if *update {
		if err := os.MkdirAll("testdata", 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	var wanted strings.Builder
	for line := range strings.Lines(string(want)) {
		if !left(line) {
			wanted.WriteString(line)
		}
	}
	if wanted.String() != got {
		t.Errorf("%s is not as it was; look at it, and if it is right run with -update. It is now\n%s", name, got)
	}
}
