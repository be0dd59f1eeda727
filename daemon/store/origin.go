package store

import (
	"database/sql"
	"fmt"
	"math"

	"pawl/rules"
)

// Origin is what a stretch of a service was judged from.
type Origin struct {
	Capture string // as the run named it; "" if no packets were kept

	// Houses are the house files of the capture, in order: the one that it began with, and
	// those that were read again in it.
	Houses []Texts

	// Spans are where the service lies in the capture, whose clock begins with its first
	// packet of the desk.
	Spans []Span
}

// Texts are a house file and its map as they were.
type Texts struct{ House, Map string }

// Span is a time from a moment until another, which is not itself in it, as long as one
// of the house files was in force.
type Span struct {
	From, Until rules.Moment
	House       int // its place in Houses
}

// Origins are what a service was judged from, in the order in which it was. What was
// recorded before captures were has none, and an Origin without a Capture says so.
func (s *Store) Origins(service int64) (all []Origin, err error) {
	err = s.look(func(tx *sql.Tx) error {
		parts, err := partsOf(tx, service)
		if err != nil {
			return err
		}
		for _, p := range parts {
			o, house, err := originOf(tx, p.run)
			if err != nil {
				return err
			}
			span := Span{moment(p.from), moment(min(p.until, mostMs)), house}
			if n := len(all); n > 0 && o.Capture != "" && all[n-1].Capture == o.Capture {
				all[n-1].Spans = append(all[n-1].Spans, span)
				continue
			}
			o.Spans = []Span{span}
			all = append(all, o)
		}
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("find what service %d was judged from: %w", service, err)
	}
	return all, nil
}

// mostMs is the longest time that fits into a Moment, in milliseconds.
const mostMs = math.MaxInt64 / 1_000_000

// originOf gives also which of the house files was that of the run.
func originOf(tx *sql.Tx, run int64) (o Origin, house int, err error) {
	if err := tx.QueryRow("SELECT capture FROM runs WHERE id = $1", run).Scan(&o.Capture); err != nil || o.Capture == "" {
		return o, 0, err
	}
	rows, err := tx.Query(`SELECT r.id, h.body, m.body FROM runs r JOIN texts h ON h.print = r.house_print JOIN texts m ON m.print = r.map_print
		WHERE r.capture = $1 ORDER BY r.id`, o.Capture)
	if err != nil {
		return o, 0, err
	}
	defer rows.Close()
	for rows.Next() {
		var t Texts
		var id int64
		if err := rows.Scan(&id, &t.House, &t.Map); err != nil {
			return o, 0, err
		}
		if id == run {
			house = len(o.Houses)
		}
		o.Houses = append(o.Houses, t)
	}
	return o, house, rows.Err()
}

// LooseCaptures are captures whose services are not in the record any more.
func (s *Store) LooseCaptures() (files []string, err error) {
	rows, err := s.db.Query("SELECT file FROM captures WHERE file NOT IN (SELECT capture FROM runs) ORDER BY file")
	if err != nil {
		return nil, fmt.Errorf("look for captures that are of no service: %w", err)
	}
	defer rows.Close()
	for rows.Next() {
		var file string
		if err := rows.Scan(&file); err != nil {
			return nil, err
		}
		files = append(files, file)
	}
	return files, rows.Err()
}

// ForgetCapture takes a capture that is deleted off the list of all of them.
func (s *Store) ForgetCapture(file string) error {
	_, err := s.db.Exec("DELETE FROM captures WHERE file = $1", file)
	return err
}

// keepOrigin notes what a run is judged from.
func (w *writing) keepOrigin(r *Run) error {
	for print, text := range map[string]string{r.HousePrint: r.HouseText, r.MapPrint: r.MapText} {
		if text == "" {
			continue
		}
		if err := w.exec("INSERT INTO texts (print, body) VALUES ($1, $2) ON CONFLICT DO NOTHING", print, text); err != nil {
			return err
		}
	}
	if r.Capture == "" {
		return nil
	}
	return w.exec("INSERT INTO captures (file) VALUES ($1) ON CONFLICT DO NOTHING", r.Capture)
}
