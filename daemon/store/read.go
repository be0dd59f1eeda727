package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
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
	Unread  []Unread       // what stands there and cannot be read, in order of time
}

// Wall is the time of day of a moment of the stretch.
func (s *Stretch) Wall(t rules.Moment) time.Time { return s.Run.Zero.Add(time.Duration(t)) }

// Read gives all that the record has of a service, in the order in which it was said. What
// cannot be read, because the file is damaged, is left out and told as Unread.
// Entries of the kinds without are left out: a service has a second entry for each second
// of it, which are most of the work of reading.
func (s *Store) Read(service int64, without ...rules.EntryKind) ([]Stretch, error) {
	var all []Stretch
	var runs []int64
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
			runs = append(runs, p.run)
		}
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("read service %d: %w", service, err)
	}
	for i := 1; i < len(all); i++ {
		if runs[i] != runs[i-1] {
			all[i-1].leave(&all[i])
		}
	}
	return all, nil
}

// leave ends a stretch that another run goes on from: where that begins, or where a run that
// stopped said the last. In the record such a part lasts until somebody would have ended it.
func (s *Stretch) leave(next *Stretch) {
	s.Until = min(s.Until, s.last())
	if begins := rules.Moment(next.Wall(next.From).Sub(s.Run.Zero)); begins > s.Until && begins-s.Until < rules.Moment(slack) {
		s.Until = begins
	}
}

// last is just after the last that a stretch has.
func (s *Stretch) last() rules.Moment {
	last := s.From
	if n := len(s.Entries); n > 0 {
		last = max(last, s.Entries[n-1].Head().T+1)
	}
	if n := len(s.Levels); n > 0 {
		last = max(last, s.Levels[n-1].T+1)
	}
	return last
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
		if !errors.Is(err, errStrips) {
			return s, err
		}
		s.Unread = append(s.Unread, Unread{What: UnreadStrips, From: moment(p.from), Until: moment(p.from)})
	}
	var lost []Unread
	if s.Entries, lost, err = p.entries(q, without); err != nil {
		return s, err
	}
	s.Unread = append(s.Unread, lost...)
	if s.Segment, lost, err = p.segmentBefore(q); err != nil {
		return s, err
	}
	s.Unread = append(s.Unread, lost...)
	if s.Levels, lost, err = p.levels(q); err != nil {
		return s, err
	}
	s.Unread = append(s.Unread, lost...)
	for i := range s.Unread {
		s.Unread[i].describe(q, p.run, &s.Run.Strips)
	}
	unreadFirst(s.Unread)
	s.From, s.Until = moment(p.from), moment(p.until)
	if p.open {
		s.Until = s.last()
	}
	return s, nil
}

func moment(ms int64) rules.Moment { return rules.Moment(time.Duration(ms) * time.Millisecond) }

// errStrips is why a run has no strips: what the record has of them cannot be read.
var errStrips = errors.New("whose levels these are cannot be read")

func readRun(q querier, id int64) (r Run, err error) {
	var zero looseInt
	var strips looseText
	text := func(s *string) *looseText { return (*looseText)(s) }
	err = q.QueryRow(`SELECT r.zero_unix_ms, r.house, r.house_print, r.map_print, r.pawl, r.strips, r.capture, coalesce(t.body, '')
		FROM runs r LEFT JOIN texts t ON t.print = r.house_print WHERE r.id = $1`, id).
		Scan(&zero, text(&r.House), text(&r.HousePrint), text(&r.MapPrint), text(&r.Pawl), &strips, text(&r.Capture), text(&r.HouseText))
	if err != nil {
		return r, err
	}
	r.Zero = fromMs(int64(zero))
	if json.Unmarshal([]byte(strips), &r.Strips) != nil {
		r.Strips = Strips{}
		return r, errStrips
	}
	return r, nil
}

const selectEntries = "SELECT t_ms, n, kind, body FROM entries WHERE run = $1 AND t_ms >= $2 AND t_ms < $3"

func (p part) entries(q querier, without []rules.EntryKind) ([]rules.Entry, []Unread, error) {
	query, args := selectEntries, []any{p.run, p.from, p.until}
	for _, kind := range without {
		args = append(args, string(kind))
		query += fmt.Sprintf(" AND kind <> $%d", len(args))
	}
	return salvageEntries(q, query+" ORDER BY t_ms, n", args)
}

