package deploy

import (
	"bytes"
	"debug/elf"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// machines are what Pawl is packaged for: Debian's name, the processor, and what runs it here.
var machines = []struct {
	arch    string
	machine elf.Machine
	class   elf.Class
	runner  []string
}{
	{"amd64", elf.EM_X86_64, elf.ELFCLASS64, nil},
	{"arm64", elf.EM_AARCH64, elf.ELFCLASS64, []string{"qemu-aarch64-static"}},
	// The oldest processor that Debian's descendants call armhf.
	{"armhf", elf.EM_ARM, elf.ELFCLASS32, []string{"qemu-arm-static", "-cpu", "arm1176"}},
}

// TestPackages looks at the packages of all machines, and runs each program.
func TestPackages(t *testing.T) {
	wantDeploy(t, "dpkg-deb", "qemu-aarch64-static", "qemu-arm-static", "buildah", "git")
	t.Parallel()
	out, clone := dist(t)
	revision := strings.TrimSpace(ranIn(t, clone, nil, "git", "rev-parse", "HEAD"))
	for _, m := range machines {
		t.Run(m.arch, func(t *testing.T) {
			deb := only(t, out, "pawl_*_"+m.arch+".deb")
			for field, want := range map[string]string{"Package": "pawl", "Version": "0.20010203.040506", "Architecture": m.arch, "Depends": ""} {
				if got := strings.TrimSpace(ran(t, "dpkg-deb", "-f", deb, field)); got != want {
					t.Errorf("%s: %q, want %q", field, got, want)
				}
			}
			root := t.TempDir()
			ran(t, "dpkg-deb", "-x", deb, root)
			program := filepath.Join(root, "usr/bin/pawl")
			f, err := elf.Open(program)
			if err != nil {
				t.Fatal(err)
			}
			defer f.Close()
			if f.Machine != m.machine || f.Class != m.class {
				t.Errorf("the program is for %v %v, want %v %v", f.Machine, f.Class, m.machine, m.class)
			}
			if libraries, err := f.ImportedLibraries(); err != nil || len(libraries) > 0 || f.Section(".interp") != nil {
				t.Errorf("it needs %q, %v; want a static program", libraries, err)
			}
			words := slices.Concat(m.runner, []string{program})
			if said := ran(t, words[0], append(words[1:], "version")...); !strings.Contains(said, revision) || strings.Contains(said, "dirty") {
				t.Errorf("version says %q, want the revision %s", said, revision)
			}
			ran(t, words[0], append(words[1:], "check", filepath.Join(root, "usr/share/doc/pawl/examples/harbour-hall.house.yaml"))...)
			if licences := ran(t, words[0], append(words[1:], "version", "--licences")...); !strings.Contains(licences, "modernc.org/sqlite") {
				t.Errorf("the licences end after %d bytes", len(licences))
			}
		})
	}
}

// TestPackageFiles names every file of the package, with its mode: what is new is decided here.
func TestPackageFiles(t *testing.T) {
	wantDeploy(t, "dpkg-deb")
	t.Parallel()
	out, _ := dist(t)
	deb := only(t, out, "pawl_*_amd64.deb")
	var got []string
	for line := range strings.Lines(ran(t, "dpkg-deb", "-c", deb)) {
		f := strings.Fields(line)
		if f[1] != "root/root" {
			t.Errorf("%s is not root's: %s", f[5], f[1])
		}
		if !strings.HasSuffix(f[5], "/") || f[5] == "./etc/pawl/" {
			got = append(got, f[0]+" "+strings.TrimPrefix(f[5], "."))
		}
	}
	want := []string{
		"drwxr-xr-x /etc/pawl/",
		"-rw-r--r-- /etc/pawl/options",
		"-rwxr-xr-x /usr/bin/pawl",
		"-rw-r--r-- /usr/lib/systemd/system/pawl.service",
		"-rw-r--r-- /usr/share/doc/pawl/HOUSE.md",
		"-rw-r--r-- /usr/share/doc/pawl/INSTALL.md",
		"-rw-r--r-- /usr/share/doc/pawl/MAP.md",
		"-rw-r--r-- /usr/share/doc/pawl/README.md",
		"-rw-r--r-- /usr/share/doc/pawl/copyright",
		"-rw-r--r-- /usr/share/doc/pawl/examples/harbour-hall.house.yaml",
		"-rw-r--r-- /usr/share/doc/pawl/examples/harbour-hall.map.yaml",
		"-rw-r--r-- /usr/share/doc/pawl/licences.txt",
	}
	if a, b := strings.Join(got, "\n"), strings.Join(want, "\n"); a != b {
		t.Errorf("in the package:\n%s\nwant:\n%s", a, b)
	}
	if conffiles := ran(t, "dpkg-deb", "-I", deb, "conffiles"); strings.TrimSpace(conffiles) != "/etc/pawl/options" {
		t.Errorf("conffiles: %q", conffiles)
	}
}

// TestReproducible builds once more in another folder: whoever has the commit can tell that a
// package was made of it. What was compiled is taken as it is, unless PAWL_REQUIRE_DEPLOY is
// "cold": that it comes out the same is Go's own promise, and takes minutes to see.
func TestReproducible(t *testing.T) {
	wantDeploy(t, "buildah", "git")
	t.Parallel()
	out, first := dist(t)
	folder := t.TempDir()
	clone, again := filepath.Join(folder, "elsewhere", "deeper"), filepath.Join(folder, "out")
	ran(t, "git", "clone", "-q", first, clone)
	env := imageOrNone()
	if os.Getenv(requireDeploy) == "cold" {
		env = append(env, "GOCACHE="+filepath.Join(folder, "cache"))
	}
	ranIn(t, "", env, filepath.Join(clone, "deploy/build"), again, "amd64")
	names := []string{"amd64/pawl", "pawl_0.20010203.040506_amd64.deb"}
	if noMounts() == "" {
		names = append(names, "pawl_0.20010203.040506_amd64.oci.tar")
	}
	for _, name := range names {
		a, err := os.ReadFile(filepath.Join(out, name))
		if err != nil {
			t.Fatal(err)
		}
		b, err := os.ReadFile(filepath.Join(again, name))
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(a, b) {
			t.Errorf("%s: two builds of one commit differ, %d and %d bytes", name, len(a), len(b))
		}
	}
}

// only is the one file of a folder that has such a name.
func only(t *testing.T, folder, pattern string) string {
	t.Helper()
	all, err := filepath.Glob(filepath.Join(folder, pattern))
	if err != nil || len(all) != 1 {
		t.Fatalf("%s: %q, %v; want one file", pattern, all, err)
	}
	return all[0]
}
