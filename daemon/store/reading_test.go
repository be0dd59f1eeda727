package store

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"pawl/rules"
)

// TestOpenToReadWritesNothing: whatever stands beside a record, what is only asked leaves all
// of it byte for byte as it was, and reads what was written last.
func TestOpenToReadWritesNothing(t *testing.T) {
	live := practised(t, "ratchet")
	for name, c := range map[string]struct {
		files []string // that are taken with it while it is open
		want  string
	}{
		"closed": {nil, "closed"}, "its log": {[]string{"-wal"}, "in the log"}, "its log and lock": {[]string{"-wal", "-shm"}, "in the log"},
	} {
		t.Run(name, func(t *testing.T) {
			s, from := recorded(t, live)
			if err := s.Rename(1, "closed"); err != nil {
				t.Fatal(err)
			}
			path := filepath.Join(t.TempDir(), "hall.record")
			if c.files == nil {
				s.Close()
			} else if err := s.Rename(1, "in the log"); err != nil {
				t.Fatal(err)
			}
			for _, ending := range append([]string{""}, c.files...) {
				b, err := os.ReadFile(from + ending)
				if err != nil {
					t.Fatal(err)
				}
				if err := os.WriteFile(path+ending, b, 0o644); err != nil {
					t.Fatal(err)
				}
			}
			before := lying(t, filepath.Dir(path))
			r, err := OpenToRead(path)
			if err != nil {
				t.Fatal(err)
			}
			if all := services(t, r); len(all) != 1 || all[0].Name != c.want {
				t.Errorf("services %+v, want one that is called %q", all, c.want)
			}
			same(t, read(t, r, 1)[0].Entries, live.entries)
			if err := r.Rename(1, "by whom"); !MayNotWrite(err) {
				t.Errorf("what is only read was written, or not for that: %v", err)
			}
			if err := r.Close(); err != nil {
				t.Error(err)
			}
			after := lying(t, filepath.Dir(path))
			for file, b := range after {
				if was, ok := before[file]; !ok || filepath.Ext(file) != ".record-shm" && !bytes.Equal(b, was) { // readers stand in a lock
					t.Errorf("%s is new or was written", file)
				}
			}
			if len(after) != len(before) {
				t.Errorf("%d files stand there, and before %d", len(after), len(before))
			}
		})
	}
}

func lying(t *testing.T, folder string) map[string][]byte {
	t.Helper()
	all := map[string][]byte{}
	entries, err := os.ReadDir(folder)
	for _, e := range entries {
		b, one := os.ReadFile(filepath.Join(folder, e.Name()))
		all[e.Name()], err = b, errors.Join(err, one)
	}
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// TestOlderIsReadAsACopy: one of the first version is read with what this one asks for, and stays
// of its version.
func TestOlderIsReadAsACopy(t *testing.T) {
	live := practised(t, "ratchet")
	s, path := recorded(t, live)
	s.Close()
	for _, step := range []string{"ALTER TABLE runs DROP COLUMN capture", "DROP TABLE texts", "DROP TABLE captures", "UPDATE record SET version = 1"} {
		damageAsItIs(t, path, step)
	}
	r, err := OpenToRead(path)
	if err != nil {
		t.Fatal(err)
	}
	same(t, read(t, r, 1)[0].Entries, live.entries)
	if err := r.Close(); err != nil {
		t.Error(err)
	}
	if _, err := os.Stat(r.copy); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("the copy %s is still there: %v", r.copy, err)
	}
	db, err := openDB(readSource(path, false))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if version, err := versionOf(db); err != nil || version != 1 {
		t.Errorf("the record is of version %d, %v; want 1", version, err)
	}
}

// damageAsItIs runs a statement on a record without bringing it to this version.
func damageAsItIs(t *testing.T, path, query string) {
	t.Helper()
	db, err := openDB(dataSource(path))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if _, err := db.Exec(query); err != nil {
		t.Fatal(err)
	}
}

// TestCutShort: of a record of which the end is missing, be that within a page, the rest is
// read, and it is said how much there is not.
func TestCutShort(t *testing.T) {
	live := practised(t, "ratchet")
	s, path := recorded(t, live)
	s.Close()
	info, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	for _, left := range []int64{info.Size() * 95 / 100, info.Size() * 8 / 10 / 4096 * 4096} {
		if err := os.Truncate(path, left); err != nil {
			t.Fatal(err)
		}
		r, err := OpenToRead(path)
		if err != nil {
			t.Fatal(err)
		}
		if d := r.Damage(); d.Cut != info.Size()-left || d.Size != info.Size() {
			t.Errorf("damage %+v of %d bytes of which %d are left", d, info.Size(), left)
		}
		all := services(t, r)
		if len(all) != 1 {
			t.Fatalf("%d services, want the one", len(all))
		}
		got := read(t, r, 1)[0]
		if len(got.Entries)+len(got.Levels) == 0 || len(got.Unread) == 0 {
			t.Errorf("of %d bytes %d entries and %d levels are read, and %d told as missing", left, len(got.Entries), len(got.Levels), len(got.Unread))
		}
		r.Close()
	}
}

// TestMend breaks a record in many places. Whatever is read of it afterwards was said, in its
// order and to its last number; that something was not read is told; and where a tenth of the file
// is lost most is read, but where that tenth has the only page of all services.
func TestMend(t *testing.T) {
	live := practised(t, "ratchet")
	s, path := recorded(t, live)
	s.Close()
	whole, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	size := len(whole)
	said := map[uint64]rules.Entry{}
	for _, e := range live.entries {
		said[e.Head().N] = e
	}
	broken := map[string][]byte{"whole": whole, "cut at 60 %": whole[:size*6/10], "cut at 80 %": whole[:size*8/10]}
	for tenth := 1; tenth < 10; tenth++ {
		broken[fmt.Sprintf("blank from %d0 %% on", tenth)] = blanked(whole, size*tenth/10, size/10)
	}
	for page := 13; page < 25; page++ { // the roots of the tables of what was said
		broken[fmt.Sprintf("page %d blank", page)] = blanked(whole, page*4096-4096, 4096)
	}
	for name, b := range broken {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "hall.record")
			if err := os.WriteFile(path, b, 0o644); err != nil {
				t.Fatal(err)
			}
			r, err := OpenToRead(path)
			if err != nil {
				t.Fatal(err)
			}
			defer r.Close()
			damaged, err := r.Mend()
			if err != nil || damaged != (name != "whole") {
				t.Fatalf("damaged %v, %v", damaged, err)
			}
			all := services(t, r)
			if len(all) != 1 && name != "blank from 10 % on" {
				t.Fatalf("%d services, want the one", len(all))
			}
			for _, one := range all {
				got := read(t, r, one.ID)[0]
				lost := 0
				for _, u := range got.Unread {
					lost += u.Entries()
				}
				for _, e := range got.Entries {
					same(t, []rules.Entry{e}, []rules.Entry{said[e.Head().N]})
				}
				if missing := len(live.entries) - len(got.Entries); !slices.IsSorted(numbers(got.Entries)) || (lost > 0) != (missing > 0) {
					t.Errorf("%d entries are not read, and %d told as lost", missing, lost)
				}
				if share := len(got.Entries) * 100 / len(live.entries); share < 55 && !strings.HasPrefix(name, "cut") {
					t.Errorf("%d %% are read", share)
				}
			}
		})
	}
}

func blanked(b []byte, from, n int) []byte {
	b = bytes.Clone(b)
	clear(b[from:min(from+n, len(b))])
	return b
}
