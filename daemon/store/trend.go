package store

import (
	"database/sql"
	"fmt"
	"time"
)

// Trend is what one service came to, for a line over many.
type Trend struct {
	Service int64         `json:"service"`
	Began   time.Time     `json:"began"`
	Length  time.Duration `json:"-"` // from its beginning to when something last happened
	Music   time.Duration `json:"-"` // of it, in segments of music
	Moves   int           `json:"moves"`
	Rules   []RuleTrend   `json:"rules"` // in order of name; those that said nothing are left out
}

// RuleTrend is what one rule said in a service.
type RuleTrend struct {
	Rule   string        `json:"rule"`
	Opened int           `json:"opened"`
	Shown  int           `json:"shown"` // of these, that came to the screen
	Seen   int           `json:"seen"`  // of these, that somebody took from there
	Open   time.Duration `json:"-"`     // how long they were open, together; those that never eased until the end
}

// Trends are the services that began between two times, the earliest first.
func (s *Store) Trends(from, until time.Time) (all []Trend, err error) {
	err = s.look(func(tx *sql.Tx) error {
		if all, err = trends(tx, unixMs(from), unixMs(until)); err != nil {
			return err
		}
		place := map[int64]*Trend{}
		for i := range all {
			place[all[i].Service] = &all[i]
		}
		if err := music(tx, unixMs(from), unixMs(until), place); err != nil {
			return err
		}
		return ruleTrends(tx, unixMs(from), unixMs(until), place)
	})
	if err != nil {
		return nil, fmt.Errorf("read the trend: %w", err)
	}
	return all, nil
}

// chosen are the parts of services that began in a span.
const chosen = `
	WITH begun AS (
		SELECT p.service, min(r.zero_unix_ms + p.from_ms) AS began FROM parts p JOIN runs r ON r.id = p.run GROUP BY p.service
	), chosen AS (
		SELECT p.service, b.began, p.run, p.from_ms, coalesce(p.until_ms, 9223372036854775807) AS until_ms, p.heard_ms, r.zero_unix_ms
		FROM begun b JOIN parts p ON p.service = b.service JOIN runs r ON r.id = p.run WHERE b.began >= $1 AND b.began < $2
	)`

func trends(q querier, from, until int64) (all []Trend, err error) {
	rows, err := q.Query(chosen+`
		SELECT service, began, max(zero_unix_ms + heard_ms) - began,
			sum((SELECT count(*) FROM moves x WHERE x.run = c.run AND x.t_ms >= c.from_ms AND x.t_ms < c.until_ms))
		FROM chosen c GROUP BY service, began ORDER BY began, service`, from, until)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var t Trend
		var began, length int64
		if err := rows.Scan(&t.Service, &began, &length, &t.Moves); err != nil {
			return nil, err
		}
		t.Began, t.Length = fromMs(began), time.Duration(length)*time.Millisecond
		all = append(all, t)
	}
	return all, rows.Err()
}

// music adds up the segments of music. A segment is until the next of its run; one that
// had begun before the service counts from the service's beginning.
func music(q querier, from, until int64, place map[int64]*Trend) error {
	rows, err := q.Query(chosen+`, spans AS (
			SELECT run, kind, t_ms, lead(t_ms) OVER (PARTITION BY run ORDER BY t_ms, n) AS until_ms FROM segments
			WHERE run IN (SELECT run FROM chosen)
		), cut AS (
			SELECT c.service, CASE WHEN s.t_ms < c.from_ms THEN c.from_ms ELSE s.t_ms END AS a,
				CASE WHEN s.until_ms IS NULL OR s.until_ms > c.heard_ms THEN c.heard_ms ELSE s.until_ms END AS b
			FROM chosen c JOIN spans s ON s.run = c.run AND s.kind = 'music'
		)
		SELECT service, sum(b - a) FROM cut WHERE b > a GROUP BY service`, from, until)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var service, ms int64
		if err := rows.Scan(&service, &ms); err != nil {
			return err
		}
		if t := place[service]; t != nil {
			t.Music = time.Duration(ms) * time.Millisecond
		}
	}
	return rows.Err()
}

func ruleTrends(q querier, from, until int64, place map[int64]*Trend) error {
	rows, err := q.Query(chosen+`
		SELECT c.service, f.rule, count(*), count(f.shown_ms), count(f.seen_ms),
			sum(CASE WHEN coalesce(f.eased_ms, c.heard_ms) > f.t_ms THEN coalesce(f.eased_ms, c.heard_ms) - f.t_ms ELSE 0 END)
		FROM chosen c JOIN findings f ON f.run = c.run AND f.t_ms >= c.from_ms AND f.t_ms < c.until_ms
		GROUP BY c.service, f.rule ORDER BY c.service, f.rule`, from, until)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var service, open int64
		var r RuleTrend
		if err := rows.Scan(&service, &r.Rule, &r.Opened, &r.Shown, &r.Seen, &open); err != nil {
			return err
		}
		r.Open = time.Duration(open) * time.Millisecond
		if t := place[service]; t != nil {
			t.Rules = append(t.Rules, r)
		}
	}
	return rows.Err()
}
