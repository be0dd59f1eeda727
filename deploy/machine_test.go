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
	if why := noMounts(); why != "" {
		t.Skip("SKIPPED, no package was installed anywhere: a machine of its own takes the right to mount: " + why)
	}
	root := filepath.Join(t.TempDir(), "machine")
	ran(t, "mmdebstrap", "--quiet", "--variant=apt", "--include=systemd,systemd-sysv,iproute2", "bookworm", root)
	// Without systemd, and with nothing of ours there yet.
	nspawn := []string{"--quiet", "--register=no", "--keep-unit", "-D", root}
	if out, err := exec.CommandContext(t.Context(), "systemd-nspawn", append(nspawn, "--pipe", "true")...).CombinedOutput(); err != nil {
		t.Skipf("SKIPPED, no package was installed anywhere: systemd-nspawn may not run here: %v: %s", err, out)
	}
	out, _ := dist(t)
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
	said := ran(t, "systemd-nspawn", append(nspawn, "--pipe", "dpkg", "-i", "/packages/first/pawl_first.deb")...)
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
	ctx, stop := context.WithTimeout(t.Context(), 5*time.Minute)
	defer stop()
	boot := exec.CommandContext(ctx, "systemd-nspawn", append(nspawn, "--private-network", "--console=pipe", "--boot")...)
	boot.Env = append(os.Environ(), "SYSTEMD_NSPAWN_UNIFIED_HIERARCHY=1")
	console, err := boot.CombinedOutput()
	if _, missing := os.Stat(filepath.Join(root, "boot-test.said")); missing != nil {
		t.Skipf("SKIPPED, the package was installed, and never started: no systemd gets so far in systemd-nspawn here: %v\n%s", err, console)
	}
	said = read(t, filepath.Join(root, "boot-test.said"))
	if !strings.HasSuffix(said, "\nPASSED\n") {
		t.Fatalf("the machine ended with %v\n%s\n%s", err, said, console)
	}
	for line := range strings.Lines(said) {
		if strings.HasPrefix(line, "== ") {
			t.Log(strings.TrimSpace(line))
		}
	}
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
