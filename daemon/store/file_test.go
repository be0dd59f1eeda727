package store

import (
	"os"
	"slices"
	"testing"
	"time"

	"pawl/rules"
)

// TestExchangedWhileOpen puts another record in the place of the one that is written.
// Each then has what was written while it was there, and is whole.
func TestExchangedWhileOpen(t *testing.T) {
	path, aside, other := in(t), in(t), in(t)
	storeWith(t, other, 5).Close()
	r := NewRecorder(path, Options{Wall: ticking(evening.Add(time.Minute))})
	r.Begin(testRun(evening))
	r.BeginService(0)
	for i := range 200 { // more than a page of the log
		r.Put(aMove(uint64(i+1), float64(i)), nil)
		r.Flush()
	}
	for _, move := range [][2]string{{path, aside}, {other, path}} {
		if err := os.Rename(move[0], move[1]); err != nil {
			t.Fatal(err)
		}
	}
	r.Begin(testRun(evening.Add(time.Minute)))
	r.Put(aMove(1, 1), nil)
	if err := r.Flush(); err != nil {
		t.Fatal(err)
	}
	if s := r.Status(); s.Remark != "the record's file was exchanged while it was open; recording goes on in the new one" {
		t.Errorf("status %+v, want to hear of it", s)
	}
	if err := r.Close(); err != nil {
		t.Error(err)
	}
	if a, b := moves(t, aside), moves(t, path); a != 200 || b != 6 {
		t.Errorf("%d and %d entries, want 200 in the one that was there and 6 in the other", a, b)
	}
}

// TestDamagedIsPutAside breaks a record: the service is recorded in a new one, and the
// broken one is beside it.
func TestDamagedIsPutAside(t *testing.T) {
	path := in(t)
	storeWith(t, path, 300).Close()
	whole, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for i := 4096; i < len(whole); i++ { // all but the page that says whose it is
		whole[i] = byte(i * 7)
	}
	if err := os.WriteFile(path, whole, 0o644); err != nil {
		t.Fatal(err)
	}
	r := NewRecorder(path, Options{})
	r.Begin(testRun(evening))
	r.BeginService(0)
	r.Put(aMove(1, 1), nil)
	for range 3 {
		r.Flush()
	}
	if s := r.Status(); s.Fault != "" || s.Waiting > 0 || s.Remark == "" {
		t.Errorf("status %+v, want a remark and all written", s)
	}
	r.Close()
	if n := moves(t, path); n != 1 {
		t.Errorf("%d entries in the new record, want 1", n)
	}
}

// TestWrittenTwice hands in again what is there: of a transaction that was made though
// nobody learned of it.
func TestWrittenTwice(t *testing.T) {
	path := in(t)
	s := storeWith(t, path, 3)
	items, _ := merged(busy(2, 4, evening).entries, busy(2, 4, evening).levels)
	from := standing{run: 1, zero: unixMs(evening), presence: nobody()}
	for range 2 {
		if _, err := from.write(s.db, items, 0, 0); err != nil {
			t.Fatal(err)
		}
	}
	var grew, rows int
	if err := s.db.QueryRow("SELECT count(*), sum(grew) FROM findings").Scan(&rows, &grew); err != nil || rows != 2 || grew != 2 {
		t.Errorf("%d findings grew %d times (%v), want 2 once each", rows, grew, err)
	}
}

// TestNoMomentInTwoServices begins a service in the moment in which the last ended.
func TestNoMomentInTwoServices(t *testing.T) {
	path := in(t)
	r := NewRecorder(path, Options{})
	r.Begin(testRun(evening))
	r.BeginService(100 * time.Second)
	r.Put(aMove(1, 150), nil)
	r.Put(aMove(2, 200), nil)
	r.EndService(200 * time.Second)
	r.BeginService(200 * time.Second)
	r.Put(aMove(3, 201), nil)
	// Started again, soon: the part that was written first stays the first, though its
	// run's clock stood later.
	again := testRun(evening.Add(5 * time.Minute))
	r.Begin(again)
	r.Put(aMove(1, 1), nil)
	if err := r.Close(); err != nil {
		t.Fatal(err)
	}
	s := opened(t, path)
	var all [][]rules.Moment
	for _, id := range []int64{1, 2} {
		var times []rules.Moment
		for _, stretch := range read(t, s, id) {
			for _, e := range stretch.Entries {
				times = append(times, e.Head().T/rules.Moment(time.Second))
			}
		}
		all = append(all, times)
	}
	if !slices.Equal(all[0], []rules.Moment{150, 200}) || !slices.Equal(all[1], []rules.Moment{201, 1}) {
		t.Errorf("entries at %v, want 150 and 200 in the one, 201 and then 1 in the other", all)
	}
}
