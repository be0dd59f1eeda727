package store

import (
	"database/sql"
	"fmt"
	"reflect"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"pawl/rules"
)

// captured is a run that began so many seconds after the evening, with its capture.
func captured(after int, file, houseText string) Run {
	r := testRun(evening.Add(time.Duration(after) * time.Second))
	r.Capture, r.HousePrint, r.HouseText, r.MapText = file, "h-"+houseText, houseText, "the map"
	return r
}

// mixed puts seconds of music with a hand, on the clock of the run.
func mixed(r *Recorder, from, to int) {
	for s := from; s < to; s++ {
		r.Put(aMove(uint64(s), float64(s)), []rules.Levels{second(s, 8)})
	}
}

// TestOrigins records a service over a house file that was read again and a start of
// Pawl, and one in a capture of its own, and finds what each was judged from.
func TestOrigins(t *testing.T) {
	path := in(t)
	r := NewRecorder(path, Options{Bytes: 1 << 30})
	r.Begin(captured(0, "a", "old"))
	second := captured(0, "a", "new")
	second.At = rules.Moment(50 * time.Second)
	r.Begin(second) // before anything was heard: the first run has no part of a service
	mixed(r, 60, 300)
	r.Begin(captured(310, "b", "new"))
	mixed(r, 1, 100)
	r.EndService(100 * time.Second)
	for s := 100; s < 200; s++ {
		r.Put(nil, []rules.Levels{{T: rules.Moment(time.Duration(s) * time.Second)}})
	}
	r.Begin(captured(2000, "c", "new"))
	mixed(r, 1, 100)
	if err := r.Flush(); err != nil {
		t.Fatal(err)
	}
	s := opened(t, path)
	all := services(t, s)
	if len(all) != 2 {
		t.Fatalf("services %q, want two", spans(t, s))
	}
	old, renewed := Texts{"old", "the map"}, Texts{"new", "the map"}
	got, err := s.Origins(all[1].ID)
	if err != nil {
		t.Fatal(err)
	}
	at := func(s int) rules.Moment { return rules.Moment(time.Duration(s) * time.Second) }
	want := []Origin{
		{Capture: "a", Houses: []Texts{old, renewed}, Spans: []Span{{at(60), got[0].Spans[0].Until, 1}}},
		{Capture: "b", Houses: []Texts{renewed}, Spans: []Span{{0, at(100) + 1e6, 0}}},
	}
	if !reflect.DeepEqual(got, want) || got[0].Spans[0].Until < at(300) {
		t.Errorf("origins %+v, want %+v", got, want)
	}
	if goes, err := s.Origins(all[0].ID); err != nil || len(goes) != 1 || goes[0].Capture != "c" || goes[0].Spans[0].Until < at(1e6) {
		t.Errorf("of what goes on: %+v, %v", goes, err)
	}
	if _, err := s.Origins(99); err == nil {
		t.Error("a service that is not there has origins")
	}
	if loose, err := s.LooseCaptures(); err != nil || len(loose) > 0 {
		t.Errorf("loose %q, %v", loose, err)
	}
	if err := s.Delete(all[1].ID); err != nil {
		t.Fatal(err)
	}
	if loose, err := s.LooseCaptures(); err != nil || !slices.Equal(loose, []string{"a", "b"}) {
		t.Errorf("loose once the service is deleted: %q, %v", loose, err)
	}
	if err := s.ForgetCapture("a"); err != nil {
		t.Fatal(err)
	}
	if loose, _ := s.LooseCaptures(); !slices.Equal(loose, []string{"b"}) {
		t.Errorf("loose once one is forgotten: %q", loose)
	}
	if n := rowsOf(t, s, "texts"); n != 2 {
		t.Errorf("%d texts, want the house file that is still needed and the map", n)
	}
	if err := r.Close(); err != nil {
		t.Fatal(err)
	}
}

func rowsOf(t *testing.T, s *Store, table string) (n int) {
	t.Helper()
	if err := s.db.QueryRow("SELECT count(*) FROM " + table).Scan(&n); err != nil {
		t.Fatal(err)
	}
	return n
}

// TestSplitInOneCapture: two stretches of one capture are judged in one go, without what
// lies between them.
func TestSplitInOneCapture(t *testing.T) {
	path := in(t)
	r := NewRecorder(path, Options{Bytes: 1 << 30})
	r.Begin(captured(0, "a", "house"))
	mixed(r, 1, 300)
	r.EndService(300 * time.Second)
	if err := r.Close(); err != nil {
		t.Fatal(err)
	}
	s := opened(t, path)
	first := services(t, s)[0].ID
	middle, err := s.Split(first, evening.Add(100*time.Second))
	if err != nil {
		t.Fatal(err)
	}
	last, err := s.Split(middle, evening.Add(200*time.Second))
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Join(middle, last); err != nil {
		t.Fatal(err)
	}
	got, err := s.Origins(middle)
	if err != nil || len(got) != 1 || len(got[0].Spans) != 2 || got[0].Spans[0].Until != got[0].Spans[1].From {
		t.Errorf("origins %+v, %v", got, err)
	}
}

