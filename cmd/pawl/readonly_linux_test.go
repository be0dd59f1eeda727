package main

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"

	"pawl/daemon/store"
)

// TestReviewsWhatItMayNotWrite: a record in a folder without write right is reviewed like any,
// also one whose log was copied off with it, and nothing comes to stand beside it.
func TestReviewsWhatItMayNotWrite(t *testing.T) {
	pawl := pawlForAnybody(t)
	whole := filepath.Join(t.TempDir(), "hall.record")
	if err := recordEvenings(whole); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		write func(from, to string) error
		want  string
	}{
		"as Pawl leaves it": {copyFile, "Sunday 8 March 2026, 18:30"},
		"with its log":      {copyLogged, "Renamed in the log"},
	} {
		t.Run(name, func(t *testing.T) {
			folder := folderForAnybody(t)
			record := filepath.Join(folder, "hall.record")
			if err := c.write(whole, record); err != nil {
				t.Fatal(err)
			}
			before := namesIn(t, folder)
			for _, file := range before {
				if err := os.Chmod(filepath.Join(folder, file), 0o444); err != nil {
					t.Fatal(err)
				}
			}
			if err := os.Chmod(folder, 0o555); err != nil {
				t.Fatal(err)
			}
			for _, what := range []string{"2", "--list", "--json"} {
				cmd := exec.CommandContext(t.Context(), pawl, "review", "--record", record, what)
				cmd.Dir, cmd.SysProcAttr = "/", asAnybody()
				said, err := cmd.CombinedOutput()
				if err != nil || !strings.Contains(string(said), c.want) {
					t.Errorf("pawl review %s: %v: %.300s", what, err, said)
				}
			}
			if after := namesIn(t, folder); !slices.Equal(before, after) {
				t.Errorf("beside it stand %q, and before %q", after, before)
			}
		})
	}
}

// TestSaysAtOnceWhereItMayNotWrite: nobody answers questions for ten minutes before that.
func TestSaysAtOnceWhereItMayNotWrite(t *testing.T) {
	pawl := pawlForAnybody(t)
	folder := folderForAnybody(t)
	house := houseIn(t, "127.0.0.1:9")
	for _, file := range []string{"house.yaml", "harbour-hall.map.yaml"} {
		if err := copyFile(filepath.Join(house, file), filepath.Join(folder, file)); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Chmod(folder, 0o555); err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(filepath.Join(folder, "harbour-hall.map.yaml"), 0); err != nil {
		t.Fatal(err)
	}
	for args, want := range map[string]string{
		"start new.yaml --desk 127.0.0.1:9 --page 127.0.0.1:0": "pawl start: cannot write desk.map.yaml: Pawl may not write there\n",
		"listen --desk 127.0.0.1:9 --draft first.yaml":         "pawl listen: cannot write first.yaml: Pawl may not write there\n",
		"check house.yaml": `cannot read the map "harbour-hall.map.yaml": Pawl has no right to it`,
	} {
		cmd := exec.CommandContext(t.Context(), pawl, strings.Fields(args)...)
		cmd.Dir, cmd.SysProcAttr = folder, asAnybody()
		said, err := cmd.CombinedOutput()
		if err == nil || !strings.Contains(string(said), want) || systemWords.Match(said) {
			t.Errorf("pawl %s: %v: %s; want %q", args, err, said, want)
		}
	}
}

// asAnybody is how a program runs that permissions bind: as nobody where the test is root's.
func asAnybody() *syscall.SysProcAttr {
	if os.Geteuid() != 0 {
		return nil
	}
	return &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
}

// folderForAnybody is one that every user can look into.
func folderForAnybody(t *testing.T) string {
	t.Helper()
	folder, err := os.MkdirTemp("", "pawl-anybody-")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		os.Chmod(folder, 0o755)
		os.RemoveAll(folder)
	})
	if err := os.Chmod(folder, 0o755); err != nil {
		t.Fatal(err)
	}
	return folder
}

// pawlForAnybody is the program where every user can run it.
func pawlForAnybody(t *testing.T) string {
	t.Helper()
	to := filepath.Join(folderForAnybody(t), "pawl")
	if err := copyFile(pawlBinary(t), to); err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(to, 0o755); err != nil {
		t.Fatal(err)
	}
	cmd := exec.CommandContext(t.Context(), to, "version")
	cmd.Dir, cmd.SysProcAttr = "/", asAnybody()
	if said, err := cmd.CombinedOutput(); err != nil {
		t.Skipf("no program can be run here as another user, and permissions do not bind this one: %v %s", err, said)
	}
	return to
}

// copyLogged copies a record while its newest change stands in its log alone.
func copyLogged(from, to string) error {
	s, err := store.Open(from)
	if err != nil {
		return err
	}
	defer s.Close()
	if err := s.Rename(2, "Renamed in the log"); err != nil {
		return err
	}
	return errors.Join(copyFile(from, to), copyFile(from+"-wal", to+"-wal"))
}

func copyFile(from, to string) error {
	b, err := os.ReadFile(from)
	if err != nil {
		return err
	}
	return os.WriteFile(to, b, 0o644)
}

func namesIn(t *testing.T, folder string) (names []string) {
	t.Helper()
	all, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range all {
		names = append(names, e.Name())
	}
	return names
}
