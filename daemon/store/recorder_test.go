package store

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"
	"testing/synctest"
	"time"

	"pawl/rules"
	"pawl/rules/desk"
)

// second is a second of levels in which something plays, or nothing.
func second(s int, playing int) rules.Levels {
	return rules.Levels{
		T: rules.Moment(s) * rules.Moment(time.Second), Heard: true, Playing: playing, Total: -20,
		Inputs: []rules.InputLevels{{Gain: -5, Level: -30, Share: -35}},
	}
}

// wide is a second of a desk of many inputs, and eight groups.
func wide(s, inputs int) rules.Levels {
	l := second(s, inputs)
	l.Inputs = nil
	for i := range inputs {
		x := math.Sin(float64(s*31+i*7)) * 20
		l.Inputs = append(l.Inputs, rules.InputLevels{Gain: desk.DB(x - 10), Level: desk.DBFS(x - 40), Share: desk.DBFS(x - 50)})
	}
	for k := range 8 {
		l.Groups = append(l.Groups, rules.GroupLevels{Known: k > 0, Low: 1, Median: desk.DB(k), High: 9})
	}
	return l
}

// move is a fader that somebody moved.
func move(n uint64, s float64) *rules.Moved {
	return &rules.Moved{
		Stamp: rules.Stamp{N: n, T: rules.Moment(s * float64(time.Second)), Entry: rules.MoveEntry},
		Who:   desk.Who{Strip: desk.StripInput, Name: "piano"}, By: 2, From: -10, To: -8,
	}
}

func aMove(n uint64, s float64) []rules.Entry { return []rules.Entry{move(n, s)} }

func in(t testing.TB) string { return filepath.Join(t.TempDir(), "record.pawl") }

// moves counts the entries of all services.
func moves(t *testing.T, path string) (n int) {
	t.Helper()
	s, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	for _, one := range services(t, s) {
		for _, part := range read(t, s, one.ID) {
			n += len(part.Entries)
		}
	}
	if err := s.Check(); err != nil {
		t.Error(err)
	}
	return n
}

func TestRecorderWritesOnceASecond(t *testing.T) {
	path := in(t)
	synctest.Test(t, func(t *testing.T) {
		r := NewRecorder(path, Options{})
		r.Begin(testRun(evening))
		r.BeginService(0)
		synctest.Wait()
		for s := range 3 {
			r.Put(aMove(uint64(s+1), float64(s)), []rules.Levels{second(s+1, 1)})
			if st := r.Status(); st.Waiting != 2 || st.Written != uint64(2*s) {
				t.Errorf("status %+v, want 2 waiting", st)
			}
			time.Sleep(time.Second)
			synctest.Wait()
			if n := moves(t, path); n != s+1 {
				t.Errorf("after %d s %d entries are in the record", s+1, n)
			}
		}
		if s := r.Status(); s.Put != 6 || s.Written != 6 || s.Fault != "" || s.Bytes == 0 {
			t.Errorf("status %+v, want all 6 written", s)
		}
		r.Put(aMove(9, 9), nil)
		if err := r.Close(); err != nil {
			t.Error(err)
		}
		r.Put(aMove(10, 10), nil)
		if s := r.Status(); s.Dropped != 1 || s.Written != 7 {
			t.Errorf("status %+v, want one dropped after the end", s)
		}
	})
	if n := moves(t, path); n != 4 {
		t.Errorf("%d entries in the record, want 4", n)
	}
}

// TestRecorderInTrouble has each trouble come and go. Nothing is lost, the caller never
// waits, and the words say what it is.
func TestRecorderInTrouble(t *testing.T) {
	for _, c := range []struct {
		name   string
		damage func(t *testing.T, path string) (mend func())
		words  string
	}{
		{"another program holds it", func(t *testing.T, path string) func() {
			db, err := openFile(path)
			if err != nil {
				t.Fatal(err)
			}
			tx, err := db.Begin() // immediate
			if err != nil {
				t.Fatal(err)
			}
			return func() { tx.Rollback(); db.Close() }
		}, "another program holds the record"},
		{"a folder in its place", func(t *testing.T, path string) func() {
			aside := path + ".aside"
			for _, f := range []func() error{
				func() error { return os.Rename(path, aside) },
				func() error { return os.Mkdir(path, 0o755) },
			} {
				if err := f(); err != nil {
					t.Fatal(err)
				}
			}
			return func() {
				os.Remove(path)
				os.Rename(aside, path)
			}
		}, ErrNoRecord.Error()},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := in(t)
			synctest.Test(t, func(t *testing.T) {
				r := NewRecorder(path, Options{})
				r.Begin(testRun(evening))
				r.BeginService(0)
				r.Put(aMove(1, 1), nil)
				time.Sleep(1500 * time.Millisecond)
				synctest.Wait()
				mend := c.damage(t, path)
				r.Put(aMove(2, 2), nil)
				time.Sleep(10 * time.Second)
				synctest.Wait()
				s := r.Status()
				if string(s.Fault) != c.words || s.Since.IsZero() || s.Waiting != 1 || s.Dropped != 0 {
					t.Errorf("status %+v, want the fault %q", s, c.words)
				}
				// It was in order at 1 s, and tried every 5 s or 6 from 2 s on.
				if age := time.Since(s.Kept); s.Failed != 2 || age != 10500*time.Millisecond {
					t.Errorf("%d failures, all kept %v ago; want 2 and 10.5 s", s.Failed, age)
				}
				mend()
				time.Sleep(7 * time.Second)
				synctest.Wait()
				if s := r.Status(); s.Fault != "" || s.Waiting != 0 || !s.Since.IsZero() || time.Since(s.Kept) > time.Second {
					t.Errorf("status %+v once mended, want all well", s)
				}
				if err := r.Close(); err != nil {
					t.Error(err)
				}
			})
			if n := moves(t, path); n != 2 {
				t.Errorf("%d entries in the record, want 2", n)
			}
		})
	}
}

