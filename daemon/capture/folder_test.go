package capture

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/synctest"
	"time"
)

// inFolder gives the files of a folder, in order.
func inFolder(t *testing.T, path string) (names []string) {
	t.Helper()
	entries, err := os.ReadDir(path)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		names = append(names, e.Name())
	}
	return names
}

func readFile(t *testing.T, parts ...string) []byte {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(parts...))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// putAt puts packets whose data are their numbers, at a time of day.
func putAt(f *Folder, at time.Time, from, to int) {
	for i := from; i < to; i++ {
		f.Put(Packet{at.Add(time.Duration(i)), desk, pawl, fmt.Appendf(nil, "%08d", i)})
	}
}

// TestFolder keeps three files: none before there is a packet, each with what was put
// between two calls of Next, and all counted together.
func TestFolder(t *testing.T) {
	path := filepath.Join(t.TempDir(), "not", "there yet")
	synctest.Test(t, func(t *testing.T) {
		f := NewFolder(FolderOptions{Path: path, Stem: "hall"})
		f.Next()
		if f.File() != "" || f.Status() != (Status{}) {
			t.Errorf("file %q and status %+v before anything", f.File(), f.Status())
		}
		putAt(f, noon, 0, 100)
		first := f.File()
		time.Sleep(1500 * time.Millisecond)
		synctest.Wait()
		holds(t, readFile(t, first), "", 0, 100)
		f.Next()
		if s := f.Status(); s.Put != 100 || s.Written != 100 || !s.Kept.IsZero() {
			t.Errorf("status %+v while a file is being ended, want its 100", s)
		}
		putAt(f, noon.Add(time.Hour), 100, 300)
		f.Next()
		if s := f.Status(); s.Put != 300 || s.Put != s.Written+s.Waiting {
			t.Errorf("status %+v while two files are being ended, want their 300", s)
		}
		putAt(f, noon.Add(2*time.Hour), 300, 400)
		if err := f.Close(); err != nil {
			t.Error(err)
		}
		if s := f.Status(); s.Put != 400 || s.Written != 400 || s.Bytes == 0 {
			t.Errorf("status %+v, want 400 written", s)
		}
	})
	names := inFolder(t, path)
	if len(names) != 3 || !strings.HasPrefix(names[0], "hall-") || !strings.HasSuffix(names[0], Ending) {
		t.Fatalf("files %q", names)
	}
	for i, want := range [][2]int{{0, 100}, {100, 300}, {300, 400}} {
		holds(t, readFile(t, path, names[i]), "", want[0], want[1])
	}
}

// TestFolderTidies: what nobody needs, what is too old and what is too much goes, the
// oldest first, and never the file at hand, nor anything that is not ours.
func TestFolderTidies(t *testing.T) {
	path := t.TempDir()
	write := func(name string, size int, age time.Duration) {
		t.Helper()
		file := filepath.Join(path, name)
		if err := os.WriteFile(file, make([]byte, size), 0o600); err != nil {
			t.Fatal(err)
		}
		if when := time.Now().Add(-age); os.Chtimes(file, when, when) != nil {
			t.Fatal("cannot set the time of a file")
		}
	}
	write("hall-20260101-100000.000"+Ending, 10, 900*time.Hour)
	write("hall-20260102-100000.000"+Ending, 5000, 20*time.Hour)
	write("hall-20260103-100000.000"+Ending, 5000, 10*time.Hour)
	write("hall-20260104-100000.000"+Ending, 5000, 5*time.Hour)
	write("hall-20260105-100000.000"+Ending, 10, 5*time.Hour) // loose
	foreign := []string{"hall-20260101-100000.000.txt", "chapel-20260101-100000.000" + Ending, "hall-2026.pcapng.zst", "holiday.jpg"}
	for _, name := range foreign {
		write(name, 100000, 9000*time.Hour)
	}
	outside := filepath.Join(t.TempDir(), "hall-20260101-100000.000"+Ending)
	if err := os.WriteFile(outside, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	var told []string
	loose := []string{filepath.Join(path, "hall-20260105-100000.000"+Ending), outside, filepath.Join(path, "holiday.jpg"), filepath.Join(path, "..", "hall-20260101-100000.000"+Ending)}
	f := NewFolder(FolderOptions{
		Path: path, Stem: "hall", Keep: 100 * time.Hour, Most: 11000,
		Loose: func() []string { return loose }, Forgotten: func(p string) { told = append(told, filepath.Base(p)) },
	})
	putAt(f, noon, 0, 10)
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	left := inFolder(t, path)
	want := append([]string{"hall-20260103-100000.000" + Ending, "hall-20260104-100000.000" + Ending, filepath.Base(noon.Format("hall-20060102-150405.000") + Ending)}, foreign...)
	slices.Sort(want)
	if !slices.Equal(left, want) {
		t.Errorf("left are\n%q, want\n%q", left, want)
	}
	if _, err := os.Stat(outside); err != nil {
		t.Error("a file of another folder was deleted")
	}
	if !slices.Contains(told, "hall-20260105-100000.000"+Ending) || !slices.Contains(told, "hall-20260101-100000.000"+Ending) {
		t.Errorf("told of %q", told)
	}
}

// TestFolderThatIsNone puts a file in the folder's place: that is told, what was put waits,
// and is written once the file is gone.
func TestFolderThatIsNone(t *testing.T) {
	path := filepath.Join(t.TempDir(), "caught")
	if err := os.WriteFile(path, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	synctest.Test(t, func(t *testing.T) {
		f := NewFolder(FolderOptions{Path: path, Stem: "hall"})
		putAt(f, noon, 0, 100)
		time.Sleep(1500 * time.Millisecond)
		synctest.Wait()
		if s := f.Status(); s.Fault == "" || s.Waiting != 100 {
			t.Errorf("status %+v, want a fault and 100 waiting", s)
		}
		if err := os.Remove(path); err != nil {
			t.Fatal(err)
		}
		time.Sleep(6 * time.Second)
		synctest.Wait()
		if s := f.Status(); s.Fault != "" || s.Written != 100 {
			t.Errorf("status %+v, want all of it written", s)
		}
		if err := f.Close(); err != nil {
			t.Error(err)
		}
	})
	holds(t, readFile(t, path, inFolder(t, path)[0]), "", 0, 100)
}

// TestOpen tells a capture that is gone from what is none.
func TestOpen(t *testing.T) {
	folder := t.TempDir()
	if _, err := Open(filepath.Join(folder, "x")); err != ErrGone {
		t.Errorf("a file that is not there: %v", err)
	}
	if _, err := Open(folder); err == nil {
		t.Error("a folder is opened")
	}
}
