package store

import (
	"bufio"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"pawl/rules"
)

// childEnv makes the test binary a Pawl that writes a record until it is killed, at the
// path in it. limitEnv is how large a file it may write.
const (
	most     = 1<<64 - 1 // RLIM_INFINITY
	childEnv = "PAWL_STORE_TEST_CHILD"
	limitEnv = "PAWL_STORE_TEST_LIMIT"
)

func TestMain(m *testing.M) {
	if path := os.Getenv(childEnv); path != "" {
		writeForEver(path)
	}
	os.Exit(m.Run())
}

// writeForEver writes moves and levels as fast as they are taken, and prints after each
// transaction how many moves the record has, with the fault if there is one.
func writeForEver(path string) {
	if limit, err := strconv.ParseUint(os.Getenv(limitEnv), 10, 64); err == nil {
		signal.Ignore(syscall.SIGXFSZ) // Go does so by itself; the test does not rest on it
		if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &syscall.Rlimit{Cur: limit, Max: most}); err != nil {
			fmt.Println("limit", err)
			os.Exit(1)
		}
	}
	r := NewRecorder(path, Options{})
	r.Begin(testRun(evening))
	r.BeginService(0)
	orders := bufio.NewScanner(os.Stdin)
	for i, pace := 1, 0; ; i++ {
		r.Put(aMove(uint64(i), float64(i)), []rules.Levels{wide(i, 64)})
		if pace++; pace%7 != 0 {
			continue
		}
		r.Flush()
		s := r.Status()
		fmt.Printf("%d %d %s\n", i, s.Waiting, s.Fault)
		if s.Fault == "" {
			continue
		}
		if !orders.Scan() { // more room, in a moment
			os.Exit(0)
		}
		syscall.Setrlimit(syscall.RLIMIT_FSIZE, &syscall.Rlimit{Cur: most, Max: most})
	}
}

// child starts the test binary as one that writes.
func child(t *testing.T, path string, env ...string) (*exec.Cmd, *bufio.Scanner, io.Writer) {
	t.Helper()
	c := exec.Command(os.Args[0])
	c.Env = append(append(os.Environ(), childEnv+"="+path), env...)
	c.Stderr = os.Stderr
	orders, err := c.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { c.Process.Kill(); c.Wait() })
	return c, bufio.NewScanner(out), orders
}

// report is one line of a child: how many moves it put, and its fault.
func report(t *testing.T, lines *bufio.Scanner) (put int, fault string) {
	t.Helper()
	if !lines.Scan() {
		t.Fatalf("the child said no more: %v", lines.Err())
	}
	var waiting int
	words := strings.SplitN(lines.Text(), " ", 3)
	if _, err := fmt.Sscan(lines.Text(), &put, &waiting); err != nil || len(words) != 3 {
		t.Fatalf("the child said %q", lines.Text())
	}
	return put, words[2]
}

// holdsAll wants a record with the moves 1 to at least that, without a hole, that is sound
// and can be written on.
func holdsAll(t *testing.T, path string, atLeast int) {
	t.Helper()
	r := NewRecorder(path, Options{})
	defer r.Close()
	if err := r.Flush(); err != nil {
		t.Fatalf("it cannot be opened: %v", err)
	}
	s := opened(t, path)
	if err := s.Check(); err != nil {
		t.Error(err)
	}
	all := services(t, s)
	if len(all) == 0 && atLeast == 0 {
		return
	}
	if len(all) != 1 {
		t.Fatalf("%d services, want 1", len(all))
	}
	got := read(t, s, all[0].ID)[0].Entries
	if len(got) < atLeast {
		t.Errorf("%d entries, want at least the %d that were written", len(got), atLeast)
	}
	for i, e := range got {
		if e.Head().N != uint64(i+1) {
			t.Fatalf("entry %d has the number %d: there is a hole", i+1, e.Head().N)
		}
	}
}

// TestKilled kills a Pawl while it writes, again and again.
func TestKilled(t *testing.T) {
	for i := range 6 {
		path := filepath.Join(t.TempDir(), "record.pawl")
		c, lines, _ := child(t, path)
		written := 0
		for range 1 + i*3 {
			written, _ = report(t, lines)
		}
		c.Process.Kill()
		c.Wait()
		holdsAll(t, path, written)
	}
}

// TestPowerCut stops a Pawl at some instant, copies its files as they then are, and lets
// it go on. A copy has also what was never synced, which a power cut may leave or not: so
// each is looked at again with its log cut off somewhere, and then has less, and no hole.
func TestPowerCut(t *testing.T) {
	dir := t.TempDir()
	c, lines, _ := child(t, filepath.Join(dir, "record.pawl"))
	dice := rand.New(rand.NewPCG(1, 2))
	for range 12 {
		written := 0
		for range 1 + dice.IntN(20) {
			written, _ = report(t, lines)
		}
		stopped(t, c.Process.Pid)
		copied := t.TempDir()
		for _, f := range []string{"record.pawl", "record.pawl-wal", "record.pawl.new", "record.pawl.new-journal"} {
			b, err := os.ReadFile(filepath.Join(dir, f))
			if err == nil {
				err = os.WriteFile(filepath.Join(copied, f), b, 0o644)
			}
			if err != nil && !os.IsNotExist(err) {
				t.Fatal(err)
			}
		}
		path := filepath.Join(copied, "record.pawl")
		torn := tear(t, path, dice)
		holdsAll(t, path, written)
		holdsAll(t, torn, 0)
		if err := c.Process.Signal(syscall.SIGCONT); err != nil {
			t.Fatal(err)
		}
	}
}

