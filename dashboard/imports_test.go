package dashboard

import (
	"go/parser"
	"go/token"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// The page knows the vocabulary and neither the desk nor the map.
func TestImports(t *testing.T) {
	paths, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	files := token.NewFileSet()
	for _, path := range paths {
		f, err := parser.ParseFile(files, path, nil, parser.ImportsOnly)
		if err != nil {
			t.Fatal(err)
		}
		for _, im := range f.Imports {
			name, _ := strconv.Unquote(im.Path.Value)
			if strings.HasPrefix(name, "pawl/") && !strings.HasPrefix(name, "pawl/rules") {
				t.Errorf("%s: dashboard may not import %s", files.Position(im.Pos()), name)
			}
		}
	}
}
