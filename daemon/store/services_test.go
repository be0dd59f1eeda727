package store

import (
	"errors"
	"fmt"
	"path/filepath"
	"reflect"
	"slices"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"pawl/rules"
	"pawl/rules/desk"
)

// played is a script of what goes on at a desk: in each span something plays or not, and
// a fader moves every so many seconds, 0 for never.
type played struct {
	seconds, playing, every int
}

// stream is what the judge would say of a script.
func stream(script ...played) (entries []rules.Entry, levels []rules.Levels) {
	at := 0
	for _, p := range script {
		for range p.seconds {
			at++
			levels = append(levels, second(at, p.playing))
			if p.every > 0 && at%p.every == 0 {
				entries = append(entries, move(uint64(len(entries)+1), float64(at)+0.5))
			}
		}
	}
	return entries, levels
}

// spans are the services of a record, the earliest first, as seconds of the evening.
func spans(t *testing.T, s *Store) (all []string) {
	t.Helper()
	for _, one := range services(t, s) {
		span := fmt.Sprintf("%v-%v", one.Began.Sub(evening).Seconds(), one.Ended.Sub(evening).Seconds())
		if one.GoesOn {
			span += " goes on"
		}
		all = append(all, span)
	}
	slices.Reverse(all)
	return all
}

const minutes = 60

func TestServicesBeginAndEndByThemselves(t *testing.T) {
	for _, c := range []struct {
		name   string
		script []played
		want   []string
	}{
		{"nobody at all", []played{{600, 0, 0}}, nil},
		{"music that nobody mixes", []played{{600, 8, 0}}, nil},
		{"hands without a sound", []played{{600, 0, 10}}, nil},
		{"music, and then a hand", []played{{300, 8, 0}, {300, 8, 10}}, []string{"310-600.5 goes on"}},
		{"a hand, and within the minute music", []played{{9, 0, 0}, {1, 0, 10}, {50, 0, 0}, {300, 8, 0}}, []string{"10.5-360 goes on"}},
		{"a hand, and too late music", []played{{9, 0, 0}, {1, 0, 10}, {70, 0, 0}, {300, 8, 0}}, nil},
		{"silence of less than a quarter", []played{{300, 8, 10}, {14 * minutes, 0, 0}, {300, 8, 10}}, []string{"10-1440.5 goes on"}},
		{"a quarter of an hour of nothing", []played{{300, 8, 10}, {20 * minutes, 0, 0}}, []string{"10-300.5"}},
		{"two services", []played{{300, 8, 10}, {20 * minutes, 0, 0}, {300, 8, 10}}, []string{"10-300.5", "1510-1800.5 goes on"}},
		{"music on and on is no silence", []played{{300, 8, 10}, {40 * minutes, 8, 0}}, []string{"10-2700 goes on"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			entries, levels := stream(c.script...)
			path := in(t)
			r := NewRecorder(path, Options{Bytes: 1 << 30})
			r.Begin(testRun(evening))
			r.Put(entries, levels)
			if err := r.Close(); err != nil {
				t.Fatal(err)
			}
			if got := spans(t, opened(t, path)); !slices.Equal(got, c.want) {
				t.Errorf("services %q, want %q", got, c.want)
			}
		})
	}
}

// TestLiveIsReplay cuts a stream into transactions at any places, as a live service is,
// and wants the same record as of the whole at once.
func TestLiveIsReplay(t *testing.T) {
	entries, levels := stream(played{100, 8, 0}, played{300, 8, 10}, played{16 * minutes, 0, 0}, played{200, 0, 30}, played{300, 8, 7})
	var want []Stretch
	for _, size := range []int{0, 1, 7, 61, 900} {
		path := in(t)
		r := NewRecorder(path, Options{Bytes: 1 << 30})
		r.Begin(testRun(evening))
		e, l := entries, levels
		for size > 0 && len(l) > size {
			n := 0
			for n < len(e) && e[n].Head().T < l[size].T {
				n++
			}
			r.Put(e[:n], l[:size])
			e, l = e[n:], l[size:]
			if len(l)%(size*5+1) < size*5 || size > 1 {
				r.Flush()
			}
		}
		r.Put(e, l)
		if err := r.Close(); err != nil {
			t.Fatal(err)
		}
		s := opened(t, path)
		var got []Stretch
		for _, one := range services(t, s) {
			got = append(got, read(t, s, one.ID)...)
		}
		if want == nil {
			want = got
		}
		if len(got) != 2 || !reflect.DeepEqual(got, want) {
			t.Errorf("in pieces of %d seconds: %q, and not what it is as a whole", size, spans(t, s))
		}
	}
}

