package capture

import (
	"bufio"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"
)

// childEnv makes the test binary a Pawl that captures into the folder in it until it is
// killed.
const childEnv = "PAWL_CAPTURE_TEST_CHILD"

func TestMain(m *testing.M) {
	if path := os.Getenv(childEnv); path != "" {
		captureForEver(path)
	}
	os.Exit(m.Run())
}

// captureForEver puts packets as fast as they are written, and prints how many are.
func captureForEver(path string) {
	f := NewFolder(FolderOptions{Path: path, Stem: "hall", Recorder: RecorderOptions{Every: time.Millisecond}})
	last := uint64(0)
	for i := 0; ; {
		s := f.Status()
		if s.Written != last {
			last = s.Written
			fmt.Println(s.Written)
		}
		if s.Waiting < 2000 {
			putAt(f, noon, i, i+100)
			i += 100
		}
	}
}

// TestKilledWhileCapturing kills a Pawl at whatever it does, many times: what it had
// written is read, in order and without a hole, and nothing else.
func TestKilledWhileCapturing(t *testing.T) {
	for round := range 12 {
		folder := t.TempDir()
		cmd := exec.Command(os.Args[0])
		cmd.Env = append(os.Environ(), childEnv+"="+folder)
		out, err := cmd.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		lines := bufio.NewScanner(out)
		written := 0
		for range 3 + 11*round {
			if !lines.Scan() {
				t.Fatal("it ended by itself")
			}
			if written, err = strconv.Atoi(lines.Text()); err != nil {
				t.Fatal(err)
			}
		}
		if err := cmd.Process.Kill(); err != nil {
			t.Fatal(err)
		}
		for lines.Scan() {
			written, _ = strconv.Atoi(lines.Text())
		}
		_ = cmd.Wait()
		got, counts := readAll(t, strings.NewReader(string(readFile(t, folder, inFolder(t, folder)[0]))))
		if len(got) < written {
			t.Errorf("round %d: %d packets are read, and %d were written", round, len(got), written)
		}
		for i, p := range got {
			if string(p.Data) != fmt.Sprintf("%08d", i) {
				t.Fatalf("round %d: packet %d is %q", round, i, p.Data)
			}
		}
		if c := counts; c.Malformed+c.Other+c.Backwards > 0 {
			t.Errorf("round %d: %q", round, c.Notes())
		}
	}
}

// tinyDisk mounts a file system of 64 KiB, or skips.
func tinyDisk(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, "size=64k"); err != nil {
		t.Skipf("a small file system cannot be mounted here, which needs root: %v", err)
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(dir, 0); err != nil {
			t.Error(err)
		}
	})
	return dir
}

// await waits until a status is as wanted; the test's own deadline is the only one.
func await(f *Folder, wanted func(Status) bool) Status {
	tick := time.NewTicker(time.Millisecond)
	defer tick.Stop()
	for {
		if s := f.Status(); wanted(s) {
			return s
		}
		<-tick.C
	}
}

// TestFolderOnATinyDisk fills the disk, makes room again, then makes it read-only and
// writable again: the trouble is told, and nothing is lost.
func TestFolderOnATinyDisk(t *testing.T) {
	dir := tinyDisk(t)
	ballast := filepath.Join(dir, "ballast")
	if err := os.WriteFile(ballast, make([]byte, 56<<10), 0o600); err != nil {
		t.Fatal(err)
	}
	f := NewFolder(FolderOptions{Path: dir, Stem: "hall", Recorder: RecorderOptions{Every: 5 * time.Millisecond, Retry: 5 * time.Millisecond}})
	n := 0
	for ; f.Status().Fault == ""; n += 100 {
		putAt(f, noon, n, n+100)
		await(f, func(s Status) bool { return s.Waiting == 0 || s.Fault != "" })
	}
	if s := f.Status(); s.Fault != "the disk is full" {
		t.Errorf("fault %q on a full disk", s.Fault)
	}
	got, _ := readAll(t, strings.NewReader(string(readFile(t, f.File()))))
	if len(got) < n-200 || len(got) > n {
		t.Errorf("%d packets can be read from the full disk, of %d", len(got), n)
	}
	if err := os.Remove(ballast); err != nil {
		t.Fatal(err)
	}
	await(f, func(s Status) bool { return s.Written == uint64(n) && s.Fault == "" })
	holds(t, readFile(t, f.File()), "", 0, n)

	f.Next() // the next file is to be made on a disk that is read-only
	await(f, func(s Status) bool { return s.Waiting == 0 })
	remount := func(flags uintptr) {
		t.Helper()
		for syscall.Mount("tmpfs", dir, "tmpfs", syscall.MS_REMOUNT|flags, "size=64k") == syscall.EBUSY {
			// The file before is still being closed.
		}
	}
	remount(syscall.MS_RDONLY)
	putAt(f, noon.Add(time.Hour), 0, 50)
	if s := await(f, func(s Status) bool { return s.Fault != "" }); s.Fault != "the disk is read-only" {
		t.Errorf("fault %q on a disk that is read-only", s.Fault)
	}
	remount(0)
	await(f, func(s Status) bool { return s.Fault == "" && s.Written == uint64(n+50) })
	holds(t, readFile(t, f.File()), "", 0, 50)
	if err := f.Close(); err != nil {
		t.Error(err)
	}
}
