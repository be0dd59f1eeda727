package wire

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

// mayImport is the whole of what this package may lean on: nothing of ours,
// nothing that opens, logs or waits. What reads a stream gets it as an io.Reader.
var mayImport = []string{"bufio", "bytes", "encoding/binary", "errors", "fmt", "io", "math", "math/bits", "slices", "strings", "time"}

var clock = []string{"Now", "Since", "Until", "Sleep", "After", "AfterFunc", "Tick", "NewTimer", "NewTicker"}

func TestPure(t *testing.T) {
	fset := token.NewFileSet()
	paths, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
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
				t.Errorf("%s: wire may not import %s", fset.Position(im.Pos()), p)
			}
		}
		ast.Inspect(f, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.GoStmt:
				t.Errorf("%s: wire may not start a goroutine", fset.Position(n.Pos()))
			case *ast.SelectorExpr:
				if x, ok := n.X.(*ast.Ident); ok && x.Name == "time" && slices.Contains(clock, n.Sel.Name) {
					t.Errorf("%s: wire may not read the clock: the time comes in the packet", fset.Position(n.Pos()))
				}
			}
			return true
		})
	}
}
