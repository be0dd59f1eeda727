package deploy

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// TestMachine puts the package on a bare Debian, boots it with its own systemd, and has
// testdata/boot.sh live a life of it there: the very unit, with all that it is locked in by.
func TestMachine(t *testing.T) {
	wantDeploy(t, "mmdebstrap", "systemd-nspawn", "dpkg-deb")
	t.Parallel()
	out, _ := dist(t)
	folder := t.TempDir()
	root := filepath.Join(folder, "machine")
	ran(t, "mmdebstrap", "--quiet", "--variant=apt", "--include=systemd,systemd-sysv", "bookworm", root)
	packages := filepath.Join(root, "packages")
	for _, folder := range []string{"first", "later"} {
		if err := os.MkdirAll(filepath.Join(packages, folder), 0o755); err != nil {
			t.Fatal(err)
		}
	}
	first := only(t, out, "pawl_*_amd64.deb")
	ran(t, "cp", first, filepath.Join(packages, "first", "pawl_first.deb"))
	laterPackage(t, first, filepath.Join(packages, "later", "pawl_later.deb"))

	// As an installer does it, with no systemd running there.
	said := ran(t, "systemd-nspawn", "--quiet", "--register=no", "--keep-unit", "--pipe", "-D", root, "dpkg", "-i", "/packages/first/pawl_first.deb")
	if !strings.Contains(said, "sudo pawl start ") {
		t.Errorf("installed, it says nothing of what comes next: %s", said)
	}
	for name, text := range map[string]string{
		"boot-test": read(t, "testdata/boot.sh"),
		"etc/systemd/system/boot-test.service": "[Unit]\nAfter=multi-user.target\nSuccessAction=poweroff-force\nFailureAction=poweroff-force\n" +
			"[Service]\nType=oneshot\nExecStart=/bin/bash /boot-test\nStandardOutput=file:/boot-test.said\nStandardError=inherit\n" +
			"[Install]\nWantedBy=default.target\n",
	} {
		if err := os.WriteFile(filepath.Join(root, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	ran(t, "systemctl", "--root", root, "enable", "--quiet", "boot-test.service")

	// It ends by itself; if it hangs, what it said until then is worth reading.
	ctx, stop := context.WithTimeout(t.Context(), 3*time.Minute)
	defer stop()
	boot := exec.CommandContext(ctx, "systemd-nspawn", "--quiet", "--register=no", "--keep-unit", "--private-network", "--console=pipe", "--boot", "-D", root)
	boot.Env = append(os.Environ(), "SYSTEMD_NSPAWN_UNIFIED_HIERARCHY=1")
	console, err := boot.CombinedOutput()
	said = read(t, filepath.Join(root, "boot-test.said"))
	if !strings.HasSuffix(said, "\nPASSED\n") {
		t.Fatalf("the machine ended with %v\n%s\n%s", err, said, console)
	}
	t.Log(said)
}

// laterPackage is the same package with a later version and another of the files that people change.
func laterPackage(t *testing.T, from, to string) {
	t.Helper()
	tree := t.TempDir()
	ran(t, "dpkg-deb", "-R", from, tree)
	for name, change := range map[string][2]string{
		"DEBIAN/control":   {"\nVersion: 0.", "\nVersion: 1."},
		"etc/pawl/options": {"PAWL_OPTIONS=\n", "# A line more.\nPAWL_OPTIONS=\n"},
	} {
		path := filepath.Join(tree, name)
		text := read(t, path)
		changed := strings.Replace(text, change[0], change[1], 1)
		if changed == text {
			t.Fatalf("%s has no %q", name, change[0])
		}
		if err := os.WriteFile(path, []byte(changed), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	ran(t, "dpkg-deb", "--root-owner-group", "-Zgzip", "-z1", "-b", tree, to)
}

func read(t *testing.T, file string) string {
	t.Helper()
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}
