package main

import (
	"bytes"
	"database/sql"
	"errors"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"pawl/daemon/store"
	"pawl/rules"
	"pawl/rules/desk"
)

// recorded writes a record of two evenings of half an hour, of which the first has a name,
// a note that a spreadsheet would take for a formula, and a ratchet in its song.
func recorded(ts *testscript.TestScript, _ bool, args []string) {
	ts.Check(recordEvenings(ts.MkAbs(args[0])))
}

func recordEvenings(path string) error {
	r := store.NewRecorder(path, store.Options{})
	for week := range 2 {
		r.Begin(store.Run{
			Zero: time.Date(2026, 3, 1+7*week, 18, 30, 0, 0, time.UTC), House: "Harbour Hall", Pawl: "1.2.3",
			Strips: store.Strips{Inputs: []desk.Input{{Name: "piano", Gate: -50}, {Name: "harp", Gate: -50}}, Groups: []string{"band"}},
		})
		r.BeginService(0)
		r.Put(evening(week))
		r.EndService(30 * time.Minute)
	}
	if err := r.Close(); err != nil {
		return err
	}
	s, err := store.Open(path)
	if err != nil {
		return err
	}
	defer s.Close()
	return s.Rename(1, "Harvest evening")
}

// evening is what was said in one of them.
func evening(week int) (entries []rules.Entry, levels []rules.Levels) {
	piano := desk.Who{Strip: desk.StripInput, Name: "piano"}
	say := func(at time.Duration, kind rules.EntryKind, e rules.Entry) {
		*e.Head() = rules.Stamp{N: uint64(len(entries) + 1), T: rules.Moment(at), Entry: kind}
		entries = append(entries, e)
	}
	say(0, rules.SegmentEntry, &rules.Parted{Number: 1, Kind: desk.Music, Name: "reel", How: desk.Tapped})
	if week == 0 {
		at := rules.Moment(5 * time.Minute)
		say(time.Duration(at), rules.MoveEntry, &rules.Moved{Who: piano, Kind: desk.Raise, Began: at - 1e9, Ended: at, From: -3, To: 3, By: 6})
		say(5*time.Minute+time.Second, rules.FindingEntry, &rules.Finding{Number: 1, Rule: "ratchet", State: rules.Open, Weight: rules.Nudge, Shown: true,
			About: []desk.Who{piano}, Inputs: []string{"piano"}, Said: rules.Said{What: []rules.Phrase{rules.Say("ratchet.raised-little", rules.Time("over", time.Minute))}}})
		say(6*time.Minute, rules.PressEntry, &rules.Pressed{Press: rules.Press{Do: rules.Note, Text: "=the harp is out of tune"}})
	}
	say(20*time.Minute, rules.SegmentEntry, &rules.Parted{Number: 2, Kind: desk.Quiet})
	for i := range 30 * 60 {
		piano, harp := rules.InputLevels{Gain: -3, Level: -20, Share: -23}, rules.InputLevels{Level: -20, Share: -20}
		if week == 0 && i >= 300 {
			piano.Gain, piano.Share = 3, -17
		}
		levels = append(levels, rules.Levels{T: rules.Moment(i) * rules.Moment(time.Second), Heard: true, Playing: 2, Total: -17,
			Inputs: []rules.InputLevels{piano, harp}, Groups: []rules.GroupLevels{{}}})
	}
	return entries, levels
}

// newer makes a record that of a Pawl of the future.
func newer(ts *testscript.TestScript, _ bool, args []string) {
	db, err := sql.Open("sqlite", ts.MkAbs(args[0]))
	ts.Check(err)
	_, err = db.Exec("UPDATE record SET version = 1000")
	ts.Check(err)
	ts.Check(db.Close())
}

func cut(ts *testscript.TestScript, _ bool, args []string) {
	file, at, _ := partOf(ts, args)
	ts.Check(os.Truncate(file, at))
}

