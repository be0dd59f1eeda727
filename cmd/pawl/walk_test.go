package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"regexp"
	"strings"
	"testing"
)

// mostStops is how many functions a packet or a press may go through: more is a house
// in which nobody finds the way.
const mostStops = 12

var (
	walks = regexp.MustCompile(`(?s)<!-- walk -->(.*?)<!-- end of walk -->`)
	stop  = regexp.MustCompile("(?m)^\\d+\\. `([^`]+\\.go)` `(\\w+)`:")
)

// TestWalks holds the walks of a packet and of a press in DEVELOPERS.md to the code:
// every stop is a function in the file that it names.
func TestWalks(t *testing.T) {
	page, err := os.ReadFile("../../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	all := walks.FindAllStringSubmatch(string(page), -1)
	if len(all) != 2 {
		t.Fatalf("%d walks in DEVELOPERS.md, want a packet's and a press's", len(all))
	}
	for _, walk := range all {
		stops := stop.FindAllStringSubmatch(walk[1], -1)
		if lines := strings.Count(strings.TrimSpace(walk[1]), "\n") + 1; len(stops) != lines || len(stops) > mostStops {
			t.Errorf("%d stops in %d lines, want a stop a line and %d at most", len(stops), lines, mostStops)
		}
		for _, s := range stops {
			if !hasFunc(t, "../../"+s[1], s[2]) {
				t.Errorf("%s has no function %s", s[1], s[2])
			}
		}
	}
}

func hasFunc(t *testing.T, file, name string) bool {
	t.Helper()
	f, err := parser.ParseFile(token.NewFileSet(), file, nil, parser.SkipObjectResolution)
	if err != nil {
		t.Error(err)
		return false
	}
	for _, d := range f.Decls {
		if d, ok := d.(*ast.FuncDecl); ok && d.Name.Name == name {
			return true
		}
	}
	return false
}
