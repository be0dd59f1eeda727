package store

import (
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
)

// Mend looks through a record that was opened to read, and reads a damaged one anew into a copy,
// with which it goes on: where a tree is broken, the pages that hung from it hold their rows all
// the same. A sound one is left as it is.
func (s *Store) Mend() (damaged bool, err error) {
	if s.cut == 0 && sound(s.db) == nil {
		return false, nil
	}
	folder, err := os.MkdirTemp("", "pawl-record-")
	if err != nil {
		return true, err
	}
	whole, err := mended(s.db, s.path, filepath.Join(folder, "mended.record"))
	if err != nil {
		return true, errors.Join(fmt.Errorf("mend the record: %w", err), os.RemoveAll(folder))
	}
	err = s.Close()
	s.db, s.copy = whole, folder
	return true, err
}

// shapes are what the columns of each table hold that a review asks for: an integer, one or
// nothing, a text, bytes. No two are alike.
var shapes = map[string]string{
	"runs": "iitttttt", "services": "itt", "parts": "iinii", "entries": "iiitt", "levels": "iib", "findings": "iiitiiinnn", "moves": "iiitin",
	"segments": "iiiit", "notes": "iiiiit", "gaps": "iii", "texts": "tt",
}

// mended makes a record of all rows of one that can be found: in its tables, and of those that are
// broken in its pages, among which older ones may be.
func mended(from *sql.DB, path, to string) (*sql.DB, error) {
	if err := createFile(to); err != nil {
		return nil, err
	}
	db, err := openDB(address(to))
	if err != nil {
		return nil, err
	}
	tx, err := db.Begin()
	if err == nil {
		err = errors.Join(fillFrom(tx, from, path), tx.Commit())
	}
	if err = errors.Join(err, db.Close()); err != nil {
		return nil, err
	}
	return openAsItStands(to)
}

func fillFrom(tx *sql.Tx, from *sql.DB, path string) error {
	broken := map[string]bool{}
	put := func(table string, row []any) error {
		if !fits(row, shapes[table]) {
			return nil
		}
		_, err := tx.Exec("INSERT OR IGNORE INTO "+table+" VALUES (?"+strings.Repeat(", ?", len(row)-1)+")", row...)
		return err
	}
	for table := range shapes {
		err := tableRows(from, table, func(row []any) error { return put(table, row) })
		if err != nil && !IsDamaged(err) {
			return err
		}
		broken[table] = err != nil
	}
	err := pageRows(path, func(row []any) error {
		for table, shape := range shapes {
			if broken[table] && fits(row, shape) {
				return put(table, row)
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	_, err = tx.Exec("INSERT INTO services SELECT DISTINCT service, '', '' FROM parts WHERE service NOT IN (SELECT id FROM services)")
	if err != nil {
		return err
	}
	return markLost(tx, broken["entries"], broken["levels"])
}

func fits(row []any, shape string) bool {
	if len(row) != len(shape) {
		return false
	}
	for i, v := range row {
		is := byte('?')
		switch v.(type) {
		case int64:
			is = 'i'
		case string:
			is = 't'
		case []byte:
			is = 'b'
		case nil:
			is = 'n'
		}
		if is != shape[i] && !(is == 'i' && shape[i] == 'n') {
			return false
		}
	}
	return true
}

// tableRows gives the rows of a table in their order, until one cannot be read.
func tableRows(q querier, table string, each func(row []any) error) error {
	rows, err := q.Query("SELECT * FROM " + table + " NOT INDEXED")
	if err != nil {
		return err
	}
	defer rows.Close()
	row := make([]any, len(shapes[table]))
	into := make([]any, len(row))
	for i := range row {
		into[i] = &row[i]
	}
	for rows.Next() {
		if err := rows.Scan(into...); err != nil {
			return err
		}
		if err := each(row); err != nil {
			return err
		}
	}
	return rows.Err()
}

// markLost puts something that cannot be read where an entry or a second of levels is missing in a
// service, so that whoever reads it is told.
func markLost(tx *sql.Tx, entries, levels bool) error {
	parts, err := tx.Query("SELECT run, from_ms, heard_ms FROM parts")
	if err != nil {
		return err
	}
	var all []part
	for parts.Next() {
		var p part
		if err := parts.Scan(&p.run, &p.from, &p.heard); err != nil {
			return errors.Join(err, parts.Close())
		}
		all = append(all, p)
	}
	if err := errors.Join(parts.Err(), parts.Close()); err != nil {
		return err
	}
	for _, p := range all {
		if entries {
			err = p.markEntries(tx)
		}
		if levels && err == nil {
			err = p.markLevels(tx)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

const (
	leastLost = 5       // seconds without an entry at either end of a service
	mostLost  = 100_000 // that are marked in one place
)

// markEntries goes by the numbers of neighbours, and before the first and behind the last by the
// seconds, of which each has an entry.
func (p part) markEntries(tx *sql.Tx) error {
	said, err := p.moments(tx, "SELECT t_ms, n FROM entries")
	if err != nil {
		return err
	}
	mark := func(from, until, n, many int64) {
		for k := range min(many, mostLost) {
			_, one := tx.Exec("INSERT OR IGNORE INTO entries VALUES ($1, $2, $3, '', '')", p.run, from+(until-from)*(k+1)/(many+1), n+k)
			err = errors.Join(err, one)
		}
	}
	at, before := p.from, int64(-1)
	for _, e := range said {
		switch seconds := (e[0] - at) / 1000; {
		case before >= 0:
			mark(at, e[0], before+1, e[1]-before-1)
		case seconds > leastLost:
			mark(at, e[0], e[1]-min(seconds, e[1]), min(seconds, e[1]))
		}
		at, before = e[0], e[1]
	}
	if seconds := (p.heard - at) / 1000; seconds > leastLost {
		mark(at, p.heard, before+1, seconds)
	}
	return err
}

// markLevels marks every second without any.
func (p part) markLevels(tx *sql.Tx) error {
	had, err := p.moments(tx, "SELECT t_ms, 0 FROM levels")
	if err != nil {
		return err
	}
	at := p.from - 1000
	for _, l := range append(had, [2]int64{p.heard}) {
		for t := at + 1000; t+500 < l[0] && t < at+1000*mostLost; t += 1000 {
			_, one := tx.Exec("INSERT OR IGNORE INTO levels VALUES ($1, $2, x'')", p.run, t)
			err = errors.Join(err, one)
		}
		at = l[0]
	}
	return err
}

// moments are those of a table that lie in the part, in order.
func (p part) moments(q querier, query string) (all [][2]int64, err error) {
	rows, err := q.Query(query+" WHERE run = $1 AND t_ms >= $2 AND t_ms <= $3 ORDER BY 1, 2", p.run, p.from, p.heard)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var one [2]int64
		if err := rows.Scan(&one[0], &one[1]); err != nil {
			return nil, err
		}
		all = append(all, one)
	}
	return all, rows.Err()
}
