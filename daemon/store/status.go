package store

import (
	"time"

	"pawl/daemon/disks"
)

// Status says how recording goes. Put is the sum of Written, Waiting, Dropped and
// Refused; all count entries and seconds of levels.
type Status struct {
	Put     uint64 // handed to Put
	Written uint64 // of these, taken by the record; seconds that no service is in are not kept
	Waiting uint64 // to be written
	Dropped uint64 // because too much was waiting, or after Close; they are missing
	Refused uint64 // because they cannot be said in JSON
	Bytes   int64  // that the file has
	Failed  uint64 // times that writing failed; what was to be written is tried again

	// Kept is when all that had been put by then was last in the record; when the Recorder
	// was made, if it never was.
	Kept time.Time

	// Fault says in plain words why nothing can be written; empty if all is well. It
	// stands from Since on, and goes when writing works again.
	Fault disks.Fault
	Since time.Time

	// GoesOn reports whether a service goes on, in the record or by what was put since.
	GoesOn bool

	// Still is for how long, up to what was put last, nothing played and nobody moved
	// anything; Alone is how long ago somebody last did.
	Still, Alone time.Duration

	// Remark says in plain words what happened to the file or to the clock that somebody
	// should know of, though recording goes on; "" for nothing.
	Remark string
}

// Status says how recording goes.
func (r *Recorder) Status() Status {
	r.mu.Lock()
	defer r.mu.Unlock()
	s := r.status
	s.GoesOn = s.GoesOn || r.seen.on
	s.Still, s.Alone = r.seen.at-r.seen.heard(), r.seen.at-r.seen.hand
	s.Waiting = s.Put - s.Written - s.Dropped - s.Refused
	s.Fault, s.Since = r.work.Fault()
	return s
}
