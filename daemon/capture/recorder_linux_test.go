package capture

import (
	"os"
	"path/filepath"
	"syscall"
	"testing"
	"testing/synctest"
	"time"
)

// TestRecorderOnATinyDisk fills a file system of 64 KiB, makes room again, and
// reads the file at every stage.
func TestRecorderOnATinyDisk(t *testing.T) {
	dir := t.TempDir()
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, "size=64k"); err != nil {
		t.Skipf("a small file system cannot be mounted here, which needs root: %v", err)
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(dir, 0); err != nil {
			t.Error(err)
		}
	})
	ballast := filepath.Join(dir, "ballast")
	if err := os.WriteFile(ballast, make([]byte, 40<<10), 0o600); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(dir, "service.pcapng")
	file, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	read := func() []byte {
		b, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	synctest.Test(t, func(t *testing.T) {
		r := recorder(t, file, RecorderOptions{})
		put(r, 0, 200)
		time.Sleep(1500 * time.Millisecond)
		holds(t, read(), "", 0, 200)
		put(r, 200, 500)
		time.Sleep(time.Second)
		if s := r.Status(); s.Fault != "the disk is full" || s.Written != 200 || s.Waiting != 300 {
			t.Errorf("status %+v, want a full disk and 300 waiting", s)
		}
		holds(t, read(), "", 0, 200)
		if err := os.Remove(ballast); err != nil {
			t.Fatal(err)
		}
		time.Sleep(6 * time.Second)
		wantStatus(t, r, Status{Put: 500, Written: 500})
		if err := r.Close(); err != nil {
			t.Error(err)
		}
	})
	holds(t, read(), "", 0, 500)
}
