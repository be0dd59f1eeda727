package practicetest

import (
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"pawl/daemon/house"
	"pawl/daemon/practice"
	"pawl/oscmap/wire"
	"pawl/rules/desk"
)

func yardstick(t *testing.T, set string) []Labelled {
	t.Helper()
	all, err := Yardstick(set)
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// yardsticks is every service of every set.
func yardsticks(t *testing.T) (all []Labelled) {
	t.Helper()
	sets, err := Yardsticks()
	if err != nil {
		t.Fatal(err)
	}
	for _, set := range sets {
		all = append(all, yardstick(t, set)...)
	}
	return all
}

// sets tells of each set what it promises in its README.
var sets = []struct {
	name           string
	longest        time.Duration
	speaks, silent int
}{
	{"yardstick", 12 * time.Minute, 10, 10},
	{"yardstick2", 20 * time.Minute, 15, 15},
	{"yardstick3", 12 * time.Minute, 5, 5},
	{"yardstick4", 12 * time.Minute, 8, 6},
	{"yardstick5", 15 * time.Minute, 7, 7},
	{"yardstick6", 15 * time.Minute, 7, 7},
	{"yardstick7", 15 * time.Minute, 7, 7},
	{"yardstick8", 15 * time.Minute, 7, 7},
	{"yardstick9", 15 * time.Minute, 6, 6},
	{"yardstick10", 15 * time.Minute, 6, 6},
	{"yardstick11", 15 * time.Minute, 8, 4},
	{"yardstick12", 15 * time.Minute, 7, 5},
	{"yardstick13", 15 * time.Minute, 5, 1},
	{"yardstick14", 15 * time.Minute, 4, 2},
}

// later are words that came when the large sets had been written.
var later = []string{"input too hard", "open in speech"}

func TestYardstick(t *testing.T) {
	var names []string
	for _, set := range sets {
		names = append(names, set.name)
		t.Run(set.name, func(t *testing.T) {
			testSet(t, yardstick(t, set.name), set.longest, set.speaks, set.silent)
		})
	}
	if got, err := Yardsticks(); err != nil || !slices.Equal(got, names) {
		t.Errorf("the sets are %v (%v), want %v", got, err, names)
	}
}

// testSet holds a set to its form: half of the services have something to say, half
// have not, and in a large set there is something to say of every kind.
func testSet(t *testing.T, all []Labelled, longest time.Duration, wantSpeaks, wantSilent int) {
	speaks, silent := 0, 0
	unused := slices.DeleteFunc(slices.Clone(Notices), func(w string) bool { return slices.Contains(later, w) })
	for _, l := range all {
		if l.Length < 3*time.Minute || l.Length > longest {
			t.Errorf("%s lasts %v, want 3m0s to %v", l.Name, l.Length, longest)
		}
		if len(l.Expect) > 0 {
			t.Errorf("%s expects something in its script, where nobody looks for it", l.Name)
		}
		for _, s := range l.Say {
			unused = slices.DeleteFunc(unused, func(w string) bool { return w == s.What })
		}
		if len(l.Say) > 0 {
			speaks++
			continue
		}
		silent++
		if len(l.Never) == 0 || l.Never[0].What != "anything" || l.Never[0].From != 0 || l.Never[0].Until != 0 {
			t.Errorf("%s has nothing to say and does not begin its list of what must not be said with anything", l.Name)
		}
	}
	if speaks != wantSpeaks || silent != wantSilent {
		t.Errorf("%d services have something to say and %d have not, want %d and %d", speaks, silent, wantSpeaks, wantSilent)
	}
	if len(unused) > 0 && len(all) >= 20 { // ten are too few for every kind
		t.Errorf("no service has %s to say", strings.Join(unused, ", "))
	}
}

// What ought to be said must not be forbidden anywhere in its time.
func TestLabelsAgree(t *testing.T) {
	for _, l := range yardsticks(t) {
		for _, s := range l.Say {
			for _, n := range l.Never {
				until := n.Until
				if until == 0 {
					until = l.Length
				}
				about := len(n.About) == 0 || len(s.About) == 0 || slices.ContainsFunc(n.About, func(w string) bool { return slices.Contains(s.About, w) })
				if about && (n.What == s.What || n.What == "anything") && n.From < s.Latest && s.Fair < until {
					t.Errorf("%s: %s is to be said from %v to %v and must not be from %v to %v", l.Name, s.What, s.Fair, s.Latest, n.From, until)
				}
			}
		}
	}
}

// Every service is played to its end, and its map hears every message of it.
func TestYardstickPlays(t *testing.T) {
	SkipRaced(t)
	for _, l := range yardsticks(t) {
		t.Run(l.Name, func(t *testing.T) {
			h := houseOf(t, l.Hall()).Map.NewHearer()
			var reader wire.Reader
			var readings []desk.Reading
			var last time.Duration
			for at, packet := range practice.Play(l.Script, practice.Harbour(), practice.Playing{}) {
				for reader.Reset(packet); reader.Next(); {
					readings = h.Hear(readings[:0], at, reader.Message())
				}
				if err := reader.Err(); err != nil {
					t.Fatalf("at %v: %v", at, err)
				}
				last = at
			}
			if c := h.Counts(); c.Unmapped > 0 {
				t.Errorf("%d messages were not understood, the last to %s", c.Unmapped, h.LastUnmapped())
			}
			if last < l.Length-time.Second {
				t.Errorf("ends at %v, want %v", last, l.Length)
			}
		})
	}
}

// houseOf loads a hall's house with the map beside it.
func houseOf(t *testing.T, in *practice.Hall) *house.House {
	t.Helper()
	file, files := House(in)
	h, faults := house.Files(files).Load(file)
	if faults.Wrong() {
		t.Fatal(faults)
	}
	return h
}

func TestLabelFaults(t *testing.T) {
	const head, quiet = "parts: [{from: 0s, is: music, name: a song}]\n", "never: [{what: anything, why: so}]\n"
	for _, c := range []struct{ name, src, want string }{
		{"unknown key", head + quiet + "shout: []", "field shout not found"},
		{"unknown key of a line", head + "say: [{what: ratchet, when: 1m}]", "field when not found"},
		{"unknown notice", head + "say: [{what: hum, fair: 1s, careful: 2s, latest: 3s, how: now, why: so}]", `say[0]: "hum" is not understood; want one of ratchet`},
		{"anything to say", head + "say: [{what: anything, fair: 1s, careful: 2s, latest: 3s, how: now, why: so}]", `say[0]: "anything" is not understood`},
		{"anything may be said", head + quiet + "may: [{what: anything, why: so}]", `may[0]: "anything" is not understood`},
		{"unknown strip", head + quiet + "may: [{what: creep, about: [band], why: so}]", `may[0]: no strip is called "band"`},
		{"unknown tone", head + "say: [{what: creep, fair: 1s, careful: 2s, latest: 3s, how: shout, why: so}]", `say[0]: "shout" is not understood; want one of whisper, nudge, now`},
		{"careful before fair", head + "say: [{what: creep, fair: 2s, careful: 1s, latest: 3s, how: now, why: so}]", `say[0]: 1s is out of order`},
		{"latest after the end", head + "say: [{what: creep, fair: 1s, careful: 2s, latest: 9m, how: now, why: so}]", `say[0]: 9m0s is out of order, or no time of a service of 5m0s`},
		{"until before from", head + "never: [{what: creep, from: 2s, until: 1s, why: so}]", `never[0]: 1s is out of order`},
		{"no time", head + "never: [{what: creep, from: soon, why: so}]", "cannot unmarshal"},
		{"no reason", head + "never: [{what: creep}]", `never[0]: no why`},
		{"nothing at all", head, "nothing to say and nothing to keep quiet about"},
		{"no parts", quiet, "parts: no part from 0s on"},
		{"late parts", "parts: [{from: 1s, is: music}]\n" + quiet, "parts: no part from 0s on"},
		{"unknown part", "parts: [{from: 0s, is: dancing}]\n" + quiet, `parts: "dancing" is not understood`},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := ParseLabels("s.labels.yaml", []byte(c.src), 5*time.Minute)
			if err == nil || !strings.HasPrefix(err.Error(), "s.labels.yaml: ") || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v, want %q in it", err, c.want)
			}
		})
	}
}

// The page that tells what a label means shows one that can be read, and a row
// for each word.
func TestYardstickReadme(t *testing.T) {
	src, err := os.ReadFile(testdata("yardstick", "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	_, example, _ := strings.Cut(string(src), "```yaml\n")
	example, _, _ = strings.Cut(example, "```")
	l, err := ParseLabels("README.md", []byte(example), 6*time.Minute)
	if err != nil || len(l.Say) == 0 || len(l.May) == 0 || len(l.Never) == 0 {
		t.Errorf("%v in the example: %+v", err, l)
	}
	var words []string
	for line := range strings.Lines(string(src)) {
		if word, ok := strings.CutPrefix(line, "| `"); ok {
			word, _, _ = strings.Cut(word, "`")
			words = append(words, word)
		}
	}
	if !slices.Equal(words, Notices) {
		t.Errorf("the table has %v, want %v", words, Notices)
	}
}
