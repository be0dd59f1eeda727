package daemon

import (
	"bytes"
	"context"
	"encoding/json"
	"log/slog"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"pawl/daemon/practice"
	"pawl/daemon/practice/practicetest"
	"pawl/daemon/store"
	"pawl/dashboard"
	"pawl/rules"
)

// TestPieces holds each piece of the earlier weeks to its own label.
func TestPieces(t *testing.T) {
	practicetest.SkipRaced(t)
	t.Parallel()
	played := map[string]bool{}
	for _, w := range practice.Weeks() {
		for _, p := range w.Parts {
			if played[p.Piece] {
				continue
			}
			played[p.Piece] = true
			script := practice.Piece(p.Piece)
			for _, fault := range mislabelled(judgeService(t, script), script.Expect) {
				t.Errorf("%s: %s", p.Piece, fault)
			}
		}
	}
}

// today is the day of a demo in these tests.
var today = time.Date(2031, 3, 12, 9, 0, 0, 0, time.UTC)

// recordWeeks records the weeks before today.
func recordWeeks(t *testing.T) (s *store.Store, folder string) {
	t.Helper()
	file := filepath.Join(t.TempDir(), "evening.record")
	r := store.NewRecorder(file, store.Options{})
	w := weeks{house: harbourHall(t), version: "1.2.3", record: r, file: file, folder: filepath.Join(filepath.Dir(file), "captures"), today: today}
	if err := w.run(t.Context()); err != nil {
		t.Fatal(err)
	}
	if err := r.Close(); err != nil {
		t.Fatal(err)
	}
	s, err := store.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s, filepath.Dir(file)
}

// TestWeeks wants eight services a week apart, each of its own, marked as made up, and
// fewer ratchets in the later ones; judged again each says the same, and so does each that is played again.
func TestWeeks(t *testing.T) {
	practicetest.SkipRaced(t)
	t.Parallel()
	s, folder := recordWeeks(t)
	again(t, folder)
	all, err := s.Services()
	if err != nil || len(all) != 8 {
		t.Fatalf("%d services, %v", len(all), err)
	}
	ratchets := make([]int, 8)
	trends, err := s.Trends(time.Time{}, today)
	if err != nil || len(trends) != 8 {
		t.Fatalf("%d trends, %v", len(trends), err)
	}
	seen := map[[3]int]bool{}
	for i, one := range all {
		day := today.AddDate(0, 0, -7*(i+1)).Format(time.DateOnly)
		length := one.Ended.Sub(one.Began)
		if one.Began.In(time.UTC).Format(time.DateOnly) != day || one.GoesOn || length < 20*time.Minute || length > time.Hour {
			t.Errorf("service %d: began %v, want on %v; %v long, goes on: %v", one.ID, one.Began, day, length, one.GoesOn)
		}
		if !strings.Contains(one.Name, "Demonstration") || !strings.HasSuffix(one.Mixing, " team") || one.Lost > 0 {
			t.Errorf("service %d: name %q, mixed by %q, %d lost", one.ID, one.Name, one.Mixing, one.Lost)
		}
		figures := [3]int{one.Moves, one.Findings, int(length.Seconds())}
		if seen[figures] {
			t.Errorf("service %d has the figures of another: %v", one.ID, figures)
		}
		seen[figures] = true
		for _, r := range trends[7-i].Rules {
			if r.Rule == "ratchet" {
				ratchets[7-i] = r.Opened
			}
		}
	}
	if early, late := sum(ratchets[:4]), sum(ratchets[4:]); early <= late || late == 0 {
		t.Errorf("ratchets by week: %v, want fewer in the second half, and some", ratchets)
	}
	sameAgain(t, s)
}

func sum(of []int) (n int) {
	for _, v := range of {
		n += v
	}
	return n
}

// sameAgain plays the weeks once more and wants the same record, with presses of every
// sort that the weeks are to have.
func sameAgain(t *testing.T, a *store.Store) {
	t.Helper()
	b, _ := recordWeeks(t)
	pressed := map[rules.Do]int{}
	for id := int64(1); id <= 8; id++ {
		one, err := a.Read(id)
		if err != nil {
			t.Fatal(err)
		}
		other, err := b.Read(id)
		if err != nil {
			t.Fatal(err)
		}
		if x, y := asJSON(t, one), asJSON(t, other); !bytes.Equal(x, y) {
			t.Errorf("week %d is another one the second time", id)
		}
		for _, e := range one[0].Entries {
			if p, ok := e.(*rules.Pressed); ok {
				pressed[p.Do]++
			}
		}
	}
	for _, do := range []rules.Do{rules.Seen, rules.NotNow, rules.SetMark, rules.NewSegment, rules.Note} {
		if pressed[do] == 0 {
			t.Errorf("nobody presses %s in eight weeks: %v", do, pressed)
		}
	}
}

func asJSON(t *testing.T, v any) []byte {
	t.Helper()
	b, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// TestDemoHasEarlierWeeks runs the demo until its first card, and wants the eight weeks
// in its record and behind them a ninth service, which lacks nothing though it began
// while the others were still being recorded. With the race detector they are not waited
// for: they are recorded beside the demo until its card.
func TestDemoHasEarlierWeeks(t *testing.T) {
	file := filepath.Join(t.TempDir(), "demo.record")
	lines := &printed{}
	o := DemoOptions{Speed: 20, Options: Options{Lines: Lines{W: lines, JSON: true}, Record: file}}
	demo, err := NewDemo(o)
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() { ended <- demo.Run(ctx) }()
	openTablet(t, demo.Page()).until("the card", func(s dashboard.Now) bool { return s.Card != nil })
	if !practicetest.Raced {
		<-demo.daemon.earlier.done
	}
	stop()
	if err := <-ended; err != nil {
		t.Fatal(err)
	}
	if practicetest.Raced {
		return
	}
	s, err := store.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	all, err := s.Services()
	if err != nil || len(all) != 9 || all[0].Name != "" || all[0].Began.Before(all[1].Ended) {
		t.Fatalf("%v, %+v", err, all)
	}
	whole, err := s.Read(all[0].ID)
	if err != nil || len(whole) != 1 {
		t.Fatalf("%d stretches, %v", len(whole), err)
	}
	want := lines.heads(t)
	for len(want) > 0 && want[0].T < whole[0].From {
		want = want[1:]
	}
	if len(whole[0].Entries) != len(want) {
		t.Errorf("%d entries recorded, %d printed since the service began", len(whole[0].Entries), len(want))
	}
	for i, e := range whole[0].Entries[:min(len(want), len(whole[0].Entries))] {
		if *e.Head() != want[i] {
			t.Fatalf("entry %d recorded is %v, printed was %v", i, *e.Head(), want[i])
		}
	}
}

// TestEarlierGivesUp ends the demo at once: recording the weeks must not hold it up.
func TestEarlierGivesUp(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	stop()
	file := filepath.Join(t.TempDir(), "weeks.record")
	r := store.NewRecorder(file, store.Options{})
	w := weeks{house: harbourHall(t), record: r, file: file, folder: t.TempDir(), today: today}
	e := earlier{record: w.run, done: make(chan struct{})}
	if !e.isAtWork() {
		t.Error("nothing waits for what has not begun")
	}
	e.start(ctx, slog.New(slog.DiscardHandler))()
	if err := r.Close(); err != nil || e.isAtWork() {
		t.Errorf("%v, at work: %v", err, e.isAtWork())
	}
	s, err := store.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if all, err := s.Services(); err != nil || len(all) > 1 {
		t.Errorf("%d services of a demo that ended at once, %v", len(all), err)
	}
}
