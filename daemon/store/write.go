package store

import (
	"database/sql"
	"encoding/json"
	"errors"
	"time"

	"pawl/rules"
)

// standing is where the writing stands between two transactions. It is a value: one
// that failed leaves the last.
type standing struct {
	run      int64 // 0 before the first
	zero     int64 // its Zero
	house    string
	shift    int64 // by how much the time of day was set since the Recorder was made, ms
	presence presence
	going    bool // a service goes on

	// waiting are the last minute's seconds of a time that belongs to no service. If one
	// begins they are its beginning; nothing else is heard of a desk that idles all week.
	waiting []item
}

// writing is one transaction.
type writing struct {
	tx *sql.Tx
	standing
	service  int64 // that goes on; 0 for none
	heard    time.Duration
	prepared map[string]*sql.Stmt
}

// write puts items into the record, all or none, and gives where it stands then. What
// was lost before them is said in the record too, and shift corrects the time of day
// of the run that goes on.
func (s standing) write(db *sql.DB, items []item, lost uint64, shift time.Duration) (standing, error) {
	tx, err := db.Begin()
	if err != nil {
		return s, err
	}
	defer tx.Rollback()
	w := writing{tx: tx, standing: s, prepared: map[string]*sql.Stmt{}}
	if err := w.all(items, lost, shift); err != nil {
		return s, err
	}
	return w.standing, tx.Commit()
}

func (w *writing) all(items []item, lost uint64, shift time.Duration) error {
	if err := w.resume(); err != nil {
		return err
	}
	w.shift += shift.Milliseconds()
	if w.zero += shift.Milliseconds(); shift != 0 && w.run != 0 {
		if err := w.exec("UPDATE runs SET zero_unix_ms = $1 WHERE id = $2", w.zero, w.run); err != nil {
			return err
		}
	}
	for i := range items {
		if err := w.item(&items[i]); err != nil {
			return err
		}
	}
	// What had no room came after what had.
	if n := len(items); lost > 0 && n > 0 && w.run != 0 {
		if err := w.exec("INSERT INTO gaps (run, t_ms, lost) VALUES ($1, $2, $3)", w.run, ms(items[n-1].at), int64(lost)); err != nil {
			return err
		}
	}
	w.going = w.service != 0
	return w.keepHeard()
}

// resume finds which service goes on: somebody may have joined, split or deleted it.
func (w *writing) resume() error {
	var from int64
	err := w.tx.QueryRow("SELECT service, heard_ms FROM parts WHERE run = $1 AND until_ms IS NULL", w.run).Scan(&w.service, &from)
	if errors.Is(err, sql.ErrNoRows) {
		w.service, err = 0, nil
	}
	w.heard = time.Duration(from) * time.Millisecond
	if w.service != 0 {
		w.presence.hand = max(w.presence.hand, w.heard)
	}
	return err
}

// keepHeard notes when something last happened in the service that goes on.
func (w *writing) keepHeard() error {
	if w.service == 0 || w.presence.heard() <= w.heard {
		return nil
	}
	return w.exec("UPDATE parts SET heard_ms = $1 WHERE run = $2 AND until_ms IS NULL", ms(w.presence.heard()), w.run)
}

// exec runs a statement that is prepared once in a transaction.
func (w *writing) exec(query string, args ...any) error {
	_, err := w.changed(query, args...)
	return err
}

// changed is exec that tells how many rows it changed.
func (w *writing) changed(query string, args ...any) (int64, error) {
	s := w.prepared[query]
	if s == nil {
		var err error
		if s, err = w.tx.Prepare(query); err != nil {
			return 0, err
		}
		w.prepared[query] = s
	}
	done, err := s.Exec(args...)
	if err != nil {
		return 0, err
	}
	return done.RowsAffected()
}

func (w *writing) item(i *item) error {
	if i.what == aRun {
		return w.newRun(i)
	}
	if w.run == 0 {
		return nil // there is nothing yet that it could belong to
	}
	if w.service != 0 && w.presence.over(i.at) {
		if err := w.endService(w.presence.heard() + silence); err != nil {
			return err
		}
	}
	w.presence.see(i.at, i.sound, i.hand)
	switch {
	case i.what == end && w.service != 0:
		w.presence.hand, w.presence.resting = i.at, true
		if err := w.keepHeard(); err != nil {
			return err
		}
		return w.endService(i.at + time.Millisecond)
	case i.what == begin && w.service == 0:
		w.presence.hand, w.presence.resting = i.at, false
		return w.beginService(i.at)
	case i.what == begin || i.what == end:
		return nil
	}
	if from, ok := w.presence.begun(i.at); ok && w.service == 0 {
		if err := w.beginService(from); err != nil {
			return err
		}
	}
	if idle := i.what == aSecond || i.entry.Head().Entry == rules.SecondEntry; idle && w.service == 0 {
		w.wait(*i)
		return nil
	}
	return w.keep(i)
}

// wait holds a second back, and lets go of those that no beginning reaches any more.
func (w *writing) wait(i item) {
	from := 0
	for from < len(w.waiting) && i.at-w.waiting[from].at > together {
		from++
	}
	// A new array: the old one is that of the standing before this transaction.
	w.waiting = append(append([]item{}, w.waiting[from:]...), i)
}

