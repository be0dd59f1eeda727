package store

import (
	"database/sql"
	"math"
	"time"
)

// part is a stretch of a run that belongs to a service.
type part struct {
	run         int64
	zero        int64 // of the run, a time of day
	from, until int64 // on the run's clock; until is not itself in it
	heard       int64
	open        bool // it goes on
}

// querier is a database, or a transaction on one.
type querier interface {
	Query(query string, args ...any) (*sql.Rows, error)
	QueryRow(query string, args ...any) *sql.Row
}

// partsOf are the parts of a service in the order in which they were written, which a
// clock that was set back does not disturb.
func partsOf(q querier, service int64) (all []part, err error) {
	rows, err := q.Query(`SELECT p.run, r.zero_unix_ms, p.from_ms, p.until_ms, p.heard_ms FROM parts p JOIN runs r ON r.id = p.run
		WHERE p.service = $1 ORDER BY p.run, p.from_ms`, service)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var p part
		var until sql.NullInt64
		if err := rows.Scan(&p.run, &p.zero, &p.from, &until, &p.heard); err != nil {
			return nil, err
		}
		if p.until, p.open = until.Int64, !until.Valid; p.open {
			p.until = math.MaxInt64
		}
		all = append(all, p)
	}
	if len(all) == 0 && rows.Err() == nil {
		return nil, ErrNoService
	}
	return all, rows.Err()
}

// began and ended are the times of day between which something happened.
func began(parts []part) time.Time { return fromMs(parts[0].zero + parts[0].from) }

func ended(parts []part) time.Time {
	last := parts[len(parts)-1]
	return fromMs(last.zero + last.heard)
}
