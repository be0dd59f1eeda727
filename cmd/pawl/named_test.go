package main

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

var (
	namedTest  = regexp.MustCompile("`((?:Test|Fuzz|Benchmark)[A-Z]\\w*)`")
	testFunc   = regexp.MustCompile(`(?m)^func ((?:Test|Fuzz|Benchmark)[A-Z]\w*)\(`)
	faultTable = regexp.MustCompile(`(?s)<!-- faults -->(.*?)<!-- end of faults -->`)
)

// TestNamedTestsExist: every test that DEVELOPERS.md names is there, and every row of a table
// that has a column for tests names one.
func TestNamedTestsExist(t *testing.T) {
	known := map[string]bool{}
	err := filepath.WalkDir("../..", func(path string, d fs.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(path, "_test.go") {
			return err
		}
		text, err := os.ReadFile(path)
		for _, f := range testFunc.FindAllSubmatch(text, -1) {
			known[string(f[1])] = true
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	page, err := os.ReadFile("../../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	named := namedTest.FindAllSubmatch(page, -1)
	for _, name := range named {
		if !known[string(name[1])] {
			t.Errorf("DEVELOPERS.md names %s, and there is no such test", name[1])
		}
	}
	if len(named) < 100 {
		t.Errorf("%d tests are named, want those of all tables", len(named))
	}
	tables, inTable := 0, false
	for _, line := range strings.Split(string(page), "\n") {
		switch {
		case !strings.HasPrefix(line, "|"):
			inTable = false
		case strings.HasSuffix(line, "| test |"):
			tables, inTable = tables+1, true
		case inTable && !strings.HasPrefix(line, "|---") && !namedTest.MatchString(line[strings.LastIndex(strings.TrimSuffix(line, "|"), "|"):]):
			t.Errorf("no test is named for %s", line)
		}
	}
	if tables != 4 {
		t.Errorf("%d tables name tests, want 4: the page's side, the desk's, the files', and the faults", tables)
	}
}

// TestFaultTables holds the faults that README.md tells of to those that DEVELOPERS.md names
// tests for.
func TestFaultTables(t *testing.T) {
	told, tried := faultsOf(t, "../../README.md"), faultsOf(t, "../../DEVELOPERS.md")
	if !slices.Equal(told, tried) || len(told) < 10 {
		t.Errorf("README.md tells of %q, and tests are named for %q", told, tried)
	}
}

// faultsOf is the first column of a page's table of faults.
func faultsOf(t *testing.T, file string) (all []string) {
	t.Helper()
	page, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	table := faultTable.FindSubmatch(page)
	if table == nil {
		t.Fatalf("%s has no table of faults", file)
	}
	for _, line := range strings.Split(string(table[1]), "\n") {
		if cells := strings.Split(line, "|"); len(cells) > 3 && !strings.HasPrefix(line, "|---") {
			all = append(all, strings.TrimSpace(cells[1]))
		}
	}
	return all
}