// TestIdleRuns: a desk that idles for weeks, with a run for each half hour, leaves
// nothing behind but the newest.
func TestIdleRuns(t *testing.T) {
	path := in(t)
	r := NewRecorder(path, Options{Bytes: 1 << 30})
	for i := range 200 {
		r.Begin(captured(i*1800, fmt.Sprintf("idle-%d", i), "house"))
		r.Put(aMove(1, 5), []rules.Levels{second(500, 0)})
	}
	if err := r.Close(); err != nil {
		t.Fatal(err)
	}
	s := opened(t, path)
	if runs, entries := rowsOf(t, s, "runs"), rowsOf(t, s, "entries"); runs > 1 || entries > 1 {
		t.Errorf("%d runs and %d entries are left", runs, entries)
	}
	if loose, err := s.LooseCaptures(); err != nil || len(loose) != 199 {
		t.Errorf("%d loose captures, %v", len(loose), err)
	}
}

// TestAttendance: whether a service goes on is known as soon as something is put, and is
// what the record then says.
func TestAttendance(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		r := NewRecorder(in(t), Options{Bytes: 1 << 30, Every: time.Hour})
		defer r.Close()
		r.Begin(testRun(evening))
		at, zero := 0, 0
		for range rapid.IntRange(1, 8).Draw(rt, "stretches") {
			switch rapid.IntRange(0, 9).Draw(rt, "what") {
			case 0:
				r.BeginService(time.Duration(at+1) * time.Second)
			case 1:
				r.EndService(time.Duration(at+1) * time.Second)
			case 2:
				zero, at = zero+at, 0
				r.Begin(testRun(evening.Add(time.Duration(zero) * time.Second)))
			}
			playing, every := rapid.SampledFrom([]int{0, 0, 8}).Draw(rt, "playing"), rapid.SampledFrom([]int{0, 0, 10, 45}).Draw(rt, "every")
			for range rapid.SampledFrom([]int{30, 70, 300, 800, 1000}).Draw(rt, "seconds") {
				at++
				var e []rules.Entry
				if every > 0 && at%every == 0 {
					e = aMove(uint64(at), float64(at))
				}
				r.Put(e, []rules.Levels{second(at, playing)})
			}
			r.mu.Lock()
			early := r.seen.on
			r.mu.Unlock()
			if err := r.Flush(); err != nil {
				rt.Fatal(err)
			}
			s, err := Open(r.file.path)
			if err != nil {
				rt.Fatal(err)
			}
			all, err := s.Services()
			s.Close()
			if err != nil {
				rt.Fatal(err)
			}
			goes := slices.ContainsFunc(all, func(s Service) bool { return s.GoesOn })
			if status := r.Status(); early != goes || status.GoesOn != goes {
				rt.Fatalf("at %d a service goes on: %v as soon as it is put, %v in the status, %v in the record", at, early, status.GoesOn, goes)
			}
		}
	})
}

// TestOlderRecord brings a record of the first version to this one, and keeps what is in it.
func TestOlderRecord(t *testing.T) {
	path := in(t)
	db, err := sql.Open("sqlite", newSource(path))
	if err != nil {
		t.Fatal(err)
	}
	if err := bring(db, "migrations/0001_record.sql", 0); err != nil {
		t.Fatal(err)
	}
	for _, q := range []string{
		"INSERT INTO runs (id, zero_unix_ms, house, house_print, map_print, pawl, strips) VALUES (1, 1000, 'Hall', 'h', 'm', '1', '{}')",
		"INSERT INTO services (id, name, mixing) VALUES (1, 'old', '')",
		"INSERT INTO parts (run, from_ms, until_ms, heard_ms, service) VALUES (1, 0, 5000, 5000, 1)",
		"UPDATE counters SET newest = 1 WHERE name <> 'note'",
	} {
		if _, err := db.Exec(q); err != nil {
			t.Fatal(err)
		}
	}
	db.Close()
	s := opened(t, path)
	if all := services(t, s); len(all) != 1 || all[0].Name != "old" {
		t.Errorf("services %+v", all)
	}
	if o, err := s.Origins(1); err != nil || len(o) != 1 || o[0].Capture != "" || o[0].Houses != nil {
		t.Errorf("origins %+v, %v; want one without a capture", o, err)
	}
}
