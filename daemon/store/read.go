package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"time"

	"pawl/rules"
)

// Stretch is what one run has of a service. Most services are one stretch; a start of
// Pawl, a house file that was read again, or a join makes another.
type Stretch struct {
	Run     Run
	From    rules.Moment  // on the run's clock
	Until   rules.Moment  // likewise, not itself in it; the last there is while the service goes on
	Segment *rules.Parted // what went on at From and had begun before, in the same run; nil for none
	Entries []rules.Entry
	Levels  []rules.Levels // at LevelStep; seconds at which the desk was away are left out
}

// Wall is the time of day of a moment of the stretch.
func (s *Stretch) Wall(t rules.Moment) time.Time { return s.Run.Zero.Add(time.Duration(t)) }

// Read gives all that the record has of a service, in the order in which it was said.
// Entries of the kinds without are left out: a service has a second entry for each second
// of it, which are most of the work of reading.
func (s *Store) Read(service int64, without ...rules.EntryKind) ([]Stretch, error) {
	var all []Stretch
	err := s.look(func(tx *sql.Tx) error {
		parts, err := partsOf(tx, service)
		if err != nil {
			return err
		}
		for _, p := range parts {
			one, err := p.read(tx, without)
			if err != nil {
				return err
			}
			all = append(all, one)
		}
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("read service %d: %w", service, err)
	}
	return all, nil
}

// look runs queries on the record as it stands at one moment.
func (s *Store) look(f func(*sql.Tx) error) error {
	tx, err := s.db.BeginTx(context.Background(), &sql.TxOptions{ReadOnly: true})
	if err != nil {
		return err
	}
	defer tx.Rollback()
	return f(tx)
}

func (p part) read(q querier, without []rules.EntryKind) (s Stretch, err error) {
	if s.Run, err = readRun(q, p.run); err != nil {
		return s, err
	}
	if s.Entries, err = p.entries(q, without); err != nil {
		return s, err
	}
	if s.Segment, err = p.segmentBefore(q); err != nil {
		return s, err
	}
	if s.Levels, err = p.levels(q); err != nil {
		return s, err
	}
	s.From, s.Until = moment(p.from), moment(p.until)
	if p.open {
		s.Until = s.From
		if n := len(s.Entries); n > 0 {
			s.Until = max(s.Until, s.Entries[n-1].Head().T+1)
		}
		if n := len(s.Levels); n > 0 {
			s.Until = max(s.Until, s.Levels[n-1].T+1)
		}
	}
	return s, nil
}

func moment(ms int64) rules.Moment { return rules.Moment(time.Duration(ms) * time.Millisecond) }

func readRun(q querier, id int64) (r Run, err error) {
	var zero int64
	var strips string
	err = q.QueryRow(`SELECT r.zero_unix_ms, r.house, r.house_print, r.map_print, r.pawl, r.strips, r.capture, coalesce(t.body, '')
		FROM runs r LEFT JOIN texts t ON t.print = r.house_print WHERE r.id = $1`, id).
		Scan(&zero, &r.House, &r.HousePrint, &r.MapPrint, &r.Pawl, &strips, &r.Capture, &r.HouseText)
	if err != nil {
		return r, err
	}
	r.Zero = fromMs(zero)
	return r, json.Unmarshal([]byte(strips), &r.Strips)
}

const selectEntries = "SELECT kind, body FROM entries WHERE run = $1 AND t_ms >= $2 AND t_ms < $3"

func (p part) entries(q querier, without []rules.EntryKind) ([]rules.Entry, error) {
	query, args := selectEntries, []any{p.run, p.from, p.until}
	for _, kind := range without {
		args = append(args, string(kind))
		query += fmt.Sprintf(" AND kind <> $%d", len(args))
	}
	return scanEntries(q.Query(query+" ORDER BY t_ms, n", args...))
}

// segmentBefore is the segment that goes on when the part begins.
func (p part) segmentBefore(q querier) (*rules.Parted, error) {
	all, err := scanEntries(q.Query("SELECT kind, body FROM entries WHERE run = $1 AND kind = $2 AND t_ms < $3 ORDER BY t_ms DESC, n DESC LIMIT 1",
		p.run, string(rules.SegmentEntry), p.from))
	if err != nil || len(all) == 0 {
		return nil, err
	}
	segment, _ := all[0].(*rules.Parted)
	return segment, nil
}

// entriesOf are those of one kind.
func (p part) entriesOf(q querier, kind rules.EntryKind) ([]rules.Entry, error) {
	return scanEntries(q.Query(selectEntries+" AND kind = $4 ORDER BY t_ms, n", p.run, p.from, p.until, string(kind)))
}

func scanEntries(rows *sql.Rows, err error) (all []rules.Entry, _ error) {
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var body sql.RawBytes // which is read before the next row is
	for rows.Next() {
		var kind rules.EntryKind
		if err := rows.Scan(&kind, &body); err != nil {
			return nil, err
		}
		e := kind.New()
		if e == nil {
			return nil, fmt.Errorf("an entry of a kind that this Pawl does not know: %q", kind)
		}
		if err := json.Unmarshal(body, e); err != nil {
			return nil, fmt.Errorf("an entry that cannot be read: %w", err)
		}
		all = append(all, e)
	}
	return all, rows.Err()
}

func (p part) levels(q querier) (all []rules.Levels, err error) {
	rows, err := q.Query("SELECT t_ms, body FROM levels WHERE run = $1 AND t_ms >= $2 AND t_ms < $3 ORDER BY t_ms", p.run, p.from, p.until)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var body sql.RawBytes // which is read before the next row is
	for rows.Next() {
		var t int64
		if err := rows.Scan(&t, &body); err != nil {
			return nil, err
		}
		l, err := decodeLevels(moment(t), body)
		if err != nil {
			return nil, err
		}
		all = append(all, l)
	}
	return all, rows.Err()
}
