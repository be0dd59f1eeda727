package survey

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

// mayImport is all that this package may lean on: nothing that opens, logs or waits.
var mayImport = []string{
	"bytes", "cmp", "encoding/binary", "fmt", "maps", "math", "regexp", "slices", "strconv", "strings", "time", "unicode", "unicode/utf8",
	"pawl/oscmap/wire",
}

func TestPure(t *testing.T) {
	paths, err := filepath.Glob("*.go")
	if err != nil || len(paths) == 0 {
		t.Fatal(err, len(paths))
	}
	fset := token.NewFileSet()
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
				t.Errorf("%s: survey may not import %s", fset.Position(im.Pos()), p)
			}
		}
		ast.Inspect(f, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.GoStmt:
				t.Errorf("%s: survey may not start a goroutine", fset.Position(n.Pos()))
			case *ast.SelectorExpr:
				if x, ok := n.X.(*ast.Ident); ok && x.Name == "time" && slices.Contains([]string{"Now", "Since", "Sleep", "After", "NewTimer"}, n.Sel.Name) {
					t.Errorf("%s: survey may not read the clock: the time comes with the packet", fset.Position(n.Pos()))
				}
			}
			return true
		})
	}
}