// TestByHand ends a service in the middle of the music, which begins none until it has
// stopped, and begins one in the silence.
func TestByHand(t *testing.T) {
	path := in(t)
	r := NewRecorder(path, Options{Bytes: 1 << 30})
	r.Begin(testRun(evening))
	entries, levels := stream(played{300, 8, 10})
	r.Put(entries, levels)
	r.EndService(301 * time.Second)
	for s := 302; s < 400; s++ {
		r.Put(aMove(uint64(s), float64(s)), []rules.Levels{second(s, 8)})
	}
	for s := 400; s < 500; s++ {
		r.Put(nil, []rules.Levels{second(s, 0)})
	}
	r.BeginService(500 * time.Second)
	r.BeginService(501 * time.Second)
	r.Put(aMove(1000, 502), []rules.Levels{second(503, 8)})
	if err := r.Close(); err != nil {
		t.Fatal(err)
	}
	if got, want := spans(t, opened(t, path)), []string{"10-301", "500-503 goes on"}; !slices.Equal(got, want) {
		t.Errorf("services %q, want %q", got, want)
	}
}

// TestStartedAgain has Pawl started again within a service, or later, or in another house,
// or with a clock that stands earlier.
func TestStartedAgain(t *testing.T) {
	for _, c := range []struct {
		name  string
		after time.Duration // of the first start
		house string
		want  []string
	}{
		{"soon", 5 * time.Minute, "Harbour Hall", []string{"1-302 goes on"}},
		{"too late", 40 * time.Minute, "Harbour Hall", []string{"1-60", "2401-2402 goes on"}},
		{"elsewhere", 5 * time.Minute, "Quay Chapel", []string{"1-60", "301-302 goes on"}},
		{"with a clock put back", -2 * time.Hour, "Harbour Hall", []string{"-7199--7198 goes on", "1-60"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := in(t)
			storeWith(t, path, 60).Close()
			run := testRun(evening.Add(c.after))
			run.House = c.house
			r := NewRecorder(path, Options{Wall: func() time.Time { return run.Zero }})
			r.Begin(run)
			r.Put(aMove(1, 1), []rules.Levels{second(2, 8)})
			if err := r.Close(); err != nil {
				t.Fatal(err)
			}
			got := spans(t, opened(t, path))
			for i, span := range got { // of the first, which was begun by hand at 0
				if span[:2] == "0-" {
					got[i] = "1" + span[1:]
				}
			}
			if !slices.Equal(got, c.want) {
				t.Errorf("services %q, want %q", got, c.want)
			}
		})
	}
}

// TestLeftGoingOn has a service that a Pawl left, and one that starts so late that it is
// over, and hears no desk.
func TestLeftGoingOn(t *testing.T) {
	path := in(t)
	s := storeWith(t, path, 60)
	r := NewRecorder(path, Options{Wall: func() time.Time { return evening.Add(time.Hour) }})
	if err := r.Flush(); err != nil {
		t.Fatal(err)
	}
	if got := spans(t, s); !slices.Equal(got, []string{"0-60"}) {
		t.Errorf("services %q, want one that is over", got)
	}
	r.Close()
}

