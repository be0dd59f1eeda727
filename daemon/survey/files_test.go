package survey

import (
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// TestFilesAreNamed holds the map of this package in DEVELOPERS.md to its files.
func TestFilesAreNamed(t *testing.T) {
	page, err := os.ReadFile("../../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	_, after, begins := strings.Cut(string(page), "<!-- files of daemon/survey -->")
	table, _, ends := strings.Cut(after, "<!-- end of the files -->")
	if !begins || !ends {
		t.Fatal("the table is not between its remarks")
	}
	named := map[string]int{}
	for _, m := range regexp.MustCompile("`([a-z0-9]+\\.go)`").FindAllStringSubmatch(table, -1) {
		named[m[1]]++
	}
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	files = slices.DeleteFunc(files, func(f string) bool { return strings.HasSuffix(f, "_test.go") })
	for _, f := range files {
		if named[f] != 1 {
			t.Errorf("%s is named %d times, want once", f, named[f])
		}
		delete(named, f)
	}
	if len(named) > 0 {
		t.Errorf("%v are no files", slices.Sorted(maps.Keys(named)))
	}
}
