package store

import (
	"bytes"
	"database/sql"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"

	"modernc.org/sqlite"

	"pawl/daemon/disks"
)

// This file holds all that is SQLite's alone, each with the reason, but for what reads a damaged
// file anew (mend.go, pages.go). Every other query
// of this package is one that PostgreSQL takes as it is: $1 for arguments, types
// that both know, no rowid and no function of one engine. PostgreSQL 15 made the tables
// from the migrations and prepared each of them, by hand.

// dataSource is how a record is opened. journal_mode WAL, so that the review may read
// while a service is written; synchronous FULL, because NORMAL syncs a WAL only at a
// checkpoint, and a power cut would take minutes: at one commit a second FULL costs
// nothing that can be measured. A lock of somebody else's is waited for a second, which
// only the writer's own goroutine feels. Transactions that write begin IMMEDIATE, or
// two of them could each hold what the other waits for. These stand in the address
// because each connection of a pool has to have them.
func dataSource(path string) string {
	return address(path) + "?_pragma=busy_timeout(1000)&_pragma=foreign_keys(1)&_pragma=journal_mode(wal)&_pragma=synchronous(full)" +
		"&_pragma=journal_size_limit(4194304)&_txlock=immediate"
}

// newSource is how a file is made: auto_vacuum has to be chosen before the first table,
// and what says whose file it is has to be in its first page before WAL hides it.
func newSource(path string) string {
	return address(path) + fmt.Sprintf("?_auto_vacuum=2&_pragma=application_id(%d)&_pragma=synchronous(full)&_txlock=immediate", ours)
}

// readSource is how a record is opened that is only read. With writable_schema SQLite takes a
// file that is shorter than it says, and one of whose tables some are not described any
// more, for what they are; without it neither is opened. What is there is not written by that:
// the file is opened read-only. "immutable" makes no log and no lock beside it, which
// otherwise it would, and is for a file to which nobody has a log.
func readSource(path string, logged bool) string {
	how := "?immutable=1"
	if logged {
		how = "?mode=ro"
	}
	return address(path) + how + damagedToo
}

const damagedToo = "&_pragma=busy_timeout(1000)&_pragma=writable_schema(1)"

// openAsItStands opens a record that is only read, where it lies. One with a log that nobody
// has open would have to be written first; errMend says that.
func openAsItStands(path string) (*sql.DB, error) {
	log, err := os.Stat(path + logs[0])
	logged := err == nil
	if _, err := os.Stat(path + logs[1]); err != nil && logged {
		if log.Size() > 0 {
			return nil, errMend
		}
		logged = false
	}
	db, err := openDB(readSource(path, logged))
	if err != nil {
		return nil, err
	}
	version, steps, err := versions(db)
	switch {
	case logged && MayNotWrite(err), err == nil && version > 0 && version < len(steps):
		err = errMend
	case err != nil && IsDamaged(err): // each question to it finds out what of it can be answered
		err = nil
	}
	if err != nil {
		db.Close()
		return nil, err
	}
	return db, nil
}

// errMend is why a record cannot be read where it lies.
var errMend = errors.New("the record has to be written before it can be read")

// mendCopy copies a record as it lies on the disk, with the log that stands beside it, and
// brings the copy to where it can be read as it stands.
func mendCopy(path, to string) error {
	if err := copyBytes(path, to); err != nil {
		return err
	}
	if err := copyBytes(path+logs[0], to+logs[0]); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	db, err := openDB(address(to) + "?" + damagedToo)
	if err != nil {
		return err
	}
	err = settle(db) // also of what is damaged, of which no table is asked for that
	if err == nil {
		err = migrate(db)
	}
	if err = errors.Join(err, db.Close()); err != nil && !IsDamaged(err) {
		return err
	}
	return forgetLog(to)
}

func copyBytes(from, to string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.Create(to)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Close())
}

// address escapes what would end the path in a URI.
func address(path string) string {
	return "file:" + (&url.URL{Path: path}).EscapedPath()
}

// ours is the application_id of a record, "Pawl" in its bytes.
const ours = 0x5061776c

