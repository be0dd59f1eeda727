package store

import (
	"database/sql"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"
)

// rawDatabase is a database of somebody else.
func rawDatabase(t *testing.T, path string) *sql.DB {
	t.Helper()
	db, err := sql.Open("sqlite", address(path))
	if err != nil {
		t.Fatal(err)
	}
	return db
}

// TestEveryConnectionIsSet takes two connections of one pool at once.
func TestEveryConnectionIsSet(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a b?#%25&=ü.pawl") // what would end a path in a URI
	s := storeWith(t, path, 1)
	if _, err := os.Stat(path); err != nil {
		t.Fatal(err)
	}
	for range 2 {
		c, err := s.db.Conn(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close()
		for pragma, want := range map[string]string{
			"journal_mode": "wal", "synchronous": "2", "foreign_keys": "1", "busy_timeout": "1000", "auto_vacuum": "2", "application_id": "1348564844",
		} {
			var got string
			if err := c.QueryRowContext(t.Context(), "PRAGMA "+pragma).Scan(&got); err != nil || got != want {
				t.Errorf("%s is %q (%v), want %q", pragma, got, err, want)
			}
		}
	}
}

// TestBackupWhileItIsWritten has copies taken between transactions of a recorder that
// goes on. Each is whole, and holds no less than what was written before it began.
func TestBackupWhileItIsWritten(t *testing.T) {
	path := in(t)
	s := storeWith(t, path, 1)
	// By the clock of that evening, so that whether the first look comes before the run
	// begins makes no difference: the service is not one that was left going on long ago.
	began := time.Now()
	r := NewRecorder(path, Options{Wall: func() time.Time { return evening.Add(time.Since(began)) }})
	r.Begin(testRun(evening))
	var writing sync.WaitGroup
	stop := make(chan struct{})
	writing.Go(func() {
		for i := 10; ; i++ {
			select {
			case <-stop:
				return
			default:
				r.Put(aMove(uint64(i), float64(i)), nil)
				if err := r.Flush(); err != nil {
					t.Error(err)
				}
			}
		}
	})
	for i := range 5 {
		written := int(r.Status().Written)
		copied := filepath.Join(t.TempDir(), "copy.pawl")
		if err := s.Backup(copied); err != nil {
			t.Fatal(err)
		}
		if n := moves(t, copied); n < written+1 {
			t.Errorf("copy %d has %d entries, want at least %d", i, n, written+1)
		}
		if err := s.Backup(copied); err == nil {
			t.Error("a copy was written over")
		}
	}
	close(stop)
	writing.Wait()
	if err := r.Close(); err != nil {
		t.Error(err)
	}
}
