package disks

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"syscall"
	"testing"
	"testing/synctest"
	"time"
)

func TestWork(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var w Work
		fault := func(want string, since time.Duration) {
			t.Helper()
			why, at := w.Fault()
			if string(why) != want || want != "" && time.Since(at) != since {
				t.Errorf("%q since %v ago, want %q since %v ago", why, time.Since(at), want, since)
			}
		}
		fault("", 0)
		w.Begin()
		time.Sleep(Stuck - 1)
		fault("", 0)
		time.Sleep(1 * time.Nanosecond)
		fault("the disk does not answer", Stuck)
		w.End("the disk is full")
		fault("the disk is full", 0)
		w.Begin()
		time.Sleep(time.Second)
		w.End("the disk has a fault") // another word for the same trouble
		fault("the disk has a fault", time.Second)
		w.Begin()
		w.End("")
		fault("the disk has a fault", time.Second)
		w.Well()
		fault("", 0)
	})
}

// TestPlain: nothing of what the system and Go call a fault is left.
func TestPlain(t *testing.T) {
	_, missing := os.Open("nowhere.pcapng")
	_, folder := os.ReadFile(".")
	for _, c := range []struct {
		err  error
		want string
	}{
		{missing, "nowhere.pcapng: no such file"},
		{fmt.Errorf("read the capture: %w", missing), "read the capture: nowhere.pcapng: no such file"},
		{folder, ".: it is a folder"},
		{&fs.PathError{Op: "open", Path: "x", Err: syscall.EACCES}, "x: Pawl has no right to it"},
		{&fs.PathError{Op: "mkdir", Path: "x/y", Err: syscall.ENOTDIR}, "x/y: what should be its folder is a file"},
		{fmt.Errorf("x: %w", syscall.ENOSPC), "x: the disk is full"},
		{fmt.Errorf("x: %w", io.ErrUnexpectedEOF), "x: it ends too early"},
		{errors.New("something of ours"), "something of ours"},
	} {
		if got := Plain(c.err); got != c.want {
			t.Errorf("%v: %q, want %q", c.err, got, c.want)
		}
	}
}

func TestWords(t *testing.T) {
	for _, c := range []struct {
		err  error
		want string
	}{
		{fmt.Errorf("write: %w", syscall.ENOSPC), "the disk is full"},
		{&fs.PathError{Op: "open", Path: "x", Err: syscall.EROFS}, "the disk is read-only"},
		{os.ErrPermission, "Pawl may not write there"},
		{errors.New("something else"), ""}, {nil, ""},
	} {
		if got := Words(c.err); string(got) != c.want {
			t.Errorf("%v: %q, want %q", c.err, got, c.want)
		}
	}
}