// ErrNoRecord is why a file is not touched: it is something else than a record.
var ErrNoRecord = errors.New("this file is no record of Pawl's; nothing in it was touched")

// openFile opens a record, which has to be there and to be one.
func openFile(path string) (*sql.DB, error) {
	path, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	if err := inspect(path); err != nil {
		return nil, err
	}
	db, err := openDB(dataSource(path))
	if err != nil {
		return nil, err
	}
	if err := migrate(db); err != nil {
		db.Close()
		return nil, err
	}
	return db, nil
}

func openDB(source string) (*sql.DB, error) {
	db, err := sql.Open("sqlite", source)
	if err != nil {
		return nil, err
	}
	db.SetMaxOpenConns(4) // each has a cache of its own, and a review asks for few things at once
	return db, nil
}

// inspect reads whose file it is from its first page (the SQLite file format, 1.3),
// because to open somebody else's database would already change it.
func inspect(path string) error {
	info, err := os.Stat(path)
	if err != nil {
		return err
	}
	if !info.Mode().IsRegular() {
		return ErrNoRecord // a pipe would never end
	}
	head, err := readHead(path)
	if err != nil {
		return err
	}
	if !bytes.HasPrefix(head, []byte("SQLite format 3\x00")) || binary.BigEndian.Uint32(head[68:]) != ours {
		return ErrNoRecord
	}
	return nil
}

// readHead reads what the first page begins with; ErrNoRecord of what is too short for it.
func readHead(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	head := make([]byte, 100)
	if _, err := io.ReadFull(f, head); err != nil {
		return nil, ErrNoRecord
	}
	return head, nil
}

// cutShort is how many bytes are missing at the end of a file, and how many it says that it
// has. What a log has of it is not counted, and so not looked for beside one.
func cutShort(path string) (cut, size int64, err error) {
	head, err := readHead(path)
	if err != nil {
		return 0, 0, err
	}
	info, err := os.Stat(path)
	if err != nil {
		return 0, 0, err
	}
	if log, err := os.Stat(path + logs[0]); err == nil && log.Size() > 0 {
		return 0, 0, nil
	}
	size = pageSize(head) * int64(binary.BigEndian.Uint32(head[28:]))
	return max(0, size-info.Size()), size, nil
}

