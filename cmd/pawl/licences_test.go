package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"testing"
)

// shipped are the systems that Pawl is built for; what is in the program differs a little.
var shipped = []string{"linux/amd64", "linux/arm64", "linux/arm", "windows/amd64", "darwin/arm64"}

// licenceName is how a file is called that a licence or a notice stands in.
var licenceName = regexp.MustCompile(`(?i)^(licen[cs]e|copying|notice|patents)([-._].*)?$`)

// bindingTitle is the first line of a licence that binds what is built with what it is given for.
var bindingTitle = regexp.MustCompile(`(?im)^\s*(gnu (affero |lesser )?general public license|server side public license)\s*$`)

// TestLicences keeps licences.txt what the modules of the program say: each licence once,
// with whose it is. After a new module: go test ./cmd/pawl -run Licences -update, and read
// whether the licence is one that Pawl may be given away under.
func TestLicences(t *testing.T) {
	want := licencesOf(t, linkedPackages(t))
	if *update {
		if err := os.WriteFile("licences.txt", []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if licences != want {
		t.Error("licences.txt is not what is in the program; read the difference of go test ./cmd/pawl -run Licences -update")
	}
	// A licence that asks for the source of what it is put into would bind all of Pawl.
	if binding := bindingTitle.FindString(want); binding != "" {
		t.Errorf("%s: such a licence is in the program", strings.TrimSpace(binding))
	}
}

// linked is a package of another module in the program.
type linked struct {
	Dir    string
	Module struct {
		Path, Version, Dir string
		Main               bool
	}
	Standard bool
}

// linkedPackages are those of every system, from go itself.
func linkedPackages(t *testing.T) (all []linked) {
	t.Helper()
	for _, system := range shipped {
		goos, arch, _ := strings.Cut(system, "/")
		cmd := exec.Command("go", "list", "-deps", "-json=Dir,Module,Standard", ".")
		cmd.Env = append(os.Environ(), "GOOS="+goos, "GOARCH="+arch, "CGO_ENABLED=0", "GOFLAGS=")
		out, err := cmd.Output()
		if err != nil {
			t.Fatalf("%s: %v", cmd, err)
		}
		for packages := json.NewDecoder(bytes.NewReader(out)); ; {
			var p linked
			if err := packages.Decode(&p); errors.Is(err, io.EOF) {
				break
			} else if err != nil {
				t.Fatal(err)
			}
			if !p.Standard && !p.Module.Main {
				all = append(all, p)
			}
		}
	}
	return all
}

// licencesOf is the text for these packages, for Go's own library, and for what stands in
// our folders and is not ours.
func licencesOf(t *testing.T, packages []linked) string {
	t.Helper()
	whose := map[string][]string{} // by the licence's text
	add := func(who, file string) {
		b, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		text := strings.TrimSpace(strings.ReplaceAll(string(b), "\r\n", "\n"))
		if !slices.Contains(whose[text], who) {
			whose[text] = append(whose[text], who)
		}
	}
	ours, err := os.ReadFile("../../LICENSE")
	if err != nil {
		t.Fatal(err)
	}
	add("Go's standard library", filepath.Join(runtimeRoot(t), "LICENSE"))
	add("uPlot, which draws the charts of the page", "../../dashboard/web/vendor/uplot-licence.txt")
	found := map[string]bool{}
	for _, p := range packages {
		who := p.Module.Path + " " + p.Module.Version
		found[who] = found[who] || false
		// A folder may hold what its author had from somebody else, with another licence.
		for dir := p.Dir; strings.HasPrefix(dir, p.Module.Dir); dir = filepath.Dir(dir) {
			files, err := os.ReadDir(dir)
			if err != nil {
				t.Fatal(err)
			}
			for _, f := range files {
				if licenceName.MatchString(f.Name()) && f.Type().IsRegular() && filepath.Ext(f.Name()) != ".go" {
					add(who, filepath.Join(dir, f.Name()))
					found[who] = true
				}
			}
		}
	}
	for who, has := range found {
		if !has {
			t.Errorf("no licence is found in %s", who)
		}
	}
	var b strings.Builder
	fmt.Fprintf(&b, "Pawl\n\n%s\n\nWhat follows is in the program too, with the licences under which it is given.\n", strings.TrimSpace(string(ours)))
	for text, all := range whose {
		slices.Sort(all)
		whose[text] = all
	}
	for _, text := range slices.SortedFunc(maps.Keys(whose), func(a, b string) int {
		return strings.Compare(whose[a][0]+a, whose[b][0]+b)
	}) {
		fmt.Fprintf(&b, "\n%s\n%s\n\n%s\n", strings.Repeat("-", 78), strings.Join(whose[text], "\n"), text)
	}
	return b.String()
}

// runtimeRoot is where the Go that builds Pawl stands.
func runtimeRoot(t *testing.T) string {
	t.Helper()
	out, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Fatalf("%s: %v", runtime.Version(), err)
	}
	return strings.TrimSpace(string(out))
}
