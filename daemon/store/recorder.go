package store

import (
	"database/sql"
	"fmt"
	"io/fs"
	"os"
	"sync"
	"time"

	"pawl/daemon/disks"
	"pawl/rules"
)

// Options bound what a Recorder keeps and say how often it writes. The zero value
// takes the defaults and keeps services for ever.
type Options struct {
	// Bytes may wait to be written; 8 MiB if 0, which is two hours of a desk of 64 inputs.
	Bytes int

	// Every is the time between transactions, and the most that a power cut costs; a
	// second if 0.
	Every time.Duration

	// Retry is the time between tries while nothing can be written; 5 s if 0.
	Retry time.Duration

	Keep Keep

	// Wall is the time of day; time.Now if nil. The recorder notices when it is set.
	Wall func() time.Time
}

// Recorder writes the record in a goroutine of its own, so that neither a slow disk
// nor a full one holds up the caller. Make one with NewRecorder, and Close it. All its
// methods may be called from any goroutine, and none but Flush and Close waits for the
// disk.
//
// What cannot be written is kept and tried again; if too much waits, entries and
// levels are dropped and counted, and the record says how many are missing.
type Recorder struct {
	options Options
	file    file
	clock   clock

	// Of the goroutine alone.
	held     []item // taken from the queue and not written yet
	heldCost int
	standing standing
	told     uint64    // how many of the dropped the record speaks of
	tried    time.Time // when nothing could be written; zero if it can
	tidied   time.Time

	wake  chan struct{}     // 1: much is waiting
	flush chan chan<- error // asks for a turn now, and for its outcome
	quit  chan struct{}     // closed by Close
	done  chan struct{}     // closed by the goroutine

	mu     sync.Mutex // below
	queue  []item
	cost   int // of queue and held
	work   disks.Work
	status Status // but for its fault, which is in work
	seen   attendance
	closed bool
}

// NewRecorder begins to write the record at path, once there is something to write. It
// never fails: what is wrong with the file is in Status, and tried again.
func NewRecorder(path string, o Options) *Recorder {
	if o.Bytes <= 0 {
		o.Bytes = 8 << 20
	}
	if o.Every <= 0 {
		o.Every = time.Second
	}
	if o.Retry <= 0 {
		o.Retry = 5 * time.Second
	}
	if o.Wall == nil {
		o.Wall = time.Now
	}
	r := &Recorder{
		options: o, file: file{path: path}, clock: clock{wall: o.Wall},
		wake: make(chan struct{}, 1), flush: make(chan chan<- error), quit: make(chan struct{}), done: make(chan struct{}),
	}
	r.status.Kept = time.Now()
	go r.run()
	return r
}

// Begin says that what is put from now on is of another run.
func (r *Recorder) Begin(run Run) { r.put(ofRun(run)) }

// Put takes what was said, and where every strip stood, since the last call. It keeps
// the entries themselves, which nobody may change any more.
func (r *Recorder) Put(entries []rules.Entry, levels []rules.Levels) {
	items, refused := merged(entries, levels)
	r.put(items...)
	if refused > 0 {
		r.mu.Lock()
		defer r.mu.Unlock()
		r.status.Put += uint64(refused)
		r.status.Refused += uint64(refused)
	}
}

// BeginService begins a service by hand, at a time of the run. If one goes on it does
// nothing.
func (r *Recorder) BeginService(at time.Duration) { r.put(item{what: begin, at: at}) }

// EndService ends the service that goes on, at a time of the run. The next begins by
// itself once it has been quiet for a minute.
func (r *Recorder) EndService(at time.Duration) { r.put(item{what: end, at: at}) }

// put queues items, or drops those for which there is no room. What says where later
// ones belong is always kept; there is little of it.
func (r *Recorder) put(items ...item) {
	r.mu.Lock()
	defer r.mu.Unlock()
	before := r.cost
	for _, i := range items {
		counts := i.what == anEntry || i.what == aSecond
		if counts {
			r.status.Put++
		}
		r.seen.see(&i)
		if r.closed || counts && r.cost+i.cost() > r.options.Bytes {
			if counts {
				r.status.Dropped++
			}
			continue
		}
		r.cost += i.cost()
		r.queue = append(r.queue, i)
	}
	if much := r.options.Bytes / 4; r.cost >= much && before < much {
		select {
		case r.wake <- struct{}{}:
		default: // it is awake
		}
	}
}

