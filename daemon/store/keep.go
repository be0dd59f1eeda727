package store

import (
	"database/sql"
	"time"
)

// Keep says how long services are kept. The zero value keeps them for ever.
type Keep struct {
	For  time.Duration // after their end; 0 for ever
	Most int64         // bytes of all; the oldest go first; 0 for any number
}

// tidy ends services that were left going on by runs before this one, and deletes
// what need not be kept. The newest service stays, however large.
func tidy(db *sql.DB, run int64, k Keep, now time.Time) error {
	if _, err := db.Exec(`UPDATE parts SET until_ms = heard_ms + $1 WHERE until_ms IS NULL AND run <> $2
		AND heard_ms + (SELECT zero_unix_ms FROM runs WHERE id = run) < $3`,
		silence.Milliseconds(), run, unixMs(now.Add(-silence))); err != nil {
		return err
	}
	if k.For > 0 {
		if err := forgetBefore(db, now.Add(-k.For)); err != nil {
			return err
		}
	}
	if k.Most > 0 {
		return forgetAbove(db, k.Most)
	}
	return nil
}

// forgetBefore deletes services that ended before a time.
func forgetBefore(db *sql.DB, before time.Time) error {
	old, err := ids(db, `SELECT p.service FROM parts p JOIN runs r ON r.id = p.run GROUP BY p.service
		HAVING max(r.zero_unix_ms + p.heard_ms) < $1 AND count(*) = count(p.until_ms)`, unixMs(before))
	if err != nil || len(old) == 0 {
		return err
	}
	for _, id := range old {
		if err := remove(db, id); err != nil {
			return err
		}
	}
	return shrink(db)
}

// forgetAbove deletes the oldest services until the rest takes no more than that.
func forgetAbove(db *sql.DB, most int64) error {
	for gone := 0; ; gone++ {
		size, err := usedBytes(db)
		if err != nil {
			return err
		}
		if size <= most {
			if gone == 0 {
				return nil
			}
			return shrink(db)
		}
		oldest, err := ids(db, `SELECT p.service FROM parts p JOIN runs r ON r.id = p.run GROUP BY p.service
			HAVING count(*) = count(p.until_ms) AND p.service < (SELECT max(id) FROM services)
			ORDER BY min(r.zero_unix_ms + p.from_ms), p.service LIMIT 1`)
		if err != nil || len(oldest) == 0 {
			return err
		}
		if err := remove(db, oldest[0]); err != nil {
			return err
		}
	}
}

func ids(db *sql.DB, query string, args ...any) (all []int64, err error) {
	rows, err := db.Query(query, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var id int64
		if err := rows.Scan(&id); err != nil {
			return nil, err
		}
		all = append(all, id)
	}
	return all, rows.Err()
}

// ofRuns are the tables whose rows belong to a service by their run and time.
var ofRuns = []string{"entries", "levels", "findings", "moves", "segments", "gaps"}

// remove deletes a service with all that belongs to it, and the runs of which nothing
// else is kept.
func remove(db *sql.DB, service int64) error {
	tx, err := db.Begin()
	if err != nil {
		return err
	}
	defer tx.Rollback()
	parts, err := partsOf(tx, service)
	if err != nil {
		return err
	}
	for _, p := range parts {
		for _, table := range ofRuns {
			if _, err := tx.Exec("DELETE FROM "+table+" WHERE run = $1 AND t_ms >= $2 AND t_ms < $3", p.run, p.from, p.until); err != nil {
				return err
			}
		}
	}
	for _, q := range []string{"DELETE FROM notes WHERE service = $1", "DELETE FROM parts WHERE service = $1", "DELETE FROM services WHERE id = $1"} {
		if _, err := tx.Exec(q, service); err != nil {
			return err
		}
	}
	if err := removeRuns(tx); err != nil {
		return err
	}
	return tx.Commit()
}

// removeRuns deletes what runs said outside of services once none is left of the run, nor
// of another in its capture, which can be judged again only by the house files of all.
// The newest run stays: it may be at work.
func removeRuns(tx *sql.Tx) error {
	const empty = `IN (SELECT id FROM runs WHERE id NOT IN (SELECT run FROM parts) AND id < (SELECT newest FROM counters WHERE name = 'run')
		AND capture NOT IN (SELECT capture FROM runs WHERE capture <> '' AND (id IN (SELECT run FROM parts) OR id = (SELECT newest FROM counters WHERE name = 'run'))))`
	for _, table := range ofRuns {
		if _, err := tx.Exec("DELETE FROM " + table + " WHERE run " + empty); err != nil {
			return err
		}
	}
	if _, err := tx.Exec("DELETE FROM runs WHERE id " + empty); err != nil {
		return err
	}
	_, err := tx.Exec("DELETE FROM texts WHERE print NOT IN (SELECT house_print FROM runs UNION SELECT map_print FROM runs)")
	return err
}
