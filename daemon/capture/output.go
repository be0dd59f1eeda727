package capture

import (
	"errors"
	"io"
	"os"
	"syscall"

	"pawl/daemon/disks"
)

// output writes whole blocks and does its best that no part of one stays behind.
type output struct {
	w    io.Writer
	file interface { // nil if w cannot be put back
		io.Seeker
		Truncate(size int64) error
	}
	start int64 // where in file the capture begins
	size  int64 // bytes written, after start

	syncer interface{ Sync() error } // nil if w cannot be synced
	synced int64                     // of size
}

func newOutput(w io.Writer) output {
	o := output{w: w}
	if f, ok := w.(interface {
		io.Seeker
		Truncate(size int64) error
	}); ok {
		// A pipe has the methods of a file too, but none that works.
		if start, err := f.Seek(0, io.SeekCurrent); err == nil {
			o.file, o.start = f, start
		}
	}
	o.syncer, _ = w.(interface{ Sync() error })
	return o
}

// write says how much of the blocks is done with: all, none if the file was put
// back to where they begin, or what a pipe took of them before the error, to go on
// from there.
func (o *output) write(blocks []byte) (int, error) {
	if len(blocks) == 0 {
		return 0, nil
	}
	n, err := o.w.Write(blocks)
	if err == nil && n < len(blocks) {
		err = io.ErrShortWrite
	}
	if err != nil && o.file != nil {
		if _, at := o.file.Seek(o.start+o.size, io.SeekStart); at == nil {
			// If it stays as long as it is, the next try writes over it.
			_ = o.file.Truncate(o.start + o.size)
			n = 0
		}
	}
	o.size += int64(n)
	return n, err
}

func (o *output) sync() error {
	if o.syncer == nil || o.synced == o.size {
		return nil
	}
	err := o.syncer.Sync()
	if errors.Is(err, syscall.EINVAL) || errors.Is(err, syscall.ENOTSUP) {
		o.syncer, err = nil, nil // a pipe or a terminal has nothing to lose
	}
	if err == nil {
		o.synced = o.size
	}
	return err
}

// The faults of an output, beside those of a disk.
const (
	TooLarge disks.Fault = "the file is as large as it may be"
	Closed   disks.Fault = "the output was closed"
	Cut      disks.Fault = "the output took only a part"
)

// InPlainWords says what an error of an output means to the person in front of it.
func InPlainWords(err error) disks.Fault {
	if words := disks.Words(err); words != "" {
		return words
	}
	for _, known := range []struct {
		err   error
		words disks.Fault
	}{
		{syscall.EFBIG, TooLarge},
		{syscall.EPIPE, Closed},
		{io.ErrClosedPipe, Closed},
		{os.ErrClosed, Closed},
		{io.ErrShortWrite, Cut},
	} {
		if errors.Is(err, known.err) {
			return known.words
		}
	}
	return disks.Fault(err.Error())
}
