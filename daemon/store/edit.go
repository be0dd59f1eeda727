package store

import (
	"database/sql"
	"fmt"
	"strings"
	"time"
	"unicode/utf8"

	"pawl/rules"
)

// Why an edit is refused.
var (
	ErrGoesOn      = rules.Refuse("refused.goes-on")
	ErrNoNeighbour = rules.Refuse("refused.no-neighbour")
	ErrOutside     = rules.Refuse("refused.outside")
	ErrNoNote      = rules.Refuse("refused.no-note")
	ErrReadOnly    = rules.Refuse("refused.read-only")
)

// MostText is the longest name or note, in bytes.
const MostText = rules.MostText

// Rename gives a service another name; "" for none.
func (s *Store) Rename(service int64, name string) error {
	return s.set("rename", "UPDATE services SET name = $1 WHERE id = $2", name, service)
}

// Label says who was mixing, as the house calls them; "" for nobody in particular.
func (s *Store) Label(service int64, mixing string) error {
	return s.set("label", "UPDATE services SET mixing = $1 WHERE id = $2", mixing, service)
}

func (s *Store) set(what, query, text string, service int64) error {
	if err := checkText(text); err != nil {
		return fmt.Errorf("%s service %d: %w", what, service, err)
	}
	done, err := s.db.Exec(query, text, service)
	if err == nil {
		err = one(done)
	}
	if err != nil {
		return fmt.Errorf("%s service %d: %w", what, service, err)
	}
	return nil
}

// one wants exactly one row to have been changed.
func one(done sql.Result) error {
	switch n, err := done.RowsAffected(); {
	case err != nil:
		return err
	case n != 1:
		return ErrNoService
	}
	return nil
}

func checkText(text string) error {
	switch {
	case len(text) > MostText:
		return rules.ErrLong
	case !utf8.ValidString(text) || strings.ContainsFunc(text, func(r rune) bool { return r < ' ' }):
		return rules.ErrNotPlain
	}
	return nil
}

// Join makes one service of two neighbours: the earlier, with its name and label, goes
// on into the later, whose name and number end. Either may be named first.
func (s *Store) Join(a, b int64) error {
	err := s.change(func(tx *sql.Tx) error {
		first, err := partsOf(tx, a)
		if err != nil {
			return err
		}
		second, err := partsOf(tx, b)
		if err != nil {
			return err
		}
		if before(second[0], first[0]) {
			a, b, first, second = b, a, second, first
		}
		last := first[len(first)-1]
		var between int
		if err := tx.QueryRow(`SELECT count(*) FROM parts WHERE service <> $1 AND service <> $2
			AND (run > $3 OR run = $3 AND from_ms > $4) AND (run < $5 OR run = $5 AND from_ms < $6)`,
			a, b, last.run, last.from, second[0].run, second[0].from).Scan(&between); err != nil {
			return err
		}
		if a == b || between > 0 || last.open || !before(last, second[0]) {
			return ErrNoNeighbour
		}
		return execAll(tx, []string{
			"UPDATE parts SET service = $1 WHERE service = $2",
			"UPDATE notes SET service = $1 WHERE service = $2",
			"UPDATE services SET name = (SELECT name FROM services WHERE id = $2) WHERE id = $1 AND name = ''",
			"UPDATE services SET mixing = (SELECT mixing FROM services WHERE id = $2) WHERE id = $1 AND mixing = ''",
			"DELETE FROM services WHERE id = $2 AND id <> $1",
		}, a, b)
	})
	if err != nil {
		return fmt.Errorf("join services %d and %d: %w", a, b, err)
	}
	return nil
}

// before is the order in which parts were written.
func before(a, b part) bool { return a.run < b.run || a.run == b.run && a.from < b.from }

func execAll(tx *sql.Tx, queries []string, args ...any) error {
	for _, q := range queries {
		if _, err := tx.Exec(q, args...); err != nil {
			return err
		}
	}
	return nil
}

// Split ends a service at a time of day and begins another there, whose number it
// gives. It may go on. Whatever opened before belongs to the first.
func (s *Store) Split(service int64, at time.Time) (second int64, err error) {
	err = s.change(func(tx *sql.Tx) error {
		parts, err := partsOf(tx, service)
		if err != nil {
			return err
		}
		if !at.After(began(parts)) || at.After(ended(parts)) {
			return ErrOutside
		}
		if second, err = next(tx, "service"); err != nil {
			return err
		}
		if _, err := tx.Exec("INSERT INTO services (id, name, mixing) SELECT $1, '', mixing FROM services WHERE id = $2", second, service); err != nil {
			return err
		}
		for _, p := range parts {
			if err := p.split(tx, unixMs(at)-p.zero, second); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return 0, fmt.Errorf("split service %d: %w", service, err)
	}
	return second, nil
}

// split gives what a part has from a moment of its run on to another service.
func (p part) split(tx *sql.Tx, at, to int64) error {
	switch {
	case at >= p.until:
		return nil
	case at <= p.from:
		return execAll(tx, []string{"UPDATE parts SET service = $1 WHERE run = $2 AND from_ms = $3"}, to, p.run, p.from)
	}
	var until any
	if !p.open {
		until = p.until
	}
	if _, err := tx.Exec("UPDATE parts SET until_ms = $1, heard_ms = $2 WHERE run = $3 AND from_ms = $4", at, min(p.heard, at), p.run, p.from); err != nil {
		return err
	}
	_, err := tx.Exec("INSERT INTO parts (run, from_ms, until_ms, heard_ms, service) VALUES ($1, $2, $3, $4, $5)", p.run, at, until, max(p.heard, at), to)
	if err != nil {
		return err
	}
	_, err = tx.Exec("UPDATE notes SET service = $1 WHERE run = $2 AND t_ms >= $3 AND t_ms < $4", to, p.run, at, p.until)
	return err
}

// Delete removes a service and all that belongs to it. One that goes on has to be
// ended first.
func (s *Store) Delete(service int64) error {
	err := func() error {
		parts, err := partsOf(s.db, service)
		if err != nil {
			return err
		}
		if parts[len(parts)-1].open {
			return ErrGoesOn
		}
		if err := remove(s.db, service); err != nil {
			return err
		}
		return shrink(s.db)
	}()
	if err != nil {
		return fmt.Errorf("delete service %d: %w", service, err)
	}
	return nil
}

// change makes changes, all or none.
func (s *Store) change(f func(*sql.Tx) error) error {
	tx, err := s.db.Begin()
	if err != nil {
		return err
	}
	defer tx.Rollback()
	if err := f(tx); err != nil {
		return err
	}
	return tx.Commit()
}
