package dashboard

import (
	"go/ast"
	"go/doc"
	"go/parser"
	"go/token"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// docs is what the packages say of their own types, each named as package reflect
// does: "rules.Finding", and fields "rules.Finding.Number".
type docs struct {
	types, fields map[string]string
	constants     map[string][]string // the strings that are constants of a type
}

// readDocs reads the packages whose types leave for a page.
func readDocs(t *testing.T) docs {
	t.Helper()
	d := docs{map[string]string{}, map[string]string{}, map[string][]string{}}
	for _, dir := range []string{".", "../daemon/otherwise", "../daemon/review", "../daemon/timeline", "../rules", "../rules/desk", "../rules/words"} {
		paths, err := filepath.Glob(filepath.Join(dir, "*.go"))
		if err != nil || len(paths) == 0 {
			t.Fatalf("no Go files in %s: %v", dir, err)
		}
		set := token.NewFileSet()
		var files []*ast.File
		for _, path := range paths {
			if strings.HasSuffix(path, "_test.go") {
				continue
			}
			file, err := parser.ParseFile(set, path, nil, parser.ParseComments)
			if err != nil {
				t.Fatal(err)
			}
			files = append(files, file)
		}
		p, err := doc.NewFromFiles(set, files, "pawl/"+dir, doc.AllDecls|doc.PreserveAST)
		if err != nil {
			t.Fatal(err)
		}
		for _, one := range p.Types {
			d.read(p.Name+"."+one.Name, one)
		}
	}
	return d
}

func (d docs) read(name string, t *doc.Type) {
	d.types[name] = oneLine(t.Doc)
	for _, group := range t.Consts {
		for _, spec := range group.Decl.Specs {
			for _, v := range spec.(*ast.ValueSpec).Values {
				if lit, ok := v.(*ast.BasicLit); ok && lit.Kind == token.STRING {
					word, _ := strconv.Unquote(lit.Value)
					d.constants[name] = append(d.constants[name], word)
				}
			}
		}
	}
	for _, spec := range t.Decl.Specs {
		body, ok := spec.(*ast.TypeSpec).Type.(*ast.StructType)
		if !ok {
			continue
		}
		for _, field := range body.Fields.List {
			for _, id := range field.Names {
				d.fields[name+"."+id.Name] = oneLine(field.Doc.Text() + field.Comment.Text())
			}
		}
	}
}

func oneLine(text string) string { return strings.Join(strings.Fields(text), " ") }
