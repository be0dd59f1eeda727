package main

import (
	"go/ast"
	"go/build/constraint"
	"go/parser"
	"go/token"
	"maps"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// wholeCheck is what .ci/run says of what it runs without the race detector.
type wholeCheck struct {
	alone []string            // packages, with all of their tests
	named map[string][]string // of other packages, the tests that a run with the detector leaves out
}

var (
	ciAlone = regexp.MustCompile(`(?m)^alone="([^"]*)"$`)
	ciNamed = regexp.MustCompile(`(?m)\bgo test [^\n]*-run '\^\(?([\w|]+)\)?\$' ([^\n'"]*)$`)
)

func readCheck(source string) (c wholeCheck) {
	c.named = map[string][]string{}
	for _, m := range ciAlone.FindAllStringSubmatch(source, -1) {
		c.alone = append(c.alone, strings.Fields(m[1])...)
	}
	for _, m := range ciNamed.FindAllStringSubmatch(source, -1) {
		for _, pkg := range strings.Fields(m[2]) {
			pkg = strings.TrimPrefix(pkg, "./")
			c.named[pkg] = append(c.named[pkg], strings.Split(m[1], "|")...)
		}
	}
	return c
}

// testsOf is what the test files of a package have in them.
type testsOf struct {
	calls  map[string]map[string]bool // by function, the names that stand in it
	absent []string                   // tests of files that are not there under the race detector
	beside []string                   // where it starts what runs beside the test: goroutines, other programs
}

func (p *testsOf) read(set *token.FileSet, f *ast.File) {
	unraced := notRaced(f)
	for _, d := range f.Decls {
		fn, ok := d.(*ast.FuncDecl)
		if !ok {
			continue
		}
		if unraced && isTest(fn.Name.Name) {
			p.absent = append(p.absent, fn.Name.Name)
		}
		names := map[string]bool{}
		ast.Inspect(fn, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.Ident:
				names[n.Name] = true
			case *ast.GoStmt:
				p.beside = append(p.beside, set.Position(n.Pos()).String())
			}
			return true
		})
		if p.calls[fn.Name.Name] == nil {
			p.calls[fn.Name.Name] = map[string]bool{}
		}
		maps.Copy(p.calls[fn.Name.Name], names)
	}
	for _, im := range f.Imports {
		if imported, _ := strconv.Unquote(im.Path.Value); imported == "os/exec" || strings.HasSuffix(imported, "/chromedp") {
			p.beside = append(p.beside, set.Position(im.Pos()).String())
		}
	}
}

// notRaced is whether a file is compiled, but not with the race detector.
func notRaced(f *ast.File) bool {
	for _, group := range f.Comments {
		for _, c := range group.List {
			if expr, err := constraint.Parse(c.Text); err == nil && c.Pos() < f.Package {
				with := func(raced bool) bool { return expr.Eval(func(tag string) bool { return tag != "race" || raced }) }
				return with(false) && !with(true)
			}
		}
	}
	return false
}

func isTest(name string) bool { return strings.HasPrefix(name, "Test") && name != "TestMain" }

// leftOut are the tests that do less under the race detector, or nothing: whatever comes to ask
// practicetest whether it is there.
func (p *testsOf) leftOut() []string {
	less := map[string]bool{"SkipRaced": true, "Raced": true}
	for grew := true; grew; {
		grew = false
		for fn, names := range p.calls {
			if less[fn] {
				continue
			}
			for name := range names {
				if less[name] {
					less[fn], grew = true, true
				}
			}
		}
	}
	all := slices.Clone(p.absent)
	for fn := range less {
		if isTest(fn) {
			all = append(all, fn)
		}
	}
	slices.Sort(all)
	return slices.Compact(all)
}