// tear copies a record with its log cut off somewhere.
func tear(t *testing.T, path string, dice *rand.Rand) string {
	t.Helper()
	torn := filepath.Join(t.TempDir(), "record.pawl")
	for _, f := range []string{"", "-wal"} {
		b, err := os.ReadFile(path + f)
		if err != nil {
			t.Fatal(err)
		}
		if f != "" && len(b) > 0 {
			b = b[:dice.IntN(len(b))]
		}
		if err := os.WriteFile(torn+f, b, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return torn
}

// stopped stops a process and waits until it stands still.
func stopped(t *testing.T, pid int) {
	t.Helper()
	if err := syscall.Kill(pid, syscall.SIGSTOP); err != nil {
		t.Fatal(err)
	}
	var status syscall.WaitStatus
	if _, err := syscall.Wait4(pid, &status, syscall.WUNTRACED, nil); err != nil || !status.Stopped() {
		t.Fatalf("the child did not stop: %v, %v", status, err)
	}
}

// TestNoMoreRoom lets a Pawl write a file of so many bytes and no more, at lengths that
// fall within the making of the file, a transaction and a checkpoint; then there is room.
func TestNoMoreRoom(t *testing.T) {
	for _, limit := range []int{0, 1000, 50_000, 300_000, 3_000_000} {
		t.Run(strconv.Itoa(limit), func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "record.pawl")
			c, lines, orders := child(t, path, limitEnv+"="+strconv.Itoa(limit))
			written, fault := 0, ""
			for fault == "" {
				var put int
				if put, fault = report(t, lines); fault == "" {
					written = put
				}
			}
			if want := "the file may not grow"; !strings.Contains(fault, want) && fault != "the disk is full" {
				t.Errorf("fault %q, want one that says %q", fault, want)
			}
			io.WriteString(orders, "more\n")
			for range 3 {
				if written, fault = report(t, lines); fault != "" {
					t.Fatalf("fault %q though there is room", fault)
				}
			}
			c.Process.Kill()
			c.Wait()
			holdsAll(t, path, written)
		})
	}
}

// TestTinyDisk fills a file system of 600 KiB and makes room again.
func TestTinyDisk(t *testing.T) {
	dir := t.TempDir()
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, "size=600k"); err != nil {
		t.Skipf("a small file system cannot be mounted here, which needs root: %v", err)
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(dir, 0); err != nil {
			t.Error(err)
		}
	})
	ballast := filepath.Join(dir, "ballast")
	if err := os.WriteFile(ballast, make([]byte, 350<<10), 0o600); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(dir, "record.pawl")
	r := NewRecorder(path, Options{})
	r.Begin(testRun(evening))
	r.BeginService(0)
	n := 0
	for r.Status().Fault == "" {
		n++
		r.Put(aMove(uint64(n), float64(n)), nil)
		r.Flush()
	}
	if s := r.Status(); s.Fault != "the disk is full" || s.Dropped != 0 {
		t.Errorf("status %+v, want a full disk and nothing lost", s)
	}
	if err := os.Remove(ballast); err != nil {
		t.Fatal(err)
	}
	if err := r.Flush(); err != nil {
		t.Error(err)
	}
	if err := r.Close(); err != nil {
		t.Error(err)
	}
	if got := moves(t, path); got != n {
		t.Errorf("%d entries in the record, want %d", got, n)
	}
}

// TestReadOnlyFolder has a folder in which nothing may be made. Root may write anywhere,
// so the folder is of a file system that is mounted so.
func TestReadOnlyFolder(t *testing.T) {
	dir := t.TempDir()
	want := "Pawl may not write there"
	if os.Geteuid() == 0 {
		want = "the disk is read-only"
		if err := syscall.Mount("tmpfs", dir, "tmpfs", syscall.MS_RDONLY, ""); err != nil {
			t.Skipf("root may write in every folder, and a read-only file system cannot be mounted here: %v", err)
		}
		defer syscall.Unmount(dir, 0)
	} else if err := os.Chmod(dir, 0o500); err != nil {
		t.Fatal(err)
	}
	r := NewRecorder(filepath.Join(dir, "record.pawl"), Options{Retry: time.Hour})
	r.Begin(testRun(evening))
	r.Put(aMove(1, 1), nil)
	r.Flush()
	if s := r.Status(); string(s.Fault) != want || s.Waiting != 1 {
		t.Errorf("status %+v, want the fault %q", s, want)
	}
	if err := r.Close(); err == nil || !strings.Contains(err.Error(), want) {
		t.Errorf("closed with %v, want to hear of it", err)
	}
}
