package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// room is one row of the table: a package, and all that it may lean on.
type room struct {
	name   string
	ours   string // packages of ours
	may    string // abilities, by their names in the table of abilities
	others string // packages of other people, and single ones of the standard library
	tests  string // what more of ours its tests may import; "" is whatever they like
}

// rooms has every package of the program. A new arrow between packages, or a new
// power, is decided here and seen in a review. What has no power at all gives the
// same answer to the same packets whenever it is asked, which is what makes a
// replay worth as much as the service.
var rooms = []room{
	{name: "cmd/pawl", ours: "daemon daemon/disks daemon/house daemon/listen daemon/otherwise daemon/review daemon/store dashboard dashboard/keys oscmap oscmap/sheet rules rules/words", may: "bytes form files log go clock process",
		others: "text/tabwriter time/tzdata github.com/coreos/go-systemd/v22/daemon golang.org/x/term"},
	{name: "daemon", ours: "daemon/capture daemon/disks daemon/house daemon/link daemon/otherwise daemon/practice daemon/store daemon/survey daemon/timeline dashboard dashboard/keys oscmap oscmap/sheet oscmap/wire rules rules/desk rules/words",
		may:    "bytes form log go clock net",
		others: "crypto/tls path/filepath github.com/prometheus/client_golang/prometheus github.com/prometheus/client_golang/prometheus/collectors github.com/prometheus/client_golang/prometheus/promhttp"},
	{name: "daemon/capture", ours: "daemon/disks oscmap/wire", may: "bytes files go clock",
		others: "io/fs regexp syscall github.com/gopacket/gopacket github.com/gopacket/gopacket/ip4defrag github.com/gopacket/gopacket/ip6defrag github.com/gopacket/gopacket/layers github.com/gopacket/gopacket/pcapgo github.com/gopacket/gopacket/reassembly github.com/klauspost/compress/zstd"},
	{name: "daemon/disks", may: "clock", others: "io io/fs syscall"},
	// house takes addresses apart with net and opens none.
	{name: "daemon/house", ours: "daemon/disks oscmap oscmap/sheet rules rules/desk rules/words", may: "bytes form files", others: "net"},
	// listen serves the page of a first hour, which has the questions of its terminal.
	{name: "daemon/listen", ours: "daemon/capture daemon/disks daemon/house daemon/link daemon/survey dashboard dashboard/keys oscmap oscmap/sheet rules", may: "bytes form files go clock net log",
		others: "gopkg.in/yaml.v3"},
	{name: "daemon/link", ours: "oscmap oscmap/wire", may: "bytes go clock net", others: "os syscall golang.org/x/sys/unix"},
	{name: "daemon/otherwise", ours: "rules"},
	{name: "daemon/practice", ours: "daemon/link oscmap/wire", may: "bytes form go clock net"},
	{name: "daemon/practice/practicetest", ours: "daemon/practice oscmap/wire", may: "bytes files go net",
		others: "testing gopkg.in/yaml.v3"}, // in nobody's row: only tests import it
	{name: "daemon/review", ours: "daemon/house daemon/store rules rules/desk rules/words", may: "bytes form", others: "encoding/csv html/template"},
	{name: "daemon/store", ours: "daemon/disks rules rules/desk", may: "bytes form files go clock", others: "database/sql net/url modernc.org/sqlite"},
	{name: "daemon/survey", ours: "oscmap oscmap/wire rules rules/desk rules/words", may: "bytes form"},
	{name: "daemon/timeline", ours: "daemon/review daemon/store rules rules/desk rules/words", may: "form files go"},
	{name: "dashboard", ours: "daemon/otherwise daemon/timeline dashboard/keys rules rules/desk rules/words", may: "bytes form log go clock net", others: "crypto/tls html html/template net/url syscall github.com/gorilla/websocket golang.org/x/time/rate rsc.io/qr"},
	// keys takes addresses apart for a certificate, and opens its own files alone.
	{name: "dashboard/keys", may: "bytes form files go clock", others: "crypto/ecdsa crypto/elliptic crypto/rand crypto/tls crypto/x509 crypto/x509/pkix encoding/pem math/big net syscall"},
	{name: "oscmap", ours: "oscmap/sheet oscmap/wire rules/desk", may: "bytes form", others: "github.com/hypebeast/go-osc/osc"},
	{name: "oscmap/sheet", may: "bytes form", others: "gopkg.in/yaml.v3"},
	{name: "oscmap/wire", may: "bytes"},
	// rules tells its limits by reflection and its entries as JSON, and opens nothing.
	{name: "rules", ours: "rules/desk", others: "bytes encoding/json reflect"},
	{name: "rules/desk"},
	{name: "rules/words", ours: "rules rules/desk", may: "form",
		others: "sync gopkg.in/yaml.v3 github.com/nicksnyder/go-i18n/v2/i18n github.com/nicksnyder/go-i18n/v2/i18n/template golang.org/x/text/language golang.org/x/text/language/display golang.org/x/text/message golang.org/x/text/number text/template"},
}

