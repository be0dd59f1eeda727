//go:build !race

// The race detector makes it take twenty seconds instead of three.

package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"go/ast"
	"go/parser"
	"go/token"
	"go/types"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// TestOtherSystems checks the types of the program as those systems have it that no package is
// made for: what is called there is there. Nothing is compiled, which would take minutes. What
// of other modules is in functions is theirs.
func TestOtherSystems(t *testing.T) {
	for _, system := range []string{"windows/amd64", "darwin/arm64"} {
		t.Run(system, func(t *testing.T) {
			goos, arch, _ := strings.Cut(system, "/")
			checkTypes(t, goos, arch)
		})
	}
}

// source is a package as go list knows it.
type source struct {
	ImportPath, Dir string
	GoFiles         []string
	ImportMap       map[string]string
	Module          struct{ Main bool }
}

func checkTypes(t *testing.T, goos, arch string) {
	cmd := exec.Command("go", "list", "-deps", "-json=ImportPath,Dir,GoFiles,ImportMap,Module", ".")
	cmd.Env = append(os.Environ(), "GOOS="+goos, "GOARCH="+arch, "CGO_ENABLED=0", "GOFLAGS=")
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s: %v", cmd, err)
	}
	files := token.NewFileSet()
	known := map[string]*types.Package{"unsafe": types.Unsafe}
	var ours int
	// Each comes after what it imports.
	for packages := json.NewDecoder(bytes.NewReader(out)); ; {
		var p source
		if err := packages.Decode(&p); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
		if p.ImportPath == "unsafe" {
			continue
		}
		var parsed []*ast.File
		for _, name := range p.GoFiles {
			f, err := parser.ParseFile(files, filepath.Join(p.Dir, name), nil, parser.SkipObjectResolution)
			if err != nil {
				t.Fatal(err)
			}
			parsed = append(parsed, f)
		}
		checker := types.Config{
			Sizes: types.SizesFor("gc", arch), IgnoreFuncBodies: !p.Module.Main, FakeImportC: true,
			Importer: importer(func(path string) *types.Package {
				if mapped, ok := p.ImportMap[path]; ok {
					path = mapped
				}
				return known[path]
			}),
			Error: func(err error) { t.Error(err) },
		}
		known[p.ImportPath], _ = checker.Check(p.ImportPath, files, parsed, nil)
		if p.Module.Main {
			ours++
		}
	}
	if ours < 15 {
		t.Errorf("only %d packages of ours were read", ours)
	}
}

type importer func(path string) *types.Package

func (i importer) Import(path string) (*types.Package, error) {
	if p := i(path); p != nil {
		return p, nil
	}
	return nil, errors.New("not among what is imported: " + path)
}