// faults are what the check leaves out, and what it names for nothing.
func (c wholeCheck) faults(all map[string]*testsOf, rows []room) (faults []string) {
	for _, r := range rows {
		if slices.Contains(c.alone, r.name) && (r.mayHave("go") || r.mayHave("clock")) {
			faults = append(faults, r.name+" may start goroutines or wait: it needs the race detector")
		}
	}
	for _, pkg := range c.alone {
		if all[pkg] == nil {
			faults = append(faults, pkg+" has no tests")
			continue
		}
		for _, at := range all[pkg].beside {
			faults = append(faults, at+": starts something, and "+pkg+" is run without the race detector")
		}
	}
	needed := map[string]bool{}
	for pkg, tests := range all {
		if slices.Contains(c.alone, pkg) {
			continue
		}
		for _, name := range tests.leftOut() {
			needed[name] = true
			if !slices.Contains(c.named[pkg], name) {
				faults = append(faults, pkg+": "+name+" is cut short under the race detector, and not run without it")
			}
		}
	}
	for pkg, names := range c.named {
		for _, name := range names {
			if !needed[name] {
				faults = append(faults, pkg+": "+name+" is named, and is whole under the race detector or is no test")
			}
		}
	}
	slices.Sort(faults)
	return faults
}

// TestNothingIsLeftOut: what .ci/run runs without the race detector are packages in which nothing
// runs beside anything else, and each test that is skipped or cut short under it.
func TestNothingIsLeftOut(t *testing.T) {
	source, err := os.ReadFile("../../.ci/run")
	if err != nil {
		t.Fatal(err)
	}
	all := map[string]*testsOf{}
	walk(t, func(pkg string, test bool, set *token.FileSet, f *ast.File) {
		if !test {
			return
		}
		if all[pkg] == nil {
			all[pkg] = &testsOf{calls: map[string]map[string]bool{}}
		}
		all[pkg].read(set, f)
	})
	check := readCheck(string(source))
	if len(check.alone) == 0 || len(check.named) == 0 {
		t.Fatalf("nothing is run without the race detector: %+v", check)
	}
	for _, fault := range check.faults(all, rooms) {
		t.Error(fault)
	}
}

// TestNothingIsLeftOutNotices holds the test above to account.
func TestNothingIsLeftOutNotices(t *testing.T) {
	const helped = `package x; func TestLong(t *testing.T) { helper(t) }; func helper(t *testing.T) { practicetest.SkipRaced(t) }; func TestShort(t *testing.T) {}`
	rows := []room{{name: "x", may: "bytes"}, {name: "y", may: "go"}}
	for _, c := range []struct {
		name, run, pkg, source string
		faults                 int
	}{
		{"named", `go test -count=1 -run '^(TestLong)$' ./x`, "x", helped, 0},
		{"one of two", `go test -run '^(TestLong)$' ./x`, "x", helped + `; func TestOther(t *testing.T) { if practicetest.Raced {} }`, 1},
		{"not named", ``, "x", helped, 1},
		{"named of another package", `go test -run '^(TestLong)$' ./y`, "x", helped, 1},
		{"whole under the detector", `go test -run '^(TestLong|TestShort)$' ./x`, "x", helped, 1},
		{"no test", `go test -run '^(TestLong|TestGone)$' ./x`, "x", helped, 1},
		{"not there under the detector", ``, "x", "//go:build !race\n\npackage x; func TestAway(t *testing.T) {}", 1},
		{"there by another tag", ``, "x", "//go:build linux\n\npackage x; func TestHere(t *testing.T) {}", 0},
		{"a package alone", `alone="x"`, "x", helped, 0},
		{"one that starts goroutines", `alone="y"`, "y", helped, 1},
		{"one whose tests do", `alone="x"`, "x", `package x; func TestGo(t *testing.T) { go func() {}() }`, 1},
		{"one whose tests start a program", `alone="x"`, "x", `package x; import "os/exec"; var _ = exec.Command`, 1},
		{"no package", `alone="x z"`, "x", helped, 1},
	} {
		t.Run(c.name, func(t *testing.T) {
			set := token.NewFileSet()
			f, err := parser.ParseFile(set, "x_test.go", c.source, parser.ParseComments)
			if err != nil {
				t.Fatal(err)
			}
			tests := &testsOf{calls: map[string]map[string]bool{}}
			tests.read(set, f)
			if got := readCheck(c.run).faults(map[string]*testsOf{c.pkg: tests}, rows); len(got) != c.faults {
				t.Errorf("%d faults, want %d: %v", len(got), c.faults, got)
			}
		})
	}
}