// keep writes an entry or a second of levels. One that is there already is of a
// transaction whose success nobody learned of.
func (w *writing) keep(i *item) error {
	if i.what == aSecond {
		if i.body == nil {
			return nil
		}
		return w.exec("INSERT INTO levels (run, t_ms, body) VALUES ($1, $2, $3) ON CONFLICT DO NOTHING", w.run, ms(i.at), i.body)
	}
	head := i.entry.Head()
	n, err := w.changed("INSERT INTO entries (run, t_ms, n, kind, body) VALUES ($1, $2, $3, $4, $5) ON CONFLICT DO NOTHING",
		w.run, ms(i.at), int64(head.N), string(head.Entry), string(i.body))
	if err != nil || n == 0 {
		return err
	}
	return w.index(i.entry)
}

// newRun begins a run. A service that goes on does so in the new run, if it is of the
// same house and not over meanwhile.
func (w *writing) newRun(i *item) error {
	strips, err := json.Marshal(i.run.Strips)
	if err != nil {
		return err
	}
	id, err := next(w.tx, "run")
	if err != nil {
		return err
	}
	zero := unixMs(i.run.Zero) + w.shift
	if err := w.exec(`INSERT INTO runs (id, zero_unix_ms, house, house_print, map_print, pawl, strips, capture) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`,
		id, zero, i.run.House, i.run.HousePrint, i.run.MapPrint, i.run.Pawl, string(strips), i.run.Capture); err != nil {
		return err
	}
	if err := w.keepOrigin(&i.run); err != nil {
		return err
	}
	was := w.standing
	w.standing = standing{run: id, zero: zero, house: i.run.House, shift: was.shift, presence: nobody()}
	if was.run != 0 { // what was just now still was, on the new run's clock
		w.presence = was.presence
		by := time.Duration(was.zero-zero) * time.Millisecond
		w.presence.sound, w.presence.hand = was.presence.sound+by, was.presence.hand+by
	}
	w.service = 0
	if err := w.takeOver(i.at, was.run != 0); err != nil {
		return err
	}
	// A desk that idles all week makes many runs of which nothing is kept.
	return removeRuns(w.tx)
}

// takeOver lets the service that went on before this run go on in it, or ends it. Known says
// that the run before was of this process, which has seen what happened in it.
func (w *writing) takeOver(at time.Duration, known bool) error {
	var run, service, heard, zero int64
	var house string
	err := w.tx.QueryRow(`SELECT p.run, p.service, p.heard_ms, r.zero_unix_ms, r.house FROM parts p JOIN runs r ON r.id = p.run
		WHERE p.until_ms IS NULL ORDER BY p.run DESC`).Scan(&run, &service, &heard, &zero, &house)
	if errors.Is(err, sql.ErrNoRows) {
		return nil
	} else if err != nil {
		return err
	}
	// Nothing more comes to the older runs.
	if err := w.exec(`UPDATE parts SET until_ms = heard_ms + $1 WHERE until_ms IS NULL`, silence.Milliseconds()); err != nil {
		return err
	}
	last := time.Duration(zero+heard-w.zero) * time.Millisecond // on this run's clock
	if quiet := at - last; house != w.house || quiet >= silence || quiet < -slack {
		return nil
	}
	if !known { // after a restart it is all that is known of what was before
		w.presence.sound, w.presence.hand = last, last
	}
	w.service, w.heard = service, last // on this run's clock: the old one may be far ahead of it
	return w.exec("INSERT INTO parts (run, from_ms, heard_ms, service) VALUES ($1, $2, $3, $4)", w.run, ms(at), ms(last), service)
}

// slack is how far a clock may have been put back between two runs of one service.
const slack = 2 * time.Second

// beginService begins one, with what was held back since then.
func (w *writing) beginService(from time.Duration) error {
	id, err := next(w.tx, "service")
	if err != nil {
		return err
	}
	var until sql.NullInt64 // no second belongs to two services
	if err := w.tx.QueryRow("SELECT max(until_ms) FROM parts WHERE run = $1", w.run).Scan(&until); err != nil {
		return err
	}
	start := ms(from)
	if until.Valid {
		start = max(start, until.Int64)
	}
	w.service, w.heard = id, w.presence.heard()
	if err := w.exec("INSERT INTO services (id, name, mixing) VALUES ($1, '', '')", id); err != nil {
		return err
	}
	if err := w.exec("INSERT INTO parts (run, from_ms, heard_ms, service) VALUES ($1, $2, $3, $4)", w.run, start, ms(w.presence.heard()), id); err != nil {
		return err
	}
	for _, i := range w.waiting {
		if ms(i.at) < start {
			continue
		}
		if err := w.keep(&i); err != nil {
			return err
		}
	}
	w.waiting = nil
	return nil
}

func (w *writing) endService(until time.Duration) error {
	if err := w.keepHeard(); err != nil {
		return err
	}
	w.service = 0
	return w.exec("UPDATE parts SET until_ms = $1 WHERE run = $2 AND until_ms IS NULL", ms(until), w.run)
}

// next is a new number of a table that counts.
func next(tx *sql.Tx, name string) (id int64, err error) {
	err = tx.QueryRow("UPDATE counters SET newest = newest + 1 WHERE name = $1 RETURNING newest", name).Scan(&id)
	return id, err
}
