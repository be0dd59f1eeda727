package timeline

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"syscall"
	"testing"

	"pawl/daemon/store"
)

// TestReadsWhatItMayNotWrite: the pages show a record of a disk that is read-only, and an edit of
// it is refused. Root may write in every folder, and so has one that is mounted so.
func TestReadsWhatItMayNotWrite(t *testing.T) {
	from, dir := three(t), t.TempDir()
	path := filepath.Join(dir, "record.pawl")
	root := os.Geteuid() == 0
	if root {
		if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, ""); err != nil {
			t.Skipf("root may write in every folder, and no file system can be mounted here: %v", err)
		}
		defer syscall.Unmount(dir, 0)
	}
	b, err := os.ReadFile(from)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, b, 0o444); err != nil {
		t.Fatal(err)
	}
	if root {
		err = syscall.Mount("", dir, "", syscall.MS_REMOUNT|syscall.MS_RDONLY, "")
	} else {
		err = os.Chmod(dir, 0o555)
		defer os.Chmod(dir, 0o755)
	}
	if err != nil {
		t.Fatal(err)
	}
	r := NewReader(path)
	defer r.Close()
	if got := ids(t, r); !slices.Equal(got, []int64{3, 2, 1}) {
		t.Errorf("services %v, want three", got)
	}
	if _, err := r.One(2, english); err != nil {
		t.Error(err)
	}
	if _, err := r.Edit(2, Edit{Do: Rename, Text: "by whom"}, evening); !errors.Is(err, store.ErrReadOnly) {
		t.Errorf("an edit of a record on a read-only disk gives %v", err)
	}
	if one, err := r.One(2, english); err != nil || one.Service.Name != "" {
		t.Errorf("%q, %v: want the service as it was", one.Service.Name, err)
	}
}
