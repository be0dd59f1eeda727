// Package practicetest is what the practice desk speaks and plays in tests alone:
// five more dialects, TCP, and the services of testdata/services. They are made
// to differ from one another as widely as desks do, so that a test which holds
// in all of them holds by no accident of one.
//
// No part of the program imports it, so none of this is in the binary. Its files
// are read from the repository: a test that uses it runs inside the repository.
package practicetest

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"pawl/daemon/practice"
)

// Dialect is a dialect of the practice desk. Every address in any of them is
// invented.
type Dialect interface {
	practice.Dialect

	// Name is the word to pick it by.
	Name() string

	// Map is the map file, in YAML, by which Pawl understands it.
	Map() []byte

	// Transport is how its packets travel, in a map's words.
	Transport() string
}

// harbour is the demo's dialect, whose map comes with the program.
type harbour struct{ practice.Dialect }

func (harbour) Name() string      { return "harbour" }
func (harbour) Map() []byte       { return practice.MapFile() }
func (harbour) Transport() string { return "udp" }

// Dialects lists every dialect, the demo's first.
func Dialects() []Dialect {
	return []Dialect{harbour{practice.Harbour()}, numbered{}, packed{}, spoken{}, streamed{}, polled{}}
}

// DialectNamed is the dialect of that name. The error names those there are.
func DialectNamed(name string) (Dialect, error) {
	var names []string
	for _, d := range Dialects() {
		if d.Name() == name {
			return d, nil
		}
		names = append(names, d.Name())
	}
	return nil, fmt.Errorf("no dialect %q; want one of %s", name, strings.Join(names, ", "))
}

// House is the house file of a hall and the map beside it, by their names; file is the
// house's. The map is of the harbour dialect, the only one in which all halls' desks
// speak: the others have words for Harbour Hall alone. It panics if a file cannot be
// read.
func House(h *practice.Hall) (file string, files map[string]string) {
	name := strings.ReplaceAll(strings.ToLower(h.Name()), " ", "-")
	file, mapFile := name+".house.yaml", name+".map.yaml"
	if h == practice.Halls()[0] {
		return file, map[string]string{file: string(practice.House()), mapFile: string(practice.MapFile())}
	}
	files = map[string]string{}
	for _, f := range []string{file, mapFile} {
		b, err := os.ReadFile(testdata("halls", f))
		if err != nil {
			panic(err)
		}
		files[f] = string(b)
	}
	return file, files
}

// known leaves out the topics for which a dialect has no path.
func known(about []practice.Topic, paths int) []practice.Topic {
	return slices.DeleteFunc(slices.Clone(about), func(t practice.Topic) bool { return int(t.Kind) >= paths })
}

// mapNamed is the map of that name in testdata/maps. It panics if the file cannot
// be read.
func mapNamed(dialect string) []byte {
	b, err := os.ReadFile(testdata("maps", dialect+".map.yaml"))
	if err != nil {
		panic(err)
	}
	return b
}

// Services lists the names of all services in order of name: those of
// testdata/services and the demo's, "harbour-hall". It panics if there is no
// such folder.
func Services() []string {
	entries, err := os.ReadDir(testdata("services"))
	if err != nil {
		panic(err)
	}
	names := []string{practice.HarbourHall().Name}
	for _, e := range entries {
		names = append(names, strings.TrimSuffix(e.Name(), ".txt"))
	}
	slices.Sort(names)
	return names
}

// Service is the script of that name. The error names those there are.
func Service(name string) (*practice.Script, error) {
	if s := practice.HarbourHall(); s.Name == name {
		return s, nil
	}
	src, err := os.ReadFile(testdata("services", name+".txt"))
	if err != nil {
		return nil, fmt.Errorf("no service %q; want one of %s", name, strings.Join(Services(), ", "))
	}
	return practice.ParseScript(name+".txt", src)
}

// root is the folder of the repository. Tests start in the folder of their
// package, and some go elsewhere later, so it is looked for at once.
var root = func() string {
	dir, err := os.Getwd()
	for err == nil {
		if _, missing := os.Stat(filepath.Join(dir, "go.mod")); missing == nil {
			return dir
		}
		if dir == filepath.Dir(dir) {
			break
		}
		dir = filepath.Dir(dir)
	}
	return "."
}()

func testdata(path ...string) string {
	return filepath.Join(append([]string{root, "testdata"}, path...)...)
}
