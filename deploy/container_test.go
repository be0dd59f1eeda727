package deploy

import (
	"encoding/json"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// TestContainer looks at the images of all machines, and runs this machine's. There is no
// engine here: buildah reads the Containerfile, and runs the program in a chroot of the
// image, as the image's user.
func TestContainer(t *testing.T) {
	wantDeploy(t, "buildah")
	t.Parallel()
	if why := noMounts(); why != "" {
		t.Skip("SKIPPED, no container was made: it takes the right to mount: " + why)
	}
	out, _ := dist(t)
	folder := t.TempDir()
	store := []string{"--storage-driver", "vfs", "--root", filepath.Join(folder, "store"), "--runroot", filepath.Join(folder, "run")}
	buildah := func(args ...string) string { return ran(t, "buildah", slices.Concat(store, args)...) }
	for _, m := range machines {
		image := only(t, out, "pawl_*_"+m.arch+".oci.tar")
		// What is carried; unpacked it is the program and little else.
		if info, err := os.Stat(image); err != nil || info.Size() > 15e6 {
			t.Errorf("%s: %v, %v; want 15 MB at most", image, info.Size(), err)
		}
		name := strings.TrimSpace(buildah("pull", "--quiet", "oci-archive:"+image))
		var of struct {
			OCIv1 struct {
				Architecture string
				Config       struct {
					User string
					Env  []string
				}
			}
		}
		if err := json.Unmarshal([]byte(buildah("inspect", "--type", "image", name)), &of); err != nil {
			t.Fatal(err)
		}
		if arch := map[string]string{"armhf": "arm"}[m.arch]; of.OCIv1.Architecture != m.arch && of.OCIv1.Architecture != arch {
			t.Errorf("%s is for %s", image, of.OCIv1.Architecture)
		}
		if of.OCIv1.Config.User != "65532:65532" {
			t.Errorf("%s runs as %q", image, of.OCIv1.Config.User)
		}
		if m.arch == "amd64" {
			runContainer(t, store, buildah, name)
		}
		buildah("rmi", name)
	}
}

func runContainer(t *testing.T, store []string, buildah func(...string) string, image string) {
	t.Helper()
	c := strings.TrimSpace(buildah("from", "--quiet", image))
	defer buildah("rm", c)
	root := strings.TrimSpace(buildah("mount", c))
	var size int64
	var inImage []string
	err := filepath.WalkDir(root, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		info, err := d.Info()
		if err == nil {
			size += info.Size()
			inImage = append(inImage, strings.TrimPrefix(path, root))
		}
		return err
	})
	if got := strings.Join(inImage, " "); err != nil || got != "/usr/bin/pawl /usr/share/doc/pawl/LICENSE /usr/share/doc/pawl/licences.txt" {
		t.Errorf("in the image: %s, %v", got, err)
	}
	if size > 30e6 {
		t.Errorf("unpacked it takes %d bytes", size)
	}
	t.Logf("unpacked %.1f MB", float64(size)/1e6)

	hall := t.TempDir()
	files := func(mode os.FileMode, uid int) {
		for _, name := range []string{"harbour-hall.house.yaml", "harbour-hall.map.yaml"} {
			path := filepath.Join(hall, name)
			err := os.WriteFile(path, []byte(read(t, "../daemon/practice/"+name)), mode)
			if err := errors.Join(err, os.Chown(path, uid, -1)); err != nil {
				t.Fatal(err)
			}
		}
	}
	runWords := []string{"run", "--isolation", "chroot", "-v", hall + ":/etc/pawl:ro", c, "--"}
	run := func(words ...string) string { return buildah(slices.Concat(runWords, words)...) }
	tryRun := func(words ...string) error {
		return exec.CommandContext(t.Context(), "buildah", slices.Concat(store, runWords, words)...).Run()
	}
	if said := run("/usr/bin/pawl", "version"); !strings.HasPrefix(said, "pawl ") {
		t.Errorf("version says %q", said)
	}
	// It is whom the image says, and not root: it reads what is that user's alone, and no other's.
	check := []string{"/usr/bin/pawl", "check", "/etc/pawl/harbour-hall.house.yaml"}
	files(0o600, 65532)
	run(check...)
	files(0o600, 0)
	if err := tryRun(check...); err == nil {
		t.Error("it reads what is root's alone")
	}
	if said := run("/usr/bin/pawl", "version", "--licences"); !strings.Contains(said, "modernc.org/sqlite") {
		t.Errorf("the licences end after %d bytes", len(said))
	}
	// What the record needs is there, and is the user's.
	info, err := os.Stat(filepath.Join(root, "var/lib/pawl"))
	if err != nil {
		t.Fatal(err)
	}
	if uid := owner(info); uid != 65532 {
		t.Errorf("the record's folder belongs to %d", uid)
	}
}
