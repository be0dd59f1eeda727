// Package deploy holds what brings Pawl onto a machine of its own. The only Go here
// tests those files.
package deploy

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"
)

// requirePeers is set where a program that is missing, or a right, fails a test.
const requirePeers = "PAWL_REQUIRE_PEERS"

// requireDeploy is set where Pawl is built for every machine and put on one, which takes
// minutes and root's rights; as "cold", to build it twice from nothing.
const requireDeploy = "PAWL_REQUIRE_DEPLOY"

// wantDeploy skips what takes minutes, unless it is asked for, and wants these programs.
func wantDeploy(t *testing.T, programs ...string) {
	t.Helper()
	if os.Getenv(requireDeploy) == "" {
		t.Skip("takes minutes and root's rights; " + requireDeploy + "=1 asks for it")
	}
	for _, p := range programs {
		if _, err := exec.LookPath(p); err != nil {
			t.Fatalf("%s is required here; .ci/run says which package it is in", p)
		}
	}
}

// noMounts is why this machine lets nobody mount anything, as many a container does not even
// let root, or "".
var noMounts = sync.OnceValue(func() string {
	out, err := exec.Command("unshare", "--mount", "mount", "-t", "tmpfs", "none", "/mnt").CombinedOutput()
	if err != nil {
		return fmt.Sprintf("%v: %s", err, bytes.TrimSpace(out))
	}
	return ""
})

// ran runs a program and gives what it printed.
func ran(t *testing.T, name string, args ...string) string {
	t.Helper()
	return ranIn(t, "", nil, name, args...)
}

func ranIn(t *testing.T, dir string, env []string, name string, args ...string) string {
	t.Helper()
	cmd := exec.CommandContext(t.Context(), name, args...)
	cmd.Dir, cmd.Env, cmd.WaitDelay = dir, append(os.Environ(), env...), time.Minute
	var warned bytes.Buffer
	cmd.Stderr = &warned
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s: %v\n%s\n%s", cmd, err, out, &warned)
	}
	return string(out)
}

// built are the folders of one build, made once: where it was built, and what came out.
var built = sync.OnceValues(func() (folder string, err error) { return os.MkdirTemp("", "pawl-deploy-") })

var builtOnce sync.Once

// dist is the folder with all that deploy/build makes of this tree, and the clone that it was built in.
func dist(t *testing.T) (out, clone string) {
	t.Helper()
	folder, err := built()
	if err != nil {
		t.Fatal(err)
	}
	out, clone = filepath.Join(folder, "dist"), filepath.Join(folder, "clone")
	builtOnce.Do(func() {
		cloneTree(t, clone)
		ranIn(t, "", imageOrNone(), filepath.Join(clone, "deploy/build"), out)
	})
	return out, clone
}

// imageOrNone has deploy/build leave out the container where there is no right to make one.
func imageOrNone() []string {
	if noMounts() != "" {
		return []string{"PAWL_NO_IMAGE=1"}
	}
	return nil
}

// cloneTree makes a repository of the tree as it is now, changes included, of one commit
// that is the same whenever it is made.
func cloneTree(t *testing.T, into string) {
	t.Helper()
	if err := os.MkdirAll(into, 0o755); err != nil {
		t.Fatal(err)
	}
	ran(t, "bash", "-c", `cd .. && git ls-files -z --cached --others --exclude-standard | xargs -0 sh -c 'for f; do [ ! -e "$f" ] || printf "%s\0" "$f"; done' sh | tar --null -T - -c | tar -x -C "$1"`, "bash", into)
	who := []string{"GIT_AUTHOR_NAME=a", "GIT_AUTHOR_EMAIL=a@localhost", "GIT_COMMITTER_NAME=a", "GIT_COMMITTER_EMAIL=a@localhost",
		"GIT_AUTHOR_DATE=2001-02-03T04:05:06Z", "GIT_COMMITTER_DATE=2001-02-03T04:05:06Z"}
	for _, words := range []string{"init -q", "add -A", "commit -q -m tree"} {
		ranIn(t, into, who, "git", strings.Fields(words)...)
	}
}

func TestMain(m *testing.M) {
	code := m.Run()
	if folder, err := built(); err == nil {
		os.RemoveAll(folder)
	}
	os.Exit(code)
}
