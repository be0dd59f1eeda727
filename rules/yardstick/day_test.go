package yardstick

import (
	"encoding/csv"
	"flag"
	"fmt"
	"os"
	"strconv"
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
// shown, what was held back, and why, stands in testdata/day.txt. A day with a fault in nearly
// every service may not bring more than is very likely to be acceptable by the published rates of
// testdata/checks/alarm_rates.csv, and neither may the budget by default.
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
	calm, acceptable := rules.DefaultLimits().Calm, acceptableRate(t)
	if calm.Every < acceptable {
		t.Errorf("the budget is one in %v, want one in %v or more", calm.Every, acceptable)
	}
	if each := length / time.Duration(max(len(asked), 1)); each < acceptable {
		t.Errorf("%d came to the screen in %v, one in %v; want one in %v or more", len(asked), length, each, acceptable)
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

// acceptableRate is how far apart alarms are, on a long average, that are very likely to be
// acceptable to whoever has to answer them.
func acceptableRate(t *testing.T) time.Duration {
	t.Helper()
	f, err := os.Open("../../testdata/checks/alarm_rates.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	for _, row := range rows {
		if row[1] == "very likely to be acceptable" {
			minutes, err := strconv.Atoi(row[0])
			if err != nil {
				t.Fatal(err)
			}
			return time.Duration(minutes) * time.Minute
		}
	}
	t.Fatalf("no rate is acceptable: %v", err)
	return 0
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
