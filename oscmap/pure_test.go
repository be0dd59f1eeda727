package oscmap

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

// mayImport is all that this package and sheet may lean on: nothing that opens,
// logs or waits. go-osc marshals the asks and does nothing else here.
var mayImport = []string{
	"bytes", "cmp", "encoding", "encoding/binary", "encoding/json", "errors", "fmt", "hash/maphash", "io", "math", "reflect",
	"regexp", "slices", "sort", "strconv", "strings", "time", "unicode", "unicode/utf8",
	"github.com/hypebeast/go-osc/osc", "github.com/invopop/jsonschema", "gopkg.in/yaml.v3",
	"pawl/oscmap/sheet", "pawl/oscmap/wire", "pawl/rules", "pawl/rules/desk",
}

var clock = []string{"Now", "Since", "Until", "Sleep", "After", "AfterFunc", "Tick", "NewTimer", "NewTicker"}

func TestPure(t *testing.T) {
	fset := token.NewFileSet()
	for _, pattern := range []string{"*.go", "sheet/*.go"} {
		paths, err := filepath.Glob(pattern)
		if err != nil || len(paths) == 0 {
			t.Fatalf("%s: %v, %d files", pattern, err, len(paths))
		}
		for _, path := range paths {
			if !strings.HasSuffix(path, "_test.go") {
				pure(t, fset, path)
			}
		}
	}
}

func pure(t *testing.T, fset *token.FileSet, path string) {
	f, err := parser.ParseFile(fset, path, nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	for _, im := range f.Imports {
		if p, _ := strconv.Unquote(im.Path.Value); !slices.Contains(mayImport, p) {
			t.Errorf("%s: oscmap may not import %s", fset.Position(im.Pos()), p)
		}
	}
	ast.Inspect(f, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.GoStmt:
			t.Errorf("%s: oscmap may not start a goroutine", fset.Position(n.Pos()))
		case *ast.SelectorExpr:
			if x, ok := n.X.(*ast.Ident); ok && x.Name == "time" && slices.Contains(clock, n.Sel.Name) {
				t.Errorf("%s: oscmap may not read the clock: the time comes in the packet", fset.Position(n.Pos()))
			}
		}
		return true
	})
}
