package store

import (
	"cmp"
	"database/sql"
	"errors"
	"fmt"
	"slices"
	"time"
)

// Service is one service of the record, for a list of them.
type Service struct {
	ID     int64  `json:"id"` // never given to another one
	Name   string `json:"name"`
	Mixing string `json:"mixing"` // who was mixing, as the house calls them; "" if nobody said

	Began  time.Time `json:"began"`
	Ended  time.Time `json:"ended"` // when something last happened
	GoesOn bool      `json:"goes_on"`

	House      string `json:"house"` // these four as they were when it began
	HousePrint string `json:"house_print"`
	MapPrint   string `json:"map_print"`
	Pawl       string `json:"pawl"`

	Moves    int `json:"moves"`
	Findings int `json:"findings"` // that opened
	Shown    int `json:"shown"`    // of these, that came to the screen
	Lost     int `json:"lost"`     // entries and seconds of levels that could not be kept

	// Uncounted says that the four above are 0 because the file is damaged where they are
	// counted.
	Uncounted bool `json:"uncounted"`
}

// EndedBy ends a service that goes on in the record, because the Pawl that wrote it ended first,
// where nothing has happened in it for as long as ends one.
func (s *Service) EndedBy(now time.Time) {
	s.GoesOn = s.GoesOn && now.Sub(s.Ended) < silence
}

// selecting are the services of some parts, a row each; a part of it is the earliest.
type selecting struct{ where string }

// counted selects them with what is counted of them in other tables.
func (s selecting) counted() string {
	return s.mine() + `
			sum((SELECT count(*) FROM moves x WHERE x.run = m.run AND x.t_ms >= m.from_ms AND x.t_ms < m.until_ms)) AS moves,
			sum((SELECT count(*) FROM findings x WHERE x.run = m.run AND x.t_ms >= m.from_ms AND x.t_ms < m.until_ms)) AS findings,
			sum((SELECT count(x.shown_ms) FROM findings x WHERE x.run = m.run AND x.t_ms >= m.from_ms AND x.t_ms < m.until_ms)) AS shown,
			sum((SELECT coalesce(sum(x.lost), 0) FROM gaps x WHERE x.run = m.run AND x.t_ms >= m.from_ms AND x.t_ms < m.until_ms)) AS lost
` + selectCounted
}

// uncounted selects them without that.
func (s selecting) uncounted() string {
	return s.mine() + " 0 AS moves, 0 AS findings, 0 AS shown, 0 AS lost " + selectCounted
}

func (s selecting) mine() string {
	return `
	WITH mine AS (
		SELECT p.service, p.run, p.from_ms, coalesce(p.until_ms, 9223372036854775807) AS until_ms, p.until_ms AS written,
			r.zero_unix_ms + p.from_ms AS began, r.zero_unix_ms + p.heard_ms AS ended,
			r.house, r.house_print, r.map_print, r.pawl,
			row_number() OVER (PARTITION BY p.service ORDER BY p.run, p.from_ms) AS place
		FROM parts p JOIN runs r ON r.id = p.run ` + s.where + `
	), counted AS (
		SELECT service, max(ended) AS ended, count(*) - count(written) AS going,`
}

const selectCounted = `
		FROM mine m GROUP BY service
	)
	SELECT s.id, s.name, s.mixing, f.began, c.ended, c.going, f.house, f.house_print, f.map_print, f.pawl, c.moves, c.findings, c.shown, c.lost
	FROM services s JOIN mine f ON f.service = s.id AND f.place = 1 JOIN counted c ON c.service = s.id`

// Services lists all services, the newest first. Of a damaged record they are those of which
// at least the time can be read; Damage counts the others.
func (s *Store) Services() (all []Service, err error) {
	err = counting(selecting{}, func(query string) error {
		all, err = s.services(query + " ORDER BY f.began DESC, s.id DESC")
		return err
	}, func() {
		for i := range all {
			all[i].Uncounted = true
		}
	})
	if err != nil && IsDamaged(err) {
		all, err = s.oneByOne(err)
	}
	if err != nil {
		return nil, fmt.Errorf("list the services: %w", err)
	}
	return all, nil
}

// oneByOne lists those services that can be read where they cannot be together. The error
// is why they cannot, and remains if none can.
func (s *Store) oneByOne(why error) (all []Service, err error) {
	for id := range s.numbers() {
		switch one, err := s.Service(id); {
		case err == nil:
			all = append(all, one)
		case !IsDamaged(err) && !errors.Is(err, ErrNoService):
			return nil, err
		}
	}
	if len(all) == 0 {
		return nil, why
	}
	slices.SortFunc(all, func(a, b Service) int { return cmp.Or(b.Began.Compare(a.Began), cmp.Compare(b.ID, a.ID)) })
	return all, nil
}

// numbers are those of all services, as far as they can be read.
func (s *Store) numbers() map[int64]bool {
	all := map[int64]bool{}
	for _, order := range []string{"", " DESC"} { // what is broken ends each
		rows, err := s.db.Query("SELECT DISTINCT service FROM parts ORDER BY service" + order)
		if err != nil {
			continue
		}
		for rows.Next() {
			var n looseInt
			if rows.Scan(&n) == nil {
				all[int64(n)] = true
			}
		}
		rows.Close()
	}
	return all
}

// counting asks for services with what is counted of them, and without if the file is
// damaged there.
func counting(of selecting, ask func(query string) error, uncounted func()) error {
	err := ask(of.counted())
	if err != nil && IsDamaged(err) {
		if err = ask(of.uncounted()); err == nil {
			uncounted()
		}
	}
	return err
}

func (s *Store) services(query string) ([]Service, error) {
	rows, err := s.db.Query(query)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	all := []Service{}
	for rows.Next() {
		one, err := scanService(rows.Scan)
		if err != nil {
			return nil, err
		}
		all = append(all, one)
	}
	return all, rows.Err()
}

// Service is one service by its number; ErrNoService if it is not there.
func (s *Store) Service(id int64) (one Service, err error) {
	err = counting(selecting{"WHERE p.service = $1"}, func(query string) error {
		one, err = scanService(s.db.QueryRow(query, id).Scan)
		return err
	}, func() { one.Uncounted = true })
	if errors.Is(err, sql.ErrNoRows) {
		err = ErrNoService
	}
	return one, err
}

// scanService takes what a row has, whatever a damaged file holds there.
func scanService(scan func(...any) error) (s Service, err error) {
	var id, began, ended, going, moves, findings, shown, lost looseInt
	text := func(s *string) *looseText { return (*looseText)(s) }
	err = scan(&id, text(&s.Name), text(&s.Mixing), &began, &ended, &going, text(&s.House), text(&s.HousePrint), text(&s.MapPrint), text(&s.Pawl),
		&moves, &findings, &shown, &lost)
	s.ID, s.Moves, s.Findings, s.Shown, s.Lost = int64(id), int(moves), int(findings), int(shown), int(lost)
	s.Began, s.Ended, s.GoesOn = fromMs(int64(began)), fromMs(int64(ended)), going > 0
	return s, err
}
