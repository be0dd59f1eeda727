package daemon

import (
	"bytes"
	"encoding/json"
	"net/http"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"pawl/daemon/practice"
	"pawl/daemon/practice/practicetest"
	"pawl/daemon/store"
	"pawl/dashboard"
	"pawl/rules"
	"pawl/rules/desk"
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

// checkedBefore writes a record with one service, in which a line check ended with the main
// at a level, and gives what was kept and its file.
func checkedBefore(t *testing.T, main desk.DB) (*rules.LineChecked, string) {
	t.Helper()
	file := filepath.Join(t.TempDir(), "before.record")
	r := store.NewRecorder(file, store.Options{})
	r.Begin(store.Run{Zero: time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC), House: "Harbour Hall"})
	r.BeginService(0)
	stamp := func(n uint64, t time.Duration) rules.Stamp {
		return rules.Stamp{N: n, T: rules.Moment(t), Entry: rules.LineEntry}
	}
	piano := desk.Who{Strip: desk.StripInput, Name: "piano"}
	ended := &rules.LineChecked{
		Stamp: stamp(2, 5*time.Minute), State: rules.LineEnded, How: rules.LineStopped, Began: rules.Moment(time.Minute), Main: main,
		Inputs: []rules.LineInput{{
			Who: piano, State: rules.LineFinished, Metered: true, Sounded: 10, Checked: true, Mean: -17.36, Low: -18, High: desk.Silence, Peak: -15, DCAs: []desk.Who{},
			Remarks: []rules.LineRemark{{Kind: rules.LineLow, Says: rules.Say("line.low", rules.Level("mean", -30), rules.Level("least", -24)), Try: rules.Say("line.raise", rules.DB("by", 6))}},
		}},
		Desk: []rules.LineRemark{}, What: []rules.Phrase{rules.Say("line.left").Naming("who", piano)},
	}
	r.Put([]rules.Entry{&rules.LineChecked{Stamp: stamp(1, time.Minute), State: rules.LineBegun, Inputs: []rules.LineInput{}, Desk: []rules.LineRemark{}, What: []rules.Phrase{}}, ended}, nil)
	if err := r.Close(); err != nil {
		t.Fatal(err)
	}
	return ended, file
}

// TestLineCheckOfBefore: what a line check found is read back from the record as it was, and
// the next one remarks that the main stands elsewhere.
func TestLineCheckOfBefore(t *testing.T) {
	kept, file := checkedBefore(t, -31)
	if got := lastLineCheck(file); !reflect.DeepEqual(got, kept) {
		t.Fatalf("read back\n%+v\nwant\n%+v", got, kept)
	}
	if got := lastLineCheck(filepath.Join(t.TempDir(), "none")); got != nil {
		t.Errorf("%+v of no record", got)
	}
	clock := fastClock()
	h := harbourHall(t)
	h.Desk = playDesk(t, clock, "ratchet").Addr().String()
	d := start(t, h, Options{Clock: clock, Record: file})
	openTablet(t, d.Page()).until("a mix", func(s dashboard.Now) bool { return s.Basis != "" })
	answer, err := http.Post(d.Page()+"api/linecheck", "application/json", strings.NewReader(`{"do":"begin"}`))
	if err != nil {
		t.Fatal(err)
	}
	answer.Body.Close()
	for { // until the test's own deadline
		answer, err := http.Get(d.Page() + "api/linecheck")
		if err != nil {
			t.Fatal(err)
		}
		var now struct {
			On   bool `json:"on"`
			Desk []struct {
				Kind  rules.LineKind   `json:"kind"`
				Words *rules.LineWords `json:"words"`
			} `json:"desk"`
		}
		if err := json.NewDecoder(answer.Body).Decode(&now); err != nil {
			t.Fatal(err)
		}
		answer.Body.Close()
		if n := len(now.Desk); now.On && n > 0 && now.Desk[n-1].Kind == rules.LineMain {
			if text := now.Desk[n-1].Words.Says; !strings.HasSuffix(text, "at the line check before it stood at −31.0 dB.") {
				t.Errorf("said %q", text)
			}
			return
		}
		if t.Context().Err() != nil {
			t.Fatal("no word of the main")
		}
	}
}
