package deploy

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// TestUnit has systemd itself read the unit. The program need not be installed
// for that, so its place is taken by one that is.
func TestUnit(t *testing.T) {
	analyze, err := exec.LookPath("systemd-analyze")
	if err != nil {
		if os.Getenv(requirePeers) != "" {
			t.Fatal("systemd-analyze is required here: install Debian's systemd")
		}
		t.Skip("systemd-analyze is not installed (Debian's systemd)")
	}
	unit, err := os.ReadFile("pawl.service")
	if err != nil {
		t.Fatal(err)
	}
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	installed := bytes.ReplaceAll(unit, []byte("/usr/bin/pawl"), []byte(self))
	if bytes.Equal(installed, unit) {
		t.Fatal("the unit does not start /usr/bin/pawl")
	}
	path := filepath.Join(t.TempDir(), "pawl.service")
	if err := os.WriteFile(path, installed, 0o644); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(analyze, "verify", "--man=no", path).CombinedOutput()
	if err != nil || len(out) > 0 {
		t.Errorf("systemd-analyze verify: %v\n%s", err, out)
	}
	out, err = exec.Command(analyze, "security", "--offline=yes", "--threshold=15", path).CombinedOutput()
	if err != nil {
		t.Errorf("systemd-analyze security finds the unit exposed above 1.5: %v\n%s", err, out)
	}
}