func blank(ts *testscript.TestScript, _ bool, args []string) {
	file, at, size := partOf(ts, args)
	f, err := os.OpenFile(file, os.O_WRONLY, 0)
	ts.Check(err)
	_, err = f.WriteAt(make([]byte, size/10), at)
	ts.Check(errors.Join(err, f.Close()))
}

// partOf is a file, and where in it a share ends.
func partOf(ts *testscript.TestScript, args []string) (file string, at, size int64) {
	file = ts.MkAbs(args[0])
	info, err := os.Stat(file)
	ts.Check(err)
	percent, err := strconv.ParseInt(args[1], 10, 64)
	ts.Check(err)
	return file, info.Size() * percent / 100, info.Size()
}

// TestReviewOfWhatPawlLeft: a service in which Pawl was ended goes on in the record until another
// Pawl ends it, but not for a review a quarter of an hour later.
func TestReviewOfWhatPawlLeft(t *testing.T) {
	for ago, goesOn := range map[time.Duration]bool{31 * time.Minute: true, 3 * time.Hour: false} {
		path := filepath.Join(t.TempDir(), "hall.record")
		r := store.NewRecorder(path, store.Options{})
		r.Begin(store.Run{Zero: time.Now().Add(-ago), House: "Harbour Hall", Strips: store.Strips{Inputs: []desk.Input{{Name: "piano"}, {Name: "harp"}}, Groups: []string{"band"}}})
		r.BeginService(0)
		r.Put(evening(1))
		if err := r.Close(); err != nil {
			t.Fatal(err)
		}
		for _, args := range []string{"--list", "last", "last --json"} {
			var out, errs bytes.Buffer
			if run(append([]string{"review", "--record", path}, strings.Fields(args)...), &out, &errs) != exitGood {
				t.Fatal(errs.String())
			}
			if says := strings.Contains(out.String(), "it goes on") || strings.Contains(out.String(), `"goes_on":true`); says != goesOn {
				t.Errorf("pawl review %s of a service that began %v ago says that it goes on: %v, want %v", args, ago, says, goesOn)
			}
		}
	}
}

// TestReviewExits: 0 for what is there, 1 for what is not, 2 for words that do not go
// together.
func TestReviewExits(t *testing.T) {
	folder := t.TempDir()
	t.Chdir(folder)
	t.Setenv("STATE_DIRECTORY", "")
	if err := recordEvenings(filepath.Join(folder, "hall.record")); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile("there", nil, 0o644); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		args string
		want int
	}{
		{"", exitGood}, {"last", exitGood}, {"1", exitGood}, {"harvest", exitGood}, {"--list", exitGood}, {"--json", exitGood}, {"--html page.html", exitGood},
		{"--csv tables", exitGood}, {"--backup copy.sqlite", exitGood}, {"--record hall.record 2", exitGood}, {"-h", exitGood},
		{"3", exitWrong}, {"nobody", exitWrong}, {"--html there", exitWrong}, {"--csv tables", exitWrong}, {"--csv there", exitWrong}, {"--backup there", exitWrong},
		{"--record there", exitWrong}, {"--record nowhere", exitWrong}, {"--record .", exitWrong}, {"--html no/folder", exitWrong}, {"--house nowhere.yaml", exitWrong},
		{"1 2", exitUsage}, {"--list 1", exitUsage}, {"--list --html x", exitUsage}, {"--all", exitUsage}, {"--record a --house b", exitUsage}, {"--nonsense", exitUsage},
	} {
		var out, errs bytes.Buffer
		if got := run(append([]string{"review"}, strings.Fields(c.args)...), &out, &errs); got != c.want {
			t.Errorf("pawl review %s: exit code %d, want %d; %s", c.args, got, c.want, errs.String())
		}
		if c.want != exitGood && errs.Len() == 0 || c.want == exitWrong && out.Len() > 0 {
			t.Errorf("pawl review %s: printed %q and said %q", c.args, out.String(), errs.String())
		}
	}
	if b, err := os.ReadFile("there"); err != nil || len(b) != 0 {
		t.Errorf("the file that was there is %q, %v", b, err)
	}
}
