package link

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// canSend are the names by which Go code gets bytes into a socket, or gets hold
// of one it could write to. ReadFrom is one of them: on a TCP connection it
// sends what it reads. New names of this kind belong here.
var canSend = regexp.MustCompile(`^(Write|Send|Pwrite|Fprint|Copy|Splice|Tee|Vmsplice|RawSyscall|Flush|IoUring)|^(Syscall\d*|ReadFrom|File|Dup\d?|Encode|NewWriter\w*|NewEncoder|NewReadWriter)$`)

// mayImport is what this package may lean on: nothing that could reach a network
// other than through the names above.
var mayImport = map[string]bool{
	"cmp": true, "context": true, "encoding/binary": true, "errors": true, "fmt": true, "io": true, "math": true,
	"net": true, "net/netip": true, "os": true, "slices": true, "strconv": true, "sync": true, "sync/atomic": true,
	"syscall": true, "time": true, "golang.org/x/sys/unix": true, "pawl/oscmap": true, "pawl/oscmap/wire": true,
}

// mayUse are the names of packages that could do far more.
var mayUse = map[string]*regexp.Regexp{
	"io":      regexp.MustCompile(`^(EOF|ErrUnexpectedEOF)$`),
	"os":      regexp.MustCompile(`^ErrDeadlineExceeded$`),
	"syscall": regexp.MustCompile(`^(E[A-Z]+|RawConn)$`),
	"unix":    regexp.MustCompile(`^([A-Z][A-Z0-9_]+|SizeofCmsghdr|SetsockoptInt|GetsockoptInt|Recvmsg)$`),
}

// TestOneWriter reads the source of the package and allows two ways to send,
// both inside outlet.send, whose only argument is an oscmap.Ask.
func TestOneWriter(t *testing.T) {
	paths, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	var allowed []string
	for _, path := range paths {
		if strings.HasSuffix(path, "_test.go") {
			continue
		}
		fset := token.NewFileSet()
		file, err := parser.ParseFile(fset, path, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		sends, faults := waysToSend(fset, file)
		allowed = append(allowed, sends...)
		for _, fault := range faults {
			t.Error(fault)
		}
	}
	if got, want := strings.Join(allowed, " "), "Write WriteToUDPAddrPort"; got != want {
		t.Errorf("outlet.send sends by %q, want %q", got, want)
	}
}

// waysToSend finds what sends inside outlet.send, and whatever else could.
func waysToSend(fset *token.FileSet, file *ast.File) (sends, faults []string) {
	fault := func(n ast.Node, text string) { faults = append(faults, fset.Position(n.Pos()).String()+": "+text) }
	for _, im := range file.Imports {
		path, _ := strconv.Unquote(im.Path.Value)
		if !mayImport[path] {
			fault(im, "may not import "+path)
		}
		if im.Name != nil {
			fault(im, "may not import under another name, which would hide it from this test")
		}
	}
	for _, decl := range file.Decls {
		inSend := isSend(decl)
		ast.Inspect(decl, func(n ast.Node) bool {
			s, ok := n.(*ast.SelectorExpr)
			if !ok {
				return true
			}
			if x, ok := s.X.(*ast.Ident); ok && mayUse[x.Name] != nil && !mayUse[x.Name].MatchString(s.Sel.Name) {
				fault(s, "may not use "+x.Name+"."+s.Sel.Name)
			}
			switch {
			case !canSend.MatchString(s.Sel.Name):
			case inSend:
				sends = append(sends, s.Sel.Name)
			default:
				fault(s, s.Sel.Name+" could send; only outlet.send may")
			}
			return true
		})
	}
	return sends, faults
}

// isSend reports whether decl is the function
//
//	func (o outlet) send(a oscmap.Ask) error
func isSend(decl ast.Decl) bool {
	f, ok := decl.(*ast.FuncDecl)
	if !ok || f.Name.Name != "send" || f.Recv == nil || len(f.Type.Params.List) != 1 || len(f.Type.Params.List[0].Names) != 1 {
		return false
	}
	recv, ok := f.Recv.List[0].Type.(*ast.Ident)
	if !ok || recv.Name != "outlet" {
		return false
	}
	param, ok := f.Type.Params.List[0].Type.(*ast.SelectorExpr)
	return ok && param.Sel.Name == "Ask" && param.X.(*ast.Ident).Name == "oscmap"
}

// TestOneWriterNotices holds the test above to account.
func TestOneWriterNotices(t *testing.T) {
	tests := []struct{ name, source string }{
		{"a second writer", `import "net"; func f(c net.Conn) { c.Write(nil) }`},
		{"a method value", `import "net"; func f(c net.Conn) any { return c.Write }`},
		{"a datagram", `import "net"; func f(c *net.UDPConn) { c.WriteToUDPAddrPort(nil, x) }`},
		{"a copy", `import ("io"; "net"); func f(c net.Conn) { io.Copy(c, c) }`},
		{"printing", `import ("fmt"; "net"); func f(c net.Conn) { fmt.Fprintf(c, "") }`},
		{"a system call", `import "golang.org/x/sys/unix"; func f() { unix.Sendto(1, nil, 0, nil) }`},
		{"any system call", `import "syscall"; func f() { syscall.Syscall(1, 2, 3, 4) }`},
		{"the file under it", `import "net"; func f(c *net.UDPConn) { c.File() }`},
		{"another package", `import "net/http"; func f() { http.Get("") }`},
		{"a hidden package", `import io2 "io"; func f() { io2.EOF.Error() }`},
		{"bytes into send", `import "net"; type outlet struct { c net.Conn }; func (o outlet) send(b []byte) { o.c.Write(b) }`},
		{"another's send", `import ("net"; "pawl/oscmap"); func (o other) send(a oscmap.Ask) { o.c.Write(nil) }`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			fset := token.NewFileSet()
			file, err := parser.ParseFile(fset, "x.go", "package link; "+tt.source, 0)
			if err != nil {
				t.Fatal(err)
			}
			if _, faults := waysToSend(fset, file); len(faults) == 0 {
				t.Error("not noticed")
			}
		})
	}
}