// TestHouseReadAgain goes on in the same service, with the same clock and numbers.
func TestHouseReadAgain(t *testing.T) {
	path := in(t)
	r := NewRecorder(path, Options{})
	r.Begin(testRun(evening))
	r.BeginService(0)
	r.Put(aMove(1, 10), []rules.Levels{second(11, 8)})
	again := testRun(evening)
	again.At, again.HousePrint = rules.Moment(20*time.Second), "h2"
	r.Begin(again)
	r.Put([]rules.Entry{&rules.Housed{Stamp: rules.Stamp{N: 2, T: again.At, Entry: rules.HouseEntry}, House: "Harbour Hall"}}, nil)
	r.Put(aMove(3, 21), []rules.Levels{second(22, 8)})
	if err := r.Close(); err != nil {
		t.Fatal(err)
	}
	s := opened(t, path)
	if got := spans(t, s); !slices.Equal(got, []string{"0-22 goes on"}) {
		t.Fatalf("services %q, want one", got)
	}
	var numbers []uint64
	var prints []string
	for _, stretch := range read(t, s, 1) {
		prints = append(prints, stretch.Run.HousePrint)
		for _, e := range stretch.Entries {
			numbers = append(numbers, e.Head().N)
		}
	}
	if !slices.Equal(numbers, []uint64{1, 2, 3}) || !slices.Equal(prints, []string{"h1", "h2"}) {
		t.Errorf("entries %v of houses %v", numbers, prints)
	}
}

// TestClockIsSet has the time of day put right in the middle of a service.
func TestClockIsSet(t *testing.T) {
	path := in(t)
	synctest.Test(t, func(t *testing.T) {
		var off atomic.Int64 // what the clock is wrong by
		wall := func() time.Time { return time.Now().Add(time.Duration(off.Load())) }
		off.Store(int64(-3 * time.Hour))
		r := NewRecorder(path, Options{Wall: wall})
		zero := wall()
		r.Begin(testRun(zero))
		r.BeginService(0)
		r.Put(aMove(1, 1), nil)
		time.Sleep(2 * time.Second)
		synctest.Wait()
		off.Store(0)
		r.Put(aMove(2, 2), nil)
		time.Sleep(2 * time.Second)
		synctest.Wait()
		off.Store(int64(-time.Hour))
		time.Sleep(2 * time.Second)
		synctest.Wait()
		if s := r.Status(); s.Fault != "" || s.Remark != "the clock was put back by 1h0m0s; the times of this service follow it" {
			t.Errorf("status %+v, want to hear of the clock", s)
		}
		again := testRun(zero)
		again.At = rules.Moment(6 * time.Second)
		r.Begin(again)
		r.Put(aMove(3, 7), nil)
		r.Close()
		all := services(t, opened(t, path))
		if want := zero.Add(2*time.Hour + 7*time.Second); len(all) == 1 && !all[0].Ended.Equal(want) {
			t.Errorf("it ended at %v, want %v", all[0].Ended, want)
		}
		if want := zero.Add(2 * time.Hour); len(all) != 1 || !all[0].Began.Equal(want) {
			t.Errorf("services %+v, want one that began at %v", all, want)
		}
	})
}

func TestRenameAndLabel(t *testing.T) {
	s := storeWith(t, in(t), 3)
	if err := errors.Join(s.Rename(1, "harvest"), s.Label(1, "the early team")); err != nil {
		t.Fatal(err)
	}
	if one, err := s.Service(1); err != nil || one.Name != "harvest" || one.Mixing != "the early team" {
		t.Errorf("%+v, %v", one, err)
	}
	for _, err := range []error{s.Rename(2, "x"), s.Label(2, "x")} {
		if !errors.Is(err, ErrNoService) {
			t.Errorf("error %v, want that there is none", err)
		}
	}
	if s.Rename(1, "two\nlines") == nil || s.Label(1, string(make([]byte, MostText+1))) == nil {
		t.Error("a text that no page can show was taken")
	}
}