// TestRecorderCountsWhatIsLost has no room for what waits while nothing can be written.
func TestRecorderCountsWhatIsLost(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "not yet")
	path := filepath.Join(dir, "record.pawl")
	synctest.Test(t, func(t *testing.T) {
		r := NewRecorder(path, Options{Bytes: 20_000})
		r.Begin(testRun(evening))
		r.BeginService(0)
		for s := range 100 {
			r.Put(aMove(uint64(s+1), float64(s)), nil)
		}
		time.Sleep(time.Second)
		synctest.Wait()
		s := r.Status()
		if s.Fault != "its folder is not there" || s.Dropped == 0 || s.Dropped+s.Waiting != 100 {
			t.Fatalf("status %+v, want some lost for want of a folder", s)
		}
		if err := os.Mkdir(dir, 0o755); err != nil {
			t.Fatal(err)
		}
		if err := r.Flush(); err != nil {
			t.Fatal(err)
		}
		if now := r.Status(); now.Written+s.Dropped != 100 || now.Waiting != 0 {
			t.Errorf("status %+v, want the rest written", now)
		}
		r.Close()
		if all := services(t, openedHere(t, path)); len(all) != 1 || uint64(all[0].Lost) != s.Dropped {
			t.Errorf("services %+v, want one that says %d are lost", all, s.Dropped)
		}
	})
}

// openedHere is opened for a bubble, in which no cleanup may outlive the test.
func openedHere(t *testing.T, path string) *Store {
	s := opened(t, path)
	return s
}

func TestDeletedWhileOpen(t *testing.T) {
	path := in(t)
	synctest.Test(t, func(t *testing.T) {
		r := NewRecorder(path, Options{})
		r.Begin(testRun(evening))
		r.BeginService(0)
		for s := range 30 {
			r.Put(aMove(uint64(s+1), float64(s)), nil)
			if err := r.Flush(); err != nil {
				t.Fatal(err)
			}
			switch s {
			case 10:
				os.Remove(path)
			case 20:
				for _, f := range []string{"", "-wal", "-shm"} {
					os.Remove(path + f)
				}
			}
		}
		if s := r.Status(); s.Fault != "" || s.Remark == "" {
			t.Errorf("status %+v, want a remark and no fault", s)
		}
		if err := r.Close(); err != nil {
			t.Error(err)
		}
	})
	if n := moves(t, path); n != 30 {
		t.Errorf("%d entries in the record, want 30", n)
	}
}

// TestRefusedFiles has files that must not be touched, and says why.
func TestRefusedFiles(t *testing.T) {
	newer := func(t *testing.T, path string) {
		s := storeWith(t, path, 1)
		if _, err := s.db.Exec("UPDATE record SET version = 99"); err != nil {
			t.Fatal(err)
		}
		s.Close()
	}
	other := func(t *testing.T, path string) {
		db := rawDatabase(t, path)
		if _, err := db.Exec("CREATE TABLE hymns (number INTEGER)"); err != nil {
			t.Fatal(err)
		}
		db.Close()
	}
	text := func(t *testing.T, path string) {
		if err := os.WriteFile(path, []byte("the sound desk's manual\n"), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for _, c := range []struct {
		name string
		make func(*testing.T, string)
		want string
	}{
		{"a newer Pawl's", newer, "the record is a newer Pawl's: it is of version 99, and this Pawl knows versions up to 2; use the newer Pawl, or another file"},
		{"another program's database", other, ErrNoRecord.Error()},
		{"a text", text, ErrNoRecord.Error()},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := in(t)
			c.make(t, path)
			before, _ := os.ReadFile(path)
			if _, err := Open(path); err == nil || err.Error() != fmt.Sprintf("open the record %s: %s", path, c.want) {
				t.Errorf("error %q, want %q", err, c.want)
			}
			r := NewRecorder(path, Options{})
			r.Begin(testRun(evening))
			r.Flush()
			if s := r.Status(); string(s.Fault) != c.want {
				t.Errorf("fault %q, want %q", s.Fault, c.want)
			}
			r.Close()
			if after, _ := os.ReadFile(path); string(after) != string(before) {
				t.Error("the file was changed")
			}
		})
	}
}

// storeWith is a record with a service of so many moves.
func storeWith(t testing.TB, path string, n int) *Store {
	t.Helper()
	r := NewRecorder(path, Options{})
	r.Begin(testRun(evening))
	r.BeginService(0)
	for i := range n {
		r.Put(aMove(uint64(i+1), float64(i)), []rules.Levels{second(i+1, 1)})
	}
	if err := r.Close(); err != nil {
		t.Fatal(err)
	}
	return opened(t, path)
}