// abilities are what packages of the standard library make possible. What is
// under "" everybody may have: it computes. The others are for those whose row
// says so; "clock" and part of "go" are no packages and are found by their use.
var abilities = map[string]string{
	"":        "cmp errors fmt iter maps math math/bits slices strconv strings time unicode unicode/utf8",
	"bytes":   "bufio bytes compress/gzip encoding/binary io net/netip sort",
	"form":    "crypto/sha256 embed encoding encoding/hex encoding/json hash/maphash io/fs path reflect regexp",
	"files":   "os path/filepath",
	"log":     "log/slog",
	"go":      "context sync sync/atomic",
	"net":     "net net/http",
	"process": "flag os/signal runtime runtime/debug syscall",
	"clock":   "",
}

func (r room) mayHave(ability string) bool { return slices.Contains(strings.Fields(r.may), ability) }

// mayImport reports whether the row of a package has another in it.
func (r room) mayImport(imported string) bool {
	if ours, ok := strings.CutPrefix(imported, "pawl/"); ok {
		return slices.Contains(strings.Fields(r.ours), ours)
	}
	if slices.Contains(strings.Fields(abilities[""]), imported) || slices.Contains(strings.Fields(r.others), imported) {
		return true
	}
	return slices.ContainsFunc(strings.Fields(r.may), func(ability string) bool {
		return slices.Contains(strings.Fields(abilities[ability]), imported)
	})
}

// clockNames are what of package time tells the time or waits for it, and
// printing what of fmt writes to the terminal by itself.
var (
	clockNames = strings.Fields("Now Since Until Sleep After AfterFunc Tick NewTimer NewTicker")
	printing   = strings.Fields("Print Printf Println Scan Scanf Scanln")
)

// faults are what a file of the package does that its row does not allow.
func (r room) faults(set *token.FileSet, f *ast.File) (all []string) {
	fault := func(n ast.Node, what string) {
		all = append(all, set.Position(n.Pos()).String()+": "+r.name+" may not "+what)
	}
	for _, im := range f.Imports {
		imported, _ := strconv.Unquote(im.Path.Value)
		switch {
		case !r.mayImport(imported):
			fault(im, "import "+imported)
		case im.Name != nil && (imported == "time" || imported == "fmt"):
			fault(im, "import "+imported+" under another name, which would hide it from this test")
		}
	}
	ast.Inspect(f, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.GoStmt:
			if !r.mayHave("go") {
				fault(n, "start a goroutine")
			}
		case *ast.FuncDecl:
			if n.Name.Name == "init" && n.Recv == nil {
				fault(n, "have an init: what happens at the start is said where it starts")
			}
		case *ast.SelectorExpr:
			x, ok := n.X.(*ast.Ident)
			switch {
			case ok && x.Name == "time" && slices.Contains(clockNames, n.Sel.Name) && !r.mayHave("clock"):
				fault(n, "read the clock: the time comes with what happens")
			case ok && x.Name == "fmt" && slices.Contains(printing, n.Sel.Name):
				fault(n, "write to the terminal: it is given where to write")
			}
		}
		return true
	})
	return all
}

