//go:build unix

package keys

import (
	"os"
	"path/filepath"
	"syscall"
	"testing"
)

// TestRootMakesItForTheService: who asks for the first code as root, beside a service that runs
// as a user of its own, makes a file that the service can read; and gives it nothing else.
func TestRootMakesItForTheService(t *testing.T) {
	if os.Geteuid() != 0 {
		t.Skip("gives files away, which takes root's rights")
	}
	h := newHall(t)
	folder := filepath.Dir(h.Name())
	const service = 65532
	if err := os.Chown(folder, service, service); err != nil {
		t.Skipf("gives files away, which may not be done here: %v", err)
	}
	owner := func(file string) uint32 {
		is, err := os.Stat(file)
		if err != nil {
			t.Fatal(err)
		}
		return is.Sys().(*syscall.Stat_t).Uid
	}
	h.invite(Watch)
	if is := owner(h.Name()); is != service {
		t.Errorf("the file belongs to %d", is)
	}
	roots := filepath.Join(t.TempDir(), "root's")
	if err := os.WriteFile(roots, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	link := filepath.Join(folder, "link")
	if err := os.Symlink(roots, link); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(link, h.clock).Invite(Watch, ""); err != nil {
		t.Fatal(err)
	}
	if is := owner(roots); is != 0 {
		t.Errorf("a file of root's was given to %d by way of a link", is)
	}
}