// TestSplitAndJoin takes a service apart and puts it together again.
func TestSplitAndJoin(t *testing.T) {
	for _, goesOn := range []bool{false, true} {
		t.Run(fmt.Sprint(goesOn), func(t *testing.T) {
			path := in(t)
			r := NewRecorder(path, Options{})
			defer r.Close()
			r.Begin(testRun(evening))
			r.BeginService(0)
			for i := range 60 {
				r.Put(aMove(uint64(i+1), float64(i)), []rules.Levels{second(i+1, 1)})
			}
			if !goesOn {
				r.EndService(61 * time.Second)
			}
			if err := r.Flush(); err != nil {
				t.Fatal(err)
			}
			s := opened(t, path)
			whole := read(t, s, 1)
			if _, err := s.AddNote(1, evening.Add(40*time.Second), "here", evening.Add(time.Hour)); err != nil {
				t.Fatal(err)
			}
			for _, at := range []time.Duration{0, time.Hour} {
				if _, err := s.Split(1, evening.Add(at)); !errors.Is(err, ErrOutside) {
					t.Errorf("split at %v: %v, want that it is outside", at, err)
				}
			}
			second, err := s.Split(1, evening.Add(30*time.Second))
			if err != nil {
				t.Fatal(err)
			}
			a, b := read(t, s, 1)[0], read(t, s, second)[0]
			if len(a.Entries) != 30 || len(b.Entries) != 30 || len(a.Levels)+len(b.Levels) != 60 {
				t.Errorf("%d and %d entries, want half in each", len(a.Entries), len(b.Entries))
			}
			if notes, err := s.Notes(second); err != nil || len(notes) != 1 {
				t.Errorf("notes of the second %+v, %v, want the one of its time", notes, err)
			}
			if all := services(t, s); len(all) != 2 || all[0].GoesOn != goesOn || all[1].GoesOn {
				t.Errorf("services %+v", all)
			}
			s.Rename(second, "evening")
			if err := s.Join(second, 1); err != nil {
				t.Fatal(err)
			}
			again := read(t, s, 1)
			var entries []rules.Entry
			for _, stretch := range again {
				entries = append(entries, stretch.Entries...)
			}
			same(t, entries, whole[0].Entries)
			if one, err := s.Service(1); err != nil || one.Name != "evening" || one.GoesOn != goesOn {
				t.Errorf("joined %+v, %v", one, err)
			}
			if _, err := s.Service(second); !errors.Is(err, ErrNoService) {
				t.Errorf("the second is still there: %v", err)
			}
			if err := s.Join(1, 1); !errors.Is(err, ErrNoNeighbour) {
				t.Errorf("joined with itself: %v", err)
			}
			// What is written next belongs to it, if it goes on.
			r.Put(aMove(99, 62), nil)
			r.Flush()
			after := 0
			for _, stretch := range read(t, s, 1) {
				after += len(stretch.Entries)
			}
			if want := 60 + map[bool]int{true: 1}[goesOn]; after != want {
				t.Errorf("%d entries afterwards, want %d", after, want)
			}
		})
	}
}

// TestJoinNeighboursOnly has three services, of which the outer are no neighbours.
func TestJoinNeighboursOnly(t *testing.T) {
	s := weeks(t, in(t), 3, 5)
	if err := s.Join(1, 3); !errors.Is(err, ErrNoNeighbour) {
		t.Errorf("error %v, want that they are none", err)
	}
	if err := s.Join(3, 2); err != nil {
		t.Error(err)
	}
	if err := s.Join(1, 2); err != nil {
		t.Error(err)
	}
	if all := services(t, s); len(all) != 1 || all[0].Moves != 15 {
		t.Errorf("services %+v, want one of all moves", all)
	}
}

// weeks is a record of services that were a week apart, of so many moves each.
func weeks(t testing.TB, path string, services, moves int) *Store {
	t.Helper()
	for week := range services {
		zero := evening.AddDate(0, 0, 7*week)
		r := NewRecorder(path, Options{Bytes: 1 << 30, Wall: func() time.Time { return zero }})
		r.Begin(testRun(zero))
		r.BeginService(0)
		for i := range moves {
			r.Put(aMove(uint64(i+1), float64(i)), []rules.Levels{wide(i+1, 32)})
		}
		r.EndService(time.Duration(moves) * time.Second)
		if err := r.Close(); err != nil {
			t.Fatal(err)
		}
	}
	return opened(t, path)
}

func TestDelete(t *testing.T) {
	path := in(t)
	s := weeks(t, path, 3, 50)
	if _, err := s.AddNote(2, evening.AddDate(0, 0, 7), "gone with it", evening); err != nil {
		t.Fatal(err)
	}
	if err := s.Delete(2); err != nil {
		t.Fatal(err)
	}
	if err := s.Delete(2); !errors.Is(err, ErrNoService) {
		t.Errorf("deleted twice: %v", err)
	}
	for _, table := range append([]string{"notes", "parts"}, ofRuns...) {
		var n int
		run := "run = 2"
		if err := s.db.QueryRow("SELECT count(*) FROM " + table + " WHERE " + run).Scan(&n); err != nil || n > 0 {
			t.Errorf("%d rows of the deleted service in %s (%v)", n, table, err)
		}
	}
	if n := allMoves(t, s); n != 100 {
		t.Errorf("%d moves left, want those of the other two", n)
	}
	r := NewRecorder(path, Options{})
	r.Begin(testRun(evening.AddDate(1, 0, 0)))
	r.BeginService(0)
	r.Flush()
	defer r.Close()
	if err := s.Delete(4); !errors.Is(err, ErrGoesOn) {
		t.Errorf("deleted what goes on: %v", err)
	}
}

