// Package disks is what writers have in common that own a file in a goroutine of their own:
// whether the disk answers, and its faults in the words of the person in front of it.
package disks

import (
	"errors"
	"io/fs"
	"syscall"
	"time"
)

// Stuck is how long the disk may be at work until that is a fault.
const Stuck = 5 * time.Second

// Work is how the work on a file goes. The zero value is at rest and well. It is to be
// guarded by its owner's lock.
type Work struct {
	since time.Time // since when the disk has not answered; zero if it is not at work
	fault string    // "" while all is well
	began time.Time // of the fault
}

// Begin and End stand around everything that may block. A fault, in plain words, stands
// until Well; "" for none leaves one that is there as it is.
func (w *Work) Begin() { w.since = time.Now() }

// End ends what Begin began.
func (w *Work) End(fault string) {
	w.since = time.Time{}
	if fault == "" {
		return
	}
	w.fault = fault
	if w.began.IsZero() {
		w.began = time.Now()
	}
}

// Well says that writing works again.
func (w *Work) Well() { w.fault, w.began = "", time.Time{} }

// Fault says what is wrong in plain words, and since when; "" if nothing is. A disk that
// does not answer is a fault too.
func (w *Work) Fault() (why string, since time.Time) {
	if w.fault == "" && !w.since.IsZero() && time.Since(w.since) >= Stuck {
		return "the disk does not answer", w.since
	}
	return w.fault, w.began
}

// Words says what an error of the system means to the person in front of it; "" for one
// that is not the disk's.
func Words(err error) string {
	for _, known := range []struct {
		err   error
		words string
	}{
		{syscall.ENOSPC, "the disk is full"},
		{syscall.EDQUOT, "the disk quota is used up"},
		{syscall.EROFS, "the disk is read-only"},
		{syscall.EIO, "the disk has a fault"},
		{fs.ErrPermission, "Pawl may not write there"},
	} {
		if errors.Is(err, known.err) {
			return known.words
		}
	}
	return ""
}