// segmentBefore is the segment that goes on when the part begins.
func (p part) segmentBefore(q querier) (*rules.Parted, []Unread, error) {
	var all found
	err := all.scan(q.Query("SELECT t_ms, n, kind, body FROM entries WHERE run = $1 AND kind = $2 AND t_ms < $3 ORDER BY t_ms DESC, n DESC LIMIT 1",
		p.run, string(rules.SegmentEntry), p.from))
	if err != nil && IsDamaged(err) {
		all.lost, err = append(all.lost, Unread{What: UnreadEntry, Kind: rules.SegmentEntry, From: moment(p.from), Until: moment(p.from), Count: 1}), nil
	}
	if err != nil || len(all.entries) == 0 {
		return nil, all.lost, err
	}
	segment, _ := all.entries[0].(*rules.Parted)
	return segment, all.lost, nil
}

// entriesOf are those of one kind that can be read.
func (p part) entriesOf(q querier, kind rules.EntryKind) ([]rules.Entry, error) {
	all, _, err := salvageEntries(q, selectEntries+" AND kind = $4 ORDER BY t_ms, n", []any{p.run, p.from, p.until, string(kind)})
	return all, err
}

// salvageEntries are those of a query that can be read, of which the second and third
// argument are from when until when.
func salvageEntries(q querier, query string, args []any) ([]rules.Entry, []Unread, error) {
	var all found
	from, until := args[1].(int64), args[2].(int64)
	spans, err := salvage(from, until, func(from, until int64) error {
		args[1], args[2] = from, until
		some := found{}
		err := some.scan(q.Query(query, args...))
		if err == nil {
			all.entries, all.lost = append(all.entries, some.entries...), append(all.lost, some.lost...)
		}
		return err
	})
	for _, s := range spans {
		all.lost = append(all.lost, Unread{What: UnreadEntries, From: moment(s[0]), Until: moment(s[1])})
	}
	return all.entries, all.lost, err
}

// found are the entries of some rows.
type found struct {
	entries []rules.Entry
	lost    []Unread
}

func (f *found) scan(rows *sql.Rows, err error) error {
	if err != nil {
		return err
	}
	defer rows.Close()
	var body sql.RawBytes // which is read before the next row is
	for rows.Next() {
		var t, n looseInt
		var kind looseText
		if err := rows.Scan(&t, &n, &kind, &body); err != nil {
			return err
		}
		if e, ok := readEntry(int64(t), int64(n), rules.EntryKind(kind), body); ok {
			f.entries = append(f.entries, e)
			continue
		}
		if n := len(f.lost); n > 0 && kind == "" && f.lost[n-1].Kind == "" && f.lost[n-1].upTo == len(f.entries) { // as Mend marks them
			last := &f.lost[n-1]
			last.What, last.Until, last.Count = UnreadEntries, moment(int64(t)), last.Count+1
			continue
		}
		lost := Unread{What: UnreadEntry, From: moment(int64(t)), Until: moment(int64(t)), Count: 1, n: int64(n), upTo: len(f.entries)}
		if rules.EntryKind(kind).New() != nil {
			lost.Kind = rules.EntryKind(kind)
		}
		f.lost = append(f.lost, lost)
	}
	return rows.Err()
}

// levels are the seconds of a part, and what of them cannot be read, together.
func (p part) levels(q querier) (all []rules.Levels, lost []Unread, err error) {
	not := Unread{What: UnreadLevels}
	note := func(from, until rules.Moment, n int) {
		if not.Count == 0 && not.Until == 0 {
			not.From = from
		}
		not.From, not.Until, not.Count = min(not.From, from), max(not.Until, until), not.Count+n
	}
	spans, err := salvage(p.from, p.until, func(from, until int64) error {
		some, bad, err := p.levelsIn(q, from, until)
		if err == nil {
			all = append(all, some...)
			for _, t := range bad {
				note(t, t, 1)
			}
		}
		return err
	})
	for _, s := range spans {
		note(moment(s[0]), moment(s[1]), int(max(1, (s[1]-s[0])/1000)))
	}
	if not.Count > 0 {
		lost = append(lost, not)
	}
	return all, lost, err
}

// levelsIn are the seconds of a span, and when those were that cannot be read.
func (p part) levelsIn(q querier, from, until int64) (all []rules.Levels, bad []rules.Moment, err error) {
	rows, err := q.Query("SELECT t_ms, body FROM levels WHERE run = $1 AND t_ms >= $2 AND t_ms < $3 ORDER BY t_ms", p.run, from, until)
	if err != nil {
		return nil, nil, err
	}
	defer rows.Close()
	var body sql.RawBytes // which is read before the next row is
	for rows.Next() {
		var t looseInt
		if err := rows.Scan(&t, &body); err != nil {
			return nil, nil, err
		}
		l, err := decodeLevels(moment(int64(t)), body)
		if err != nil {
			bad = append(bad, moment(int64(t)))
			continue
		}
		all = append(all, l)
	}
	return all, bad, rows.Err()
}