func allMoves(t *testing.T, s *Store) (n int) {
	for _, one := range services(t, s) {
		n += one.Moves
	}
	return n
}

func TestKeep(t *testing.T) {
	for _, c := range []struct {
		name string
		keep Keep
		want []int64
	}{
		{"for ever", Keep{}, []int64{6, 5, 4, 3, 2, 1}},
		{"for three weeks", Keep{For: 22 * 24 * time.Hour}, []int64{6, 5, 4, 3}},
		{"so many bytes", Keep{Most: 250_000}, []int64{6, 5}},
		{"the newest, however large", Keep{Most: 1}, []int64{6}},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := in(t)
			s := weeks(t, path, 6, 100)
			r := NewRecorder(path, Options{Keep: c.keep, Wall: func() time.Time { return evening.AddDate(0, 0, 36) }})
			if err := r.Flush(); err != nil {
				t.Fatal(err)
			}
			r.Close()
			var got []int64
			for _, one := range services(t, s) {
				got = append(got, one.ID)
			}
			if size, _ := s.Bytes(); !slices.Equal(got, c.want) {
				t.Errorf("services %v in %d bytes, want %v", got, size, c.want)
			}
			if err := s.Check(); err != nil {
				t.Error(err)
			}
		})
	}
}

func TestNotes(t *testing.T) {
	path := filepath.Join(t.TempDir(), "record.pawl")
	r := NewRecorder(path, Options{})
	r.Begin(testRun(evening))
	r.BeginService(0)
	r.Put([]rules.Entry{&rules.Pressed{
		Stamp: rules.Stamp{N: 1, T: rules.Moment(10 * time.Second), Entry: rules.PressEntry},
		Press: rules.Press{Do: rules.Note, Text: "the choir came in"},
	}, &rules.Parted{Stamp: rules.Stamp{N: 2, T: rules.Moment(12 * time.Second), Entry: rules.SegmentEntry}, Kind: desk.Music}, &rules.Pressed{
		Stamp: rules.Stamp{N: 3, T: rules.Moment(30 * time.Second), Entry: rules.PressEntry},
		Press: rules.Press{Do: rules.Question, Text: "who leads?", At: rules.Moment(14 * time.Second)}, // typed for sixteen seconds
	}}, nil)
	if err := r.Close(); err != nil {
		t.Fatal(err)
	}
	s := opened(t, path)
	live := read(t, s, 1)[0].Entries
	id, err := s.AddNote(1, evening.Add(5*time.Second), "too soft", evening.Add(48*time.Hour))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.AddNote(1, evening.Add(11*time.Second), "", evening.Add(49*time.Hour)); err != nil {
		t.Fatal(err)
	}
	if _, err := s.AddNote(7, evening, "x", evening); !errors.Is(err, ErrNoService) {
		t.Errorf("a note to no service: %v", err)
	}
	var got []string
	all, err := s.Notes(1)
	for _, n := range all {
		got = append(got, fmt.Sprintf("%v %q %v %v", n.T, n.Text, n.ID > 0, n.Question))
	}
	if want := []string{`5000000000 "too soft" true false`, `10000000000 "the choir came in" false false`, `11000000000 "" true false`, `14000000000 "who leads?" false true`}; err != nil || !slices.Equal(got, want) {
		t.Errorf("notes %q (%v), want %q", got, err, want)
	}
	same(t, read(t, s, 1)[0].Entries, live)
	if err := s.DeleteNote(id); err != nil {
		t.Error(err)
	}
	if s.DeleteNote(id) == nil {
		t.Error("deleted a note twice")
	}
}