// Flush writes what waits, without regard to when it was last tried, and waits for
// that. The error says why it cannot be written.
func (r *Recorder) Flush() error {
	answer := make(chan error, 1)
	select {
	case r.flush <- answer:
		return <-answer
	case <-r.done:
		return fs.ErrClosed
	}
}

// Close writes what waits, as far as that goes at one last try, and waits for it. The
// error says what is not in the record. A service that goes on is left so: the next
// Recorder goes on with it, or ends it.
func (r *Recorder) Close() error {
	r.mu.Lock()
	if !r.closed {
		r.closed = true
		close(r.quit)
	}
	r.mu.Unlock()
	<-r.done
	switch s := r.Status(); {
	case s.Waiting > 0:
		return fmt.Errorf("write the record: the last %d entries and levels are not in it: %s", s.Waiting, s.Fault)
	case s.Fault != "":
		return fmt.Errorf("write the record: %s", s.Fault)
	}
	return nil
}

func (r *Recorder) run() {
	defer close(r.done)
	tick := time.NewTicker(r.options.Every)
	defer tick.Stop()
	r.write()
	for {
		select {
		case <-r.quit:
			r.tried = time.Time{}
			r.write()
			r.file.close()
			return
		case answer := <-r.flush:
			r.tried = time.Time{}
			answer <- r.write()
		case <-tick.C:
			r.write()
		case <-r.wake:
			r.write()
		}
	}
}

// write writes all that waits. While nothing can be written it tries now and then
// only: each try may block for long.
func (r *Recorder) write() error {
	shift := r.clock.shift()
	if !r.tried.IsZero() && time.Since(r.tried) < r.options.Retry {
		return nil
	}
	r.tried = time.Time{}
	r.begin()
	return r.ended(r.turn(shift))
}

// turn is one transaction, with all that may have to be done about the file first.
func (r *Recorder) turn(shift time.Duration) error {
	db, err := r.file.ready()
	if err != nil {
		return err
	}
	lost := r.fill()
	if len(r.held) > 0 || shift != 0 {
		s, err := r.standing.write(db, r.held, lost-r.told, shift)
		if err != nil {
			return err
		}
		r.clock.kept(shift)
		r.standing, r.told = s, lost
		r.written(s.going)
	}
	return r.tidy(db)
}

// fill takes what is queued, and tells how many were dropped by now.
func (r *Recorder) fill() (dropped uint64) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.held = append(r.held, r.queue...)
	r.queue = nil
	r.heldCost = r.cost
	return r.status.Dropped
}

// written counts what is in the record now.
func (r *Recorder) written(going bool) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.status.GoesOn = going
	for _, i := range r.held {
		if i.what == anEntry || i.what == aSecond {
			r.status.Written++
		}
	}
	r.cost -= r.heldCost
	r.held, r.heldCost = nil, 0
}

// tidyEvery is the time between looks for what need not be kept any more.
const tidyEvery = 10 * time.Minute

// tidy ends what was left going on and deletes what is too old.
func (r *Recorder) tidy(db *sql.DB) error {
	if !r.tidied.IsZero() && time.Since(r.tidied) < tidyEvery {
		return nil
	}
	if err := tidy(db, r.standing.run, r.options.Keep, r.options.Wall()); err != nil {
		return err
	}
	r.tidied = time.Now()
	return nil
}

// begin and ended stand around everything that may block.
func (r *Recorder) begin() {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.work.Begin()
}

func (r *Recorder) ended(err error) error {
	size := int64(0)
	if info, e := os.Stat(r.file.path); e == nil {
		size = info.Size()
	}
	if err != nil {
		r.file.failed(err)
	}
	remark := r.clock.remark()
	if remark == "" {
		remark = r.file.remark
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	r.status.Bytes, r.status.Remark = size, remark
	if err == nil {
		r.work.End("")
		r.work.Well()
		r.status.Kept = time.Now()
		return nil
	}
	r.tried = time.Now()
	r.status.Failed++
	r.work.End(inPlainWords(err))
	return err
}
