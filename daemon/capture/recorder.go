package capture

import (
	"bytes"
	"fmt"
	"io"
	"sync"
	"time"

	"github.com/klauspost/compress/zstd"

	"pawl/daemon/disks"
)

// RecorderOptions bound what a Recorder keeps and say how often it writes. The
// zero value takes the defaults.
type RecorderOptions struct {
	// Bytes may wait to be written, in packets with what is kept beside them;
	// 8 MiB if 0.
	Bytes int

	// Every is the time between writes, and the most that a power cut costs; a
	// second if 0.
	Every time.Duration

	// Retry is the time between tries when the output takes nothing; 5 s if 0.
	Retry time.Duration

	// Zstd compresses what is written, each time into a frame of its own (RFC 8878), so
	// that what is in the output can be read at any time.
	Zstd bool
}

// Status says how a recording goes. Put is the sum of Written, Waiting, Dropped
// and Refused.
type Status struct {
	Put     uint64 // packets handed to Put
	Written uint64 // of these, in the output
	Waiting uint64 // to be written
	Dropped uint64 // because too much was waiting, or after Close; they are missing
	Refused uint64 // because they cannot stand in a capture: too long, or no sender
	Bytes   int64  // in the output
	Failed  uint64 // times that the output failed; what was to be written is tried again

	// Kept is when all that had been put by then was last in the output; when the Recorder
	// was made, if it never was.
	Kept time.Time

	// Fault says in plain words why nothing can be written; empty if all is well.
	// It stands from Since on, and goes when writing works again.
	Fault disks.Fault
	Since time.Time
}

// Recorder owns a capture and writes it in a goroutine of its own, so that
// neither a slow disk nor a full one holds up the caller. Make one with
// NewRecorder, and Close it. Put and Status may be called from any goroutine.
//
// What the output does not take is kept and tried again; if too much waits,
// packets are dropped and counted, and the file says how many are missing.
type Recorder struct {
	options RecorderOptions
	output  output
	writer  *Writer
	packer  *zstd.Encoder // nil for plain blocks
	blocks  bytes.Buffer  // written by writer: whole blocks that the output has yet to take

	// Of the goroutine alone.
	spare     batch     // takes turns with queue
	heldCount uint64    // packets in blocks
	heldCost  int       // of cost
	told      uint64    // how many missing packets the file speaks of
	tried     time.Time // when the output last took nothing; zero if it does

	wake chan struct{} // 1: much is waiting
	quit chan struct{} // closed by Close
	done chan struct{} // closed by the goroutine

	mu     sync.Mutex // below
	queue  batch
	cost   int // of queue and held
	work   disks.Work
	status Status // but for its fault, which is in work
	closed bool
}

const (
	// beside is what is kept for a packet beside its data, in bytes, roughly.
	beside = 128

	// much is so many bytes waiting that they are written before their time.
	much = 256 << 10
)

// NewRecorder begins a capture on w, with a note for whoever opens the file; it
// may be empty. The caller closes w after the Recorder. Where w can, it is synced
// after writing (Sync), and after a write in part it is put back to the last whole
// block (Seek, Truncate), so that the file can be read at any time.
func NewRecorder(w io.Writer, note string, options RecorderOptions) (*Recorder, error) {
	if options.Bytes <= 0 {
		options.Bytes = 8 << 20
	}
	if options.Every <= 0 {
		options.Every = time.Second
	}
	if options.Retry <= 0 {
		options.Retry = 5 * time.Second
	}
	r := &Recorder{
		options: options, output: newOutput(w),
		wake: make(chan struct{}, 1), quit: make(chan struct{}), done: make(chan struct{}),
	}
	var err error
	if r.writer, err = NewWriter(&r.blocks, note); err != nil {
		return nil, err
	}
	if err := r.writer.Flush(); err != nil {
		return nil, err
	}
	if options.Zstd {
		if r.packer, err = newPacker(); err != nil {
			return nil, err
		}
		r.pack()
	}
	r.status.Kept = time.Now()
	go r.run()
	return r, nil
}

