package store

import (
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"time"
)

// file is the record's file as the Recorder holds it: opened when it is needed, and
// looked after when it goes away.
type file struct {
	path   string
	db     *sql.DB     // nil while it is not open
	info   os.FileInfo // of the file that is open
	remark string
}

// ready gives the open record. One that was deleted under our hands is written anew
// from what is still open; one that was exchanged is left
// whole, wherever it is now, and the other one opened.
func (f *file) ready() (*sql.DB, error) {
	if f.db != nil {
		info, err := os.Stat(f.path)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			if err := f.rescue(); err != nil {
				return nil, err
			}
		case err == nil && !os.SameFile(info, f.info):
			if err := settle(f.db); err != nil {
				return nil, err
			}
			f.close()
			if err := forgetLog(f.path); err != nil {
				return nil, err
			}
			f.remark = "the record's file was exchanged while it was open; recording goes on in the new one"
		}
	}
	if f.db != nil {
		return f.db, nil
	}
	db, err := openOrCreate(f.path)
	if err != nil {
		return nil, err
	}
	if f.info, err = os.Stat(f.path); err != nil {
		db.Close()
		return nil, err
	}
	f.db = db
	return db, nil
}

// rescue writes a file that was deleted, from what the system keeps of it as long as
// it is open.
func (f *file) rescue() error {
	if err := rewrite(f.db, f.path); err != nil {
		return err
	}
	f.close()
	f.remark = "the record's file was deleted while it was open; it was written again, with all that was in it"
	return nil
}

// failed lets go of a file that could not be written, so that the next try looks at
// it anew. One that is gone is held on to: what was in it is nowhere else. One that is
// damaged is put aside, so that this service is recorded.
func (f *file) failed(err error) {
	if _, gone := os.Stat(f.path); gone != nil {
		return
	}
	f.close()
	if !IsDamaged(err) {
		return
	}
	aside := f.path + time.Now().Format(".damaged-20060102-150405")
	if putAside(f.path, aside) == nil {
		f.remark = fmt.Sprintf("the record was damaged and stands beside the new one as %s", aside)
	}
}

func (f *file) close() {
	if f.db != nil {
		f.db.Close()
		f.db = nil
	}
}
