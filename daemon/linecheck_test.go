package daemon

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"pawl/daemon/practice"
	"pawl/daemon/practice/practicetest"
	"pawl/rules"
)

// lineService is a line check at the practice desk: two players in turn, then the wrong one,
// then the right one, and nobody after that.
const lineService = `
length 1m30s
expect nothing
2s    play cajon
15s   rest cajon
18s   play upright bass
31s   rest upright bass
34s   play accordion
42s   rest accordion
46s   play piano
59s   rest piano
`

// TestLineCheckAtThePracticeDesk: the check hears who plays, says who answers in the place
// of another, and its summary is printed as it is for a replay. Nothing is said meanwhile
// that a service would be told.
func TestLineCheckAtThePracticeDesk(t *testing.T) {
	script, err := practice.ParseScript("line check", []byte(lineService))
	if err != nil {
		t.Fatal(err)
	}
	e := newEngine(harbourHall(t))
	var out bytes.Buffer
	lines := Lines{W: &out}
	tell := func() {
		for _, entry := range e.judge.Take(nil) {
			if f, ok := entry.(*rules.Finding); ok {
				t.Errorf("at %v: %s, to somebody who checks lines: %s", time.Duration(f.T), f.Rule, what(f))
			}
			if err := lines.Entry(entry); err != nil {
				t.Fatal(err)
			}
		}
	}
	begun := false
	looks := []struct {
		at   time.Duration
		want string // of the first four inputs
	}{
		{10 * time.Second, "asked, waiting, waiting, waiting"},
		{17 * time.Second, "done, asked, waiting, waiting"},
		{33 * time.Second, "done, done, asked, waiting"},
		{41 * time.Second, "done, done, asked answers accordion, waiting"},
		{63 * time.Second, "done, done, done, asked"},
	}
	for at, packet := range practice.Play(script, practicetest.Dialects()[0], practice.Playing{}) {
		if !begun && at > time.Second {
			begun = true
			if _, err := e.press(at, rules.Press{Do: rules.LineCheck, On: true}); err != nil {
				t.Fatal(err)
			}
		}
		for len(looks) > 0 && at >= looks[0].at {
			if got := stands(e.judge.LinePicture().Inputs[:4]); got != looks[0].want {
				t.Errorf("at %v: %s, want %s", looks[0].at, got, looks[0].want)
			}
			looks = looks[1:]
		}
		e.packet(at, packet)
		tell()
	}
	if _, err := e.press(script.Length, rules.Press{Do: rules.LineCheck}); err != nil {
		t.Fatal(err)
	}
	tell()
	for _, want := range []string{
		"The line check began, with 16 inputs.", "3 of 16 inputs heard, 3 of them with nothing to mend.", "Not heard: accordion, fiddle,", "The main stood at ",
	} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("printed %s, want %q in it", out.String(), want)
		}
	}
}

// stands is how far inputs are, with what is remarked of each.
func stands(inputs []rules.LineInput) string {
	var all []string
	for _, in := range inputs {
		text := string(in.State)
		for _, r := range in.Remarks {
			text += " " + string(r.Kind)
			if who := r.Says.Who["who"]; len(who) > 0 {
				text += " " + who[0].Name
			}
		}
		all = append(all, text)
	}
	return strings.Join(all, ", ")
}