// Put adds one datagram, as Writer.Write does. It copies Data, never waits for the
// output, and never fails: see Status.
func (r *Recorder) Put(p Packet) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.status.Put++
	cost := len(p.Data) + beside
	if r.closed || r.cost+cost > r.options.Bytes {
		r.status.Dropped++
		return
	}
	r.cost += cost
	r.queue.add(p, cost)
	if r.queue.cost >= much && r.queue.cost-cost < much {
		select {
		case r.wake <- struct{}{}:
		default: // it is awake
		}
	}
}

// Status says how the recording goes.
func (r *Recorder) Status() Status {
	r.mu.Lock()
	defer r.mu.Unlock()
	s := r.status
	s.Waiting = s.Put - s.Written - s.Dropped - s.Refused
	s.Fault, s.Since = r.work.Fault()
	return s
}

// Close writes what waits, as far as the output takes it at one last try, and
// waits for that. The error says what is not in the file. Put after Close drops.
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
		return fmt.Errorf("write capture: the last %d packets are not written: %s", s.Waiting, s.Fault)
	case s.Fault != "":
		return fmt.Errorf("write capture: %s", s.Fault)
	}
	return nil
}

func (r *Recorder) run() {
	defer close(r.done)
	tick := time.NewTicker(r.options.Every)
	defer tick.Stop()
	r.write(true)
	for {
		select {
		case <-r.quit:
			r.tried = time.Time{}
			r.write(true)
			return
		case <-tick.C:
			r.write(true)
		case <-r.wake:
			r.write(false)
		}
	}
}

// write writes all that waits. While the output takes nothing it tries now and
// then only: each try may block for long.
func (r *Recorder) write(sync bool) {
	if !r.tried.IsZero() && time.Since(r.tried) < r.options.Retry {
		return
	}
	r.tried = time.Time{}
	// What is left of the last time goes first. After that a single turn: a slow
	// output would otherwise get ever smaller pieces and never be synced.
	if r.blocks.Len() > 0 && !r.give() {
		return
	}
	if r.fill() && !r.give() {
		return
	}
	if !sync {
		return
	}
	r.begin()
	if err := r.output.sync(); !r.end(err) {
		return
	}
	r.mu.Lock()
	r.work.Well()
	r.status.Kept = time.Now()
	r.mu.Unlock()
}

// give gives the blocks to the output and reports whether it took them all.
func (r *Recorder) give() bool {
	r.begin()
	n, err := r.output.write(r.blocks.Bytes())
	r.blocks.Next(n)
	ok := r.end(err)
	r.mu.Lock()
	defer r.mu.Unlock()
	r.status.Bytes = r.output.size
	if !ok {
		return false
	}
	r.status.Written += r.heldCount
	r.cost -= r.heldCost
	r.heldCount, r.heldCost = 0, 0
	if r.blocks.Cap() > roomKept {
		r.blocks = bytes.Buffer{}
	}
	return true
}

// fill makes blocks of what came, and says false if nothing did.
func (r *Recorder) fill() bool {
	r.mu.Lock()
	b := r.queue
	r.queue = r.spare
	dropped := r.status.Dropped
	r.mu.Unlock()

	refused := uint64(0)
	for p := range b.each {
		// Into memory nothing fails but a packet that no capture can hold.
		if r.writer.Write(*p) != nil {
			refused++
		}
	}
	if dropped != r.told {
		r.told = dropped
		_ = r.writer.missing(dropped)
	}
	_ = r.writer.Flush()
	r.pack()

	r.mu.Lock()
	r.status.Refused += refused
	r.mu.Unlock()
	r.heldCount, r.heldCost = uint64(len(b.packets))-refused, b.cost
	r.spare = b.emptied()
	return r.blocks.Len() > 0 || r.heldCost > 0
}

// begin and end stand around everything that may block. The second reports
// whether all is well.
func (r *Recorder) begin() {
	r.mu.Lock()
	r.work.Begin()
	r.mu.Unlock()
}

func (r *Recorder) end(err error) bool {
	r.mu.Lock()
	defer r.mu.Unlock()
	if err == nil {
		r.work.End("")
		return true
	}
	r.tried = time.Now()
	r.status.Failed++
	r.work.End(InPlainWords(err))
	return false
}
