package store

import (
	"cmp"
	"database/sql"
	"fmt"
	"slices"
	"time"

	"pawl/rules"
)

// Note is a line at a moment of a service. One without words is a bookmark.
type Note struct {
	ID    int64        `json:"id"` // 0 for one of the service itself, which stays as it is
	At    time.Time    `json:"at"` // the moment that it is about
	T     rules.Moment `json:"t"`  // the same on the clock of its run
	Text  string       `json:"text"`
	Added time.Time    `json:"added"` // when it was written

	Question bool `json:"question"` // it was asked in the service, to be answered afterwards
}

// AddNote adds a note to a service afterwards, about a moment in it, and gives its
// number. The entries stay what they were.
func (s *Store) AddNote(service int64, at time.Time, text string, now time.Time) (id int64, err error) {
	err = s.change(func(tx *sql.Tx) error {
		if err := checkText(text); err != nil {
			return err
		}
		parts, err := partsOf(tx, service)
		if err != nil {
			return err
		}
		p := parts[0] // the last that had begun by then
		for _, later := range parts[1:] {
			if unixMs(at) >= later.zero+later.from {
				p = later
			}
		}
		t := max(p.from, min(unixMs(at)-p.zero, p.until-1))
		if id, err = next(tx, "note"); err != nil {
			return err
		}
		_, err = tx.Exec("INSERT INTO notes (id, service, run, t_ms, written_unix_ms, body) VALUES ($1, $2, $3, $4, $5, $6)",
			id, service, p.run, t, unixMs(now), text)
		return err
	})
	if err != nil {
		return 0, fmt.Errorf("add a note to service %d: %w", service, err)
	}
	return id, nil
}

// DeleteNote takes a note of afterwards away.
func (s *Store) DeleteNote(id int64) error {
	done, err := s.db.Exec("DELETE FROM notes WHERE id = $1", id)
	if err != nil {
		return fmt.Errorf("delete note %d: %w", id, err)
	}
	if n, err := done.RowsAffected(); err != nil || n == 0 {
		return ErrNoNote
	}
	return nil
}

// Notes are all notes of a service, its own and those of afterwards, in order of the
// moments that they are about.
func (s *Store) Notes(service int64) (all []Note, err error) {
	err = s.look(func(tx *sql.Tx) error {
		parts, err := partsOf(tx, service)
		if err != nil {
			return err
		}
		for _, p := range parts {
			pressed, err := p.entriesOf(tx, rules.PressEntry)
			if err != nil {
				return err
			}
			for _, e := range pressed {
				if n, ok := e.(*rules.Pressed); ok && (n.Do == rules.Note || n.Do == rules.Question) {
					all = append(all, noteOf(n, fromMs(p.zero)))
				}
			}
		}
		added, err := addedNotes(tx, service)
		all = append(all, added...)
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("read the notes of service %d: %w", service, err)
	}
	slices.SortStableFunc(all, func(a, b Note) int { return cmp.Or(a.At.Compare(b.At), cmp.Compare(a.ID, b.ID)) })
	return all, nil
}

// noteOf is a note or a question of a service itself, whose clock began at zero.
func noteOf(p *rules.Pressed, zero time.Time) Note {
	about := p.T
	if p.At != 0 {
		about = p.At // it took a while to type
	}
	return Note{At: zero.Add(time.Duration(about)), T: about, Text: p.Text, Added: zero.Add(time.Duration(p.T)), Question: p.Do == rules.Question}
}

func addedNotes(q querier, service int64) (all []Note, err error) {
	rows, err := q.Query(`SELECT n.id, r.zero_unix_ms, n.t_ms, n.written_unix_ms, n.body FROM notes n JOIN runs r ON r.id = n.run
		WHERE n.service = $1`, service)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var n Note
		var zero, t, written int64
		if err := rows.Scan(&n.ID, &zero, &t, &written, &n.Text); err != nil {
			return nil, err
		}
		n.At, n.T, n.Added = fromMs(zero+t), moment(t), fromMs(written)
		all = append(all, n)
	}
	return all, rows.Err()
}
