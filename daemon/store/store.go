// Package store keeps the record: every entry that the judge said, where every strip
// stood second by second, and the services that all this is divided into.
//
// A Recorder writes it while a service goes on, and never makes its caller wait. A
// Store reads it, in the same program or another, and does what a person asks of a
// service afterwards. The record is one SQLite file; all that is SQLite's alone stands
// in sqlite.go.
//
// An entry is kept as the JSON that every reader of entries has, so that one Go type
// is the frame, the row and what is read back. Its numbers have the resolution of
// that JSON: milliseconds, and a thousandth of a decibel.
package store

import (
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"pawl/rules"
)

// ErrNewer is why a record is not opened: a newer Pawl wrote it.
var ErrNewer = errors.New("the record is a newer Pawl's")

// ErrNoService is the answer about a service that is not in the record.
var ErrNoService = rules.Refuse("refused.no-service")

// Store is a record that can be asked. Make one with Open, and Close it. It may be
// used from any goroutine, also while a Recorder writes.
type Store struct {
	db   *sql.DB
	path string // of the file that is read
	copy string // the folder of the copy that is read in the record's stead; "" for none

	cut, size int64 // bytes that are missing at the end of the file, and that it would have; of one that is only read
}

// Damage is what of a record is seen to be broken without reading all of it. The zero value is none.
type Damage struct {
	Cut, Size int64 // bytes that are missing at the end of the file, and that it would have
	Services  int   // of which not even the time can be read
}

// Damage is what is seen to be broken of a record that was opened to read.
func (s *Store) Damage() Damage {
	ids := s.numbers()
	all, _ := s.Services() // of which none may be left to list
	return Damage{s.cut, s.size, max(0, len(ids)-len(all))}
}

// Open opens a record that is there. A file that is none, or a newer Pawl's, is
// refused and not touched (ErrNoRecord, ErrNewer).
func Open(path string) (*Store, error) {
	db, err := openFile(path)
	if err != nil {
		return nil, fmt.Errorf("open the record %s: %w", path, err)
	}
	return &Store{db: db, path: path}, nil
}

// OpenToRead opens a record that is only asked: neither it nor anything beside it is written,
// so that one on a disk or in a folder that may not be written is read like any. One whose
// log nobody has open, or that is of an older version, is read as a copy, which goes with Close.
// A damaged one is opened too: what is asked of it says what it lacks.
func OpenToRead(path string) (*Store, error) {
	s, err := openToRead(path)
	if err != nil {
		return nil, fmt.Errorf("open the record %s: %w", path, err)
	}
	return s, nil
}

func openToRead(path string) (*Store, error) {
	path, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	if err := inspect(path); err != nil {
		return nil, err
	}
	s := &Store{path: path}
	if s.cut, s.size, err = cutShort(path); err != nil {
		return nil, err
	}
	if s.db, err = openAsItStands(path); err == nil || !errors.Is(err, errMend) {
		return s, err
	}
	if s.copy, err = os.MkdirTemp("", "pawl-record-"); err != nil {
		return nil, err
	}
	there := filepath.Join(s.copy, filepath.Base(path))
	if err = mendCopy(path, there); err == nil {
		s.db, err = openAsItStands(there)
		s.path = there
	}
	if err != nil {
		return nil, errors.Join(err, os.RemoveAll(s.copy))
	}
	return s, nil
}

// Close lets go of the file.
func (s *Store) Close() error {
	err := s.db.Close()
	if s.copy != "" {
		err = errors.Join(err, os.RemoveAll(s.copy))
	}
	return err
}

// Backup writes the whole record to a new file, as it stands at this moment, while a
// Recorder may be writing. A file that is there is not written over.
func (s *Store) Backup(path string) error {
	if err := copyTo(s.db, path); err != nil {
		return fmt.Errorf("back the record up: %w", err)
	}
	return nil
}

// Check looks through the whole file and says what is wrong with it; nil if nothing is.
func (s *Store) Check() error {
	if err := sound(s.db); err != nil {
		return fmt.Errorf("check the record: %w", err)
	}
	return nil
}

// Bytes is how much the rows of the record take.
func (s *Store) Bytes() (int64, error) { return usedBytes(s.db) }

// openOrCreate opens a record, and begins one where there is no file.
func openOrCreate(path string) (*sql.DB, error) {
	db, err := openFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		if err = createFile(path); err == nil {
			db, err = openFile(path)
		}
	}
	return db, err
}

// unixMs and fromMs turn a time of day into the record's form and back.
func unixMs(t time.Time) int64  { return t.UnixMilli() }
func fromMs(ms int64) time.Time { return time.UnixMilli(ms) }
