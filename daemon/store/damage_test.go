package store

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"
)

// wholeRecord is the bytes of a record with all sorts of entries, made once.
var wholeRecord = sync.OnceValues(func() ([]byte, error) {
	dir, err := os.MkdirTemp("", "pawl-damage")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	path := filepath.Join(dir, "record.pawl")
	r := NewRecorder(path, Options{Bytes: 1 << 30})
	r.Begin(testRun(evening))
	r.BeginService(0)
	for i := range 200 {
		r.Put(aMove(uint64(i+1), float64(i)), nil)
	}
	if err := r.Close(); err != nil {
		return nil, err
	}
	return os.ReadFile(path)
})

// FuzzDamagedFile changes bytes of a record. Whatever becomes of it, reading it ends, and
// a recorder gets going again: in it, or in a new one beside it.
func FuzzDamagedFile(f *testing.F) {
	for seed := range uint64(60) {
		f.Add(seed, 1+int(seed%40))
	}
	f.Fuzz(func(t *testing.T, seed uint64, changes int) {
		whole, err := wholeRecord()
		if err != nil {
			t.Fatal(err)
		}
		b := append([]byte{}, whole...)
		dice := rand.New(rand.NewPCG(seed, 0))
		for range max(1, changes%1000) {
			b[dice.IntN(len(b))] = byte(dice.Uint32())
		}
		if seed%7 == 0 {
			b = b[:dice.IntN(len(b))]
		}
		path := filepath.Join(t.TempDir(), "record.pawl")
		if err := os.WriteFile(path, b, 0o644); err != nil {
			t.Fatal(err)
		}
		mend(t, path)
		look(path)
		r := NewRecorder(path, Options{})
		r.Begin(testRun(evening.Add(time.Hour)))
		r.BeginService(0)
		r.Put(aMove(1, 1), nil)
		for range 3 {
			r.Flush()
		}
		if s := r.Status(); s.Waiting > 0 && s.Fault == "" {
			t.Errorf("status %+v: nothing is written, and nothing said", s)
		}
		r.Close()
	})
}

// look asks a record all there is to ask. Answers may be faults.
func look(path string) {
	s, err := Open(path)
	if err != nil {
		return
	}
	defer s.Close()
	ask(s, path)
}

// mend asks it of what is left of one.
func mend(t *testing.T, path string) {
	s, err := OpenToRead(path)
	if err != nil {
		return
	}
	defer s.Close()
	if _, err := s.Mend(); err != nil {
		t.Errorf("it cannot be mended: %v", err)
	}
	ask(s, path)
}

func ask(s *Store, path string) {
	all, _ := s.Services()
	for _, one := range all {
		s.Read(one.ID)
		s.Notes(one.ID)
	}
	s.Trends(evening.AddDate(-1, 0, 0), evening.AddDate(1, 0, 0))
	s.Check()
	s.Rename(1, "x")
	s.Split(1, evening.Add(time.Minute))
	s.Backup(path + ".copy")
	s.Delete(1)
}
