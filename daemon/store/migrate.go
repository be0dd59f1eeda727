package store

import (
	"database/sql"
	"embed"
	"fmt"
	"io/fs"
)

//go:embed migrations/*.sql
var migrations embed.FS

// migrate brings a record to the newest version, each step whole or not at all. A
// database of no tables is at version 0. The files' order is that of their names.
func migrate(db *sql.DB) error {
	version, steps, err := versions(db)
	if err != nil {
		return err
	}
	for ; version < len(steps); version++ {
		if err := bring(db, steps[version], version); err != nil {
			return fmt.Errorf("bring the record to version %d: %w", version+1, err)
		}
	}
	return nil
}

// versions are that of a record and the steps to all that there are. One of a newer Pawl is ErrNewer.
func versions(db *sql.DB) (version int, steps []string, err error) {
	if steps, err = fs.Glob(migrations, "migrations/*.sql"); err != nil {
		return 0, nil, err
	}
	if version, err = versionOf(db); err != nil {
		return 0, nil, fmt.Errorf("read the record's version: %w", err)
	}
	if version > len(steps) {
		return 0, nil, fmt.Errorf("%w: it is of version %d, and this Pawl knows versions up to %d; use the newer Pawl, or another file",
			ErrNewer, version, len(steps))
	}
	return version, steps, nil
}

func bring(db *sql.DB, file string, from int) error {
	text, err := migrations.ReadFile(file)
	if err != nil {
		return err
	}
	tx, err := db.Begin()
	if err != nil {
		return err
	}
	defer tx.Rollback()
	if _, err := tx.Exec(string(text)); err != nil {
		return err
	}
	done, err := tx.Exec("UPDATE record SET version = $1 WHERE version = $2", from+1, from)
	if err != nil {
		return err
	}
	if n, err := done.RowsAffected(); err != nil || n != 1 {
		return fmt.Errorf("somebody else brought it on meanwhile (%d, %w)", n, err)
	}
	return tx.Commit()
}

// versionOf is 0 of a database that has no table yet.
func versionOf(db *sql.DB) (version int, err error) {
	if err = db.QueryRow("SELECT version FROM record").Scan(&version); err == nil {
		return version, nil
	}
	if n, other := tables(db); other == nil && n == 0 {
		return 0, nil
	}
	return 0, err
}