// createFile makes an empty record where there is no file. It is whole before it has
// its name, so that no power cut leaves half of one.
func createFile(path string) error {
	half := path + ".new"
	for _, f := range []string{half, half + "-journal"} {
		if err := os.Remove(f); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	// SQLite says only that it cannot open a file; the system says why.
	f, err := os.OpenFile(half, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o644)
	if err != nil {
		return err
	}
	f.Close()
	db, err := sql.Open("sqlite", newSource(half))
	if err != nil {
		return err
	}
	if err := errors.Join(migrate(db), db.Close()); err != nil {
		return errors.Join(err, os.Remove(half))
	}
	return os.Rename(half, path)
}

// usedBytes is what a record's rows take. Pages that wait to be used again are left
// out: they are no reason to delete a service.
func usedBytes(db *sql.DB) (n int64, err error) {
	err = db.QueryRow(`SELECT (c.page_count - f.freelist_count) * s.page_size
		FROM pragma_page_count c, pragma_freelist_count f, pragma_page_size s`).Scan(&n)
	return n, err
}

// shrink gives what was deleted back to the disk.
func shrink(db *sql.DB) error {
	rows, err := db.Query("PRAGMA incremental_vacuum")
	if err != nil {
		return err
	}
	for rows.Next() { // each page is a step of the statement
	}
	return errors.Join(rows.Err(), rows.Close())
}

// copyTo writes a whole and consistent copy while others read and write. VACUUM INTO
// is SQLite's own way, and leaves neither WAL nor free pages in the copy.
func copyTo(db *sql.DB, path string) error {
	if _, err := os.Lstat(path); err == nil {
		return fmt.Errorf("%s is there already; choose another name", path)
	}
	half := path + ".new"
	if err := os.Remove(half); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if _, err := db.Exec("VACUUM INTO $1", half); err != nil {
		return errors.Join(err, dropped(half))
	}
	f, err := os.OpenFile(half, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	if err := errors.Join(f.Sync(), f.Close()); err != nil {
		return errors.Join(err, dropped(half))
	}
	return os.Rename(half, path)
}

func dropped(path string) error {
	if err := os.Remove(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return nil
}

// sound is what the engine's own check of a file says is wrong with it, at most a few
// lines; nil of one that is sound.
func sound(db *sql.DB) error {
	rows, err := db.Query("PRAGMA integrity_check(8)")
	if err != nil {
		return err
	}
	defer rows.Close()
	var wrong []error
	for rows.Next() {
		var line string
		if err := rows.Scan(&line); err != nil {
			return err
		}
		if line != "ok" {
			wrong = append(wrong, errors.New(line))
		}
	}
	return errors.Join(append(wrong, rows.Err())...)
}

// inPlainWords says what an error means to the person in front of it.
func inPlainWords(err error) disks.Fault {
	if words := disks.Words(err); words != "" {
		return words
	}
	if errors.Is(err, fs.ErrNotExist) {
		return NoFolder
	}
	var e *sqlite.Error
	if !errors.As(err, &e) {
		return disks.Fault(err.Error())
	}
	if words, ok := codes[e.Code()&0xff]; ok {
		return words
	}
	return disks.Fault(err.Error())
}

// The faults of a record, beside those of its disk.
const (
	NoFolder   disks.Fault = "its folder is not there"
	Held       disks.Fault = "another program holds the record"
	MayNotGrow disks.Fault = "the disk has a fault, or the file may not grow"
	Damaged    disks.Fault = "the record is damaged"
	NotOpened  disks.Fault = "the file cannot be opened"
)

// codes are SQLite's primary result codes that have a meaning to a person.
var codes = map[int]disks.Fault{5: Held, 6: Held, 8: disks.Forbidden, 10: MayNotGrow, 11: Damaged, 13: disks.Full, 14: NotOpened, 26: Damaged}

// tables counts the tables of a database, whose list each engine keeps elsewhere.
func tables(db *sql.DB) (n int, err error) {
	err = db.QueryRow("SELECT count(*) FROM sqlite_master").Scan(&n)
	return n, err
}

// logs are the files that SQLite keeps beside one in WAL mode.
var logs = []string{"-wal", "-shm"}

// settle brings all that stands in the log into the file itself, wherever that is now.
func settle(db *sql.DB) error {
	var busy, in, done int
	return db.QueryRow("PRAGMA wal_checkpoint(TRUNCATE)").Scan(&busy, &in, &done)
}

// forgetLog removes the log of a file that is not there any more: SQLite would play it
// into whatever stands under that name now.
func forgetLog(path string) error {
	var all []error
	for _, log := range logs {
		all = append(all, dropped(path+log))
	}
	return errors.Join(all...)
}

// rewrite writes a record again whose file was deleted while it was open.
func rewrite(db *sql.DB, path string) error {
	if err := forgetLog(path); err != nil {
		return err
	}
	return copyTo(db, path)
}

// putAside gives a record another name, its log with it.
func putAside(path, aside string) error {
	for _, log := range logs {
		if err := os.Rename(path+log, aside+log); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	return os.Rename(path, aside)
}

// IsDamaged reports whether an error says that the file of a record is broken, a table that is
// not described any more being one of its breaks. To ask for less of it and find the rest is
// SQLite's alone: an engine with a server ends the transaction, and mends its own files.
func IsDamaged(err error) bool {
	return isCode(err, 11) || isCode(err, 26) || isCode(err, 1) && strings.Contains(err.Error(), "no such table")
}

// MayNotWrite reports whether an error says that a record or its folder may not be written.
func MayNotWrite(err error) bool { return isCode(err, 8) || isCode(err, 14) }

// isCode reports whether an error has this primary result code.
func isCode(err error, code int) bool {
	var e *sqlite.Error
	return errors.As(err, &e) && e.Code()&0xff == code
}
