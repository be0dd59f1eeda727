package yardstick

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"pawl/daemon/practice"
	"pawl/daemon/practice/practicetest"
	"pawl/rules"
)

var update = flag.Bool("update", false, "write what the day said to testdata/day.txt")

// day is a day at the desk, most of it with something wrong: the sound check, two
// gatherings, and the break between them. Each is played to the same judge.
var day = []string{
	"sound-check", "",
	"everybody-plays", "reading-muted", "reel-climbs", "offering-song", "lead-drowned", "loud-end", "",
	"band-held", "answering-choir", "slow-creep", "after-the-talk", "fiddle-over-line", "hot-from-stage",
}

const rest = 20 * time.Minute

// TestDay holds the calm policy over all rules together, for a day of services: what was
// shown, what was held back, and why, stands in testdata/day.txt. EEMUA 191, on alarm
// management, regards one alarm in ten minutes as very likely acceptable to whoever has to
// answer it; a day with a fault in nearly every service may not bring more.
func TestDay(t *testing.T) {
	entries, length := playDay(t)
	var out strings.Builder
	var asked []time.Duration // when a whisper or a nudge first came to the screen
	known := map[int]bool{}   // one that comes back is nothing new to whoever reads
	for _, e := range entries {
		f, ok := e.(*rules.Finding)
		if !ok {
			continue
		}
		at := time.Duration(f.T)
		came := f.Shown && (f.State == rules.Open || f.State == rules.Shown)
		if came && f.Weight < rules.Now && !known[f.Number] {
			known[f.Number] = true
			asked = append(asked, at)
		}
		why := ""
		if f.HeldBack != nil {
			why = ": " + english.Say(*f.HeldBack)
		} else if !f.Shown && f.State != rules.Eased {
			t.Errorf("%v: %d %s is not shown, and nothing says why", at, f.Number, f.Rule)
		}
		fmt.Fprintf(&out, "%8s %2d %-5s %-7s %s%s\n", at.Round(time.Second), f.Number, f.State, f.Weight, f.Rule, why)
	}
	fmt.Fprintf(&out, "%s: %d whispers and nudges came to the screen\n", length.Round(time.Second), len(asked))
	calm := rules.DefaultLimits().Calm
	if most := int(length/calm.Every) + 1; len(asked) > most {
		t.Errorf("%d came to the screen in %v, want one in %v", len(asked), length, calm.Every)
	}
	for i := calm.Most; i < len(asked); i++ {
		if asked[i]-asked[i-calm.Most] < calm.Every {
			t.Errorf("%d came to the screen from %v to %v", calm.Most+1, asked[i-calm.Most], asked[i])
		}
	}
	const file = "testdata/day.txt"
	if *update {
		if err := os.WriteFile(file, []byte(out.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if want, err := os.ReadFile(file); err != nil || out.String() != string(want) {
		t.Errorf("%v\ngot\n%s\nwant\n%s", err, out.String(), want)
	}
}

func playDay(t *testing.T) (all []rules.Entry, at time.Duration) {
	t.Helper()
	services, err := practicetest.Yardstick("yardstick")
	if err != nil {
		t.Fatal(err)
	}
	byName := map[string]*practice.Script{}
	for _, s := range services {
		byName[s.Name] = s.Script
	}
	c := newCourt(houseOf(t, services[0].Script), services[0].Script)
	for _, name := range day {
		if name == "" {
			at += rest
			continue
		}
		s := byName[name]
		if s == nil {
			t.Fatalf("no service %q", name)
		}
		for then, packet := range practice.Play(s, practice.Harbour(), practice.Playing{}) {
			c.pass(at + then)
			c.packet(at+then, packet)
		}
		at += s.Length
		c.pass(at)
	}
	return c.entries, at
}

// pass lets time pass and compares nothing.
func (c *court) pass(at time.Duration) {
	c.judge.Advance(at)
	c.entries = append(c.entries, c.judge.Take(nil)...)
}