// walk parses every Go file of the repository, package by package.
func walk(t *testing.T, visit func(pkg string, test bool, set *token.FileSet, f *ast.File)) {
	t.Helper()
	top := filepath.Join("..", "..")
	set := token.NewFileSet()
	err := filepath.WalkDir(top, func(file string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir() && file != top && (strings.HasPrefix(d.Name(), ".") || d.Name() == "testdata"):
			return filepath.SkipDir
		case !strings.HasSuffix(file, ".go"):
			return nil
		}
		f, err := parser.ParseFile(set, file, nil, parser.ParseComments)
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(top, filepath.Dir(file))
		visit(filepath.ToSlash(rel), strings.HasSuffix(file, "_test.go"), set, f)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

// TestPackages holds every file to the row of its package, and the row to the
// files: what nobody imports any more is not left permitted.
func TestPackages(t *testing.T) {
	rows := map[string]room{}
	for _, r := range rooms {
		rows[r.name] = r
	}
	seen := map[string]bool{}
	used := map[string]bool{}
	walk(t, func(pkg string, test bool, set *token.FileSet, f *ast.File) {
		r, ok := rows[pkg]
		switch {
		case test && r.tests != "":
			for _, im := range f.Imports {
				if imported, _ := strconv.Unquote(im.Path.Value); strings.HasPrefix(imported, "pawl/") && !r.mayImport(imported) && imported != "pawl/"+r.tests {
					t.Errorf("%s: nor may its tests import %s", set.Position(im.Pos()), imported)
				}
			}
		case test:
		case !ok && !seen[pkg]:
			t.Errorf("package %s has no row in this table: say what it may lean on", pkg)
		case ok:
			for _, fault := range r.faults(set, f) {
				t.Error(fault)
			}
			for _, im := range f.Imports {
				imported, _ := strconv.Unquote(im.Path.Value)
				used[pkg+" "+strings.TrimPrefix(imported, "pawl/")] = true
			}
		}
		seen[pkg] = seen[pkg] || !test
	})
	for name, r := range rows {
		if !seen[name] {
			t.Errorf("the table has a row for %s, which is no package", name)
			continue
		}
		for _, permitted := range strings.Fields(r.ours + " " + r.others) {
			if !used[name+" "+permitted] {
				t.Errorf("%s may import %s, and does not: take it out of the table", name, permitted)
			}
		}
	}
}

// TestPackagesNotices holds the test above to account.
func TestPackagesNotices(t *testing.T) {
	pure := room{name: "pure", ours: "rules/desk"}
	able := room{name: "able", may: "bytes go clock", others: "example.net/x"}
	for _, c := range []struct {
		name   string
		row    room
		source string
		faults int
	}{
		{"all that a pure package may", pure, `import ("fmt"; "pawl/rules/desk"; "time"); var _, _, _ = fmt.Sprint, time.Second, desk.Off`, 0},
		{"the abilities of a row", able, `import ("io"; "sync"; "time"; "example.net/x"); func f() { go f(); time.Now() }`, 0},
		{"an arrow that is not in the row", pure, `import "pawl/rules"`, 1},
		{"nor below what is", pure, `import "pawl/rules/desk/deeper"`, 1},
		{"an ability that is not", pure, `import "os"`, 1},
		{"another's package", pure, `import "example.net/x"`, 1},
		{"one that no ability has", able, `import "plugin"`, 1},
		{"a goroutine", pure, `func f() { go f() }`, 1},
		{"the clock", pure, `import "time"; var now = time.Now`, 1},
		{"the clock by another name", able, `import t "time"; var now = t.Now()`, 1},
		{"the terminal", able, `import "fmt"; func f() { fmt.Println() }`, 1},
		{"an init", able, `func init() {}`, 1},
	} {
		t.Run(c.name, func(t *testing.T) {
			set := token.NewFileSet()
			f, err := parser.ParseFile(set, "x.go", "package x; "+c.source, 0)
			if err != nil {
				t.Fatal(err)
			}
			if got := c.row.faults(set, f); len(got) != c.faults {
				t.Errorf("%d faults, want %d: %v", len(got), c.faults, got)
			}
		})
	}
}

// TestExportsAreDocumented holds every exported name to a sentence of its own.
func TestExportsAreDocumented(t *testing.T) {
	walk(t, func(_ string, test bool, set *token.FileSet, f *ast.File) {
		if test {
			return
		}
		for _, d := range f.Decls {
			for _, name := range undocumented(d) {
				t.Errorf("%s: %s has no comment", set.Position(d.Pos()), name)
			}
		}
	})
}

func undocumented(d ast.Decl) (names []string) {
	switch d := d.(type) {
	case *ast.FuncDecl:
		if d.Name.IsExported() && d.Doc == nil && (d.Recv == nil || ast.IsExported(receiver(d))) {
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

// receiver is the name of the type that a method belongs to.
func receiver(d *ast.FuncDecl) string {
	x := d.Recv.List[0].Type
	if star, ok := x.(*ast.StarExpr); ok {
		x = star.X
	}
	if generic, ok := x.(*ast.IndexExpr); ok {
		x = generic.X
	}
	id, _ := x.(*ast.Ident)
	return id.String()
}

// importsOfOurs is which packages of the program import which: no tests, and
// nothing that only tests import.
func importsOfOurs(t *testing.T) map[string][]string {
	graph := map[string][]string{}
	walk(t, func(pkg string, test bool, _ *token.FileSet, f *ast.File) {
		if test || path.Base(pkg) == "practicetest" {
			return
		}
		graph[pkg] = append(graph[pkg], []string{}...)
		for _, im := range f.Imports {
			imported, _ := strconv.Unquote(im.Path.Value)
			if ours, ok := strings.CutPrefix(imported, "pawl/"); ok && !slices.Contains(graph[pkg], ours) {
				graph[pkg] = append(graph[pkg], ours)
			}
		}
	})
	return graph
}
