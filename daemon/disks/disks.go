// Package disks is what writers have in common that own a file in a goroutine of their own:
// whether the disk answers, and its faults in the words of the person in front of it.
package disks

import (
	"errors"
	"io"
	"io/fs"
	"strings"
	"syscall"
	"time"
)

// Fault is what is wrong, in plain words; "" for nothing. One that is known here or beside
// it has a phrase in every language; of another the system's own words are told.
type Fault string

// The faults of disks.
const (
	Full      Fault = "the disk is full"
	QuotaUsed Fault = "the disk quota is used up"
	ReadOnly  Fault = "the disk is read-only"
	Faulty    Fault = "the disk has a fault"
	Forbidden Fault = "Pawl may not write there"
	Silent    Fault = "the disk does not answer"
)

// Stuck is how long the disk may be at work until that is a fault.
const Stuck = 5 * time.Second

// Work is how the work on a file goes. The zero value is at rest and well. It is to be
// guarded by its owner's lock.
type Work struct {
	since time.Time // since when the disk has not answered; zero if it is not at work
	fault Fault     // "" while all is well
	began time.Time // of the fault
}

// Begin and End stand around everything that may block. A fault stands until Well; "" for none leaves one that is there as it is.
func (w *Work) Begin() { w.since = time.Now() }

// End ends what Begin began.
func (w *Work) End(fault Fault) {
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

// Fault says what is wrong, and since when; "" if nothing is. A disk that
// does not answer is a fault too.
func (w *Work) Fault() (why Fault, since time.Time) {
	if w.fault == "" && !w.since.IsZero() && time.Since(w.since) >= Stuck {
		return Silent, w.since
	}
	return w.fault, w.began
}

// called is what the system calls a fault, and what it is called here.
type called struct {
	err   error
	words Fault
}

var ofDisks = []called{{syscall.ENOSPC, Full}, {syscall.EDQUOT, QuotaUsed}, {syscall.EROFS, ReadOnly}, {syscall.EIO, Faulty}}

// Words says what an error of the system means to the person in front of it who has something
// written; "" for one that is not the disk's.
func Words(err error) Fault {
	for _, known := range append(ofDisks[:len(ofDisks):len(ofDisks)], called{fs.ErrPermission, Forbidden}) {
		if errors.Is(err, known.err) {
			return known.words
		}
	}
	return ""
}

// ofFiles are the faults of a file that somebody named, to read or to write.
var ofFiles = append(ofDisks[:len(ofDisks):len(ofDisks)],
	called{syscall.ENOENT, "no such file"}, called{syscall.ENOTDIR, "what should be its folder is a file"}, called{syscall.EISDIR, "it is a folder"},
	called{syscall.EACCES, "Pawl has no right to it"}, called{syscall.EPERM, "Pawl has no right to it"}, called{syscall.EEXIST, "it is there already"},
	called{syscall.ENAMETOOLONG, "its name is too long"}, called{syscall.ELOOP, "its links lead back to themselves"}, called{syscall.EINVAL, "the system does not take that"},
	called{io.ErrUnexpectedEOF, "it ends too early"}, called{io.EOF, "it ends too early"})

// Plain is what an error says, with plain words for what the system calls it, and of a file its
// name without the call that failed: "hall.pcapng: no such file".
func Plain(err error) string {
	text := err.Error()
	if path := (*fs.PathError)(nil); errors.As(err, &path) {
		text = strings.ReplaceAll(text, path.Error(), path.Path+": "+path.Err.Error())
	}
	for _, known := range ofFiles {
		if errors.Is(err, known.err) {
			text = strings.ReplaceAll(text, known.err.Error(), string(known.words))
		}
	}
	return text
}
