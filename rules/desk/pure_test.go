package desk

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// mayImport is the whole of what this package may lean on. Adding to it is a
// decision about replay, so it is made here, in a review, and not by accident.
var mayImport = []string{"cmp", "errors", "fmt", "iter", "maps", "math", "math/bits", "slices", "strconv", "strings", "time", "unicode/utf8"}

// clock is what of package time would make a replay differ from the service.
var clock = []string{"Now", "Since", "Until", "Sleep", "After", "AfterFunc", "Tick", "NewTimer", "NewTicker"}

func TestPure(t *testing.T) {
	fset := token.NewFileSet()
	paths, err := filepath.Glob("*.go")
	if err != nil || len(paths) == 0 {
		t.Fatalf("no files: %v", err)
	}
	for _, path := range paths {
		if strings.HasSuffix(path, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(fset, path, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		for _, im := range f.Imports {
			if p, _ := strconv.Unquote(im.Path.Value); !slices.Contains(mayImport, p) {
				t.Errorf("%s: desk may not import %s", fset.Position(im.Pos()), p)
			}
		}
		ast.Inspect(f, func(n ast.Node) bool {
			if fault := impure(n); fault != "" {
				t.Errorf("%s: %s", fset.Position(n.Pos()), fault)
			}
			return true
		})
	}
}

// impure says what is wrong with a piece of syntax, or "".
func impure(n ast.Node) string {
	switch n := n.(type) {
	case *ast.GoStmt:
		return "desk may not start a goroutine"
	case *ast.FuncDecl:
		if n.Name.Name == "init" && n.Recv == nil {
			return "desk may not have an init"
		}
	case *ast.SelectorExpr:
		if x, ok := n.X.(*ast.Ident); ok && x.Name == "time" && slices.Contains(clock, n.Sel.Name) {
			return "desk may not read the clock: take the time from the Frame"
		}
	}
	return ""
}

// TestExportsAreDocumented holds every exported name to a sentence of its own.
func TestExportsAreDocumented(t *testing.T) {
	fset := token.NewFileSet()
	paths, _ := filepath.Glob("*.go")
	for _, path := range paths {
		if strings.HasSuffix(path, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(fset, path, nil, parser.ParseComments)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range f.Decls {
			for _, name := range undocumented(d) {
				t.Errorf("%s: %s has no comment", fset.Position(d.Pos()), name)
			}
		}
	}
}

func undocumented(d ast.Decl) (names []string) {
	switch d := d.(type) {
	case *ast.FuncDecl:
		if d.Name.IsExported() && d.Doc == nil {
			names = append(names, d.Name.Name)
		}
	case *ast.GenDecl:
		for _, s := range d.Specs {
			switch s := s.(type) {
			case *ast.TypeSpec:
				if s.Name.IsExported() && d.Doc == nil && s.Doc == nil {
					names = append(names, s.Name.Name)
				}
			case *ast.ValueSpec:
				if s.Names[0].IsExported() && d.Doc == nil && s.Doc == nil && s.Comment == nil {
					names = append(names, s.Names[0].Name)
				}
			}
		}
	}
	return names
}
