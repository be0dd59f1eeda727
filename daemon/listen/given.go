package listen

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"pawl/daemon/disks"
	"pawl/daemon/house"
	"pawl/oscmap"
	"pawl/oscmap/sheet"
)

// givenMap is the map that was given to listen with. It may be no more than a link
// with the asks that make a desk talk. The zero value is none.
type givenMap struct {
	m    *oscmap.Map
	bare bool // it hears nothing

	link, strips string // the sections of the file, for the draft
}

// silentSignals completes a map that has no signals yet, which Load would refuse.
// The address is one that no desk uses.
const silentSignals = "\nsignals: [{hear: /pawl/listen/hears/nothing/yet, is: desk.alive}]\n"

// readMap reads a map for listening. One without signals is good enough: it says
// what to ask, and that is all that is needed to begin.
func readMap(file string) (givenMap, error) {
	src, err := house.ReadFile(file)
	if err != nil {
		return givenMap{}, fmt.Errorf("cannot read the map %s: %w", file, err)
	}
	var g givenMap
	whole := string(src)
	top := sheet.TopKeys(src)
	if g.bare = !slices.Contains(top, "signals"); g.bare {
		whole = strings.TrimRight(whole, "\n") + "\n" + silentSignals
	}
	if g.bare && !slices.Contains(top, "desk") {
		whole += "desk: not named yet\n"
	}
	m, faults := oscmap.Load(file, []byte(whole), nil)
	if m == nil {
		return g, faults
	}
	g.m = m
	g.takeSections(src)
	return g, nil
}

// takeSections keeps the link and the strips as they are written, comments and all.
func (g *givenMap) takeSections(src []byte) {
	g.link, g.strips = section(src, "link"), section(src, "strips")
}

// section is the lines of a top-level key of a YAML file, "" if it has none.
func section(src []byte, key string) string {
	var doc yaml.Node
	if yaml.Unmarshal(src, &doc) != nil || len(doc.Content) != 1 || doc.Content[0].Kind != yaml.MappingNode {
		return ""
	}
	lines, top := strings.Split(string(src), "\n"), doc.Content[0].Content
	for i := 0; i+1 < len(top); i += 2 {
		if top[i].Value != key || top[i].Column != 1 {
			continue
		}
		end := len(lines)
		if i+2 < len(top) {
			end = top[i+2].Line - 1
		}
		// What stands above the next key belongs to it.
		kept := lines[top[i].Line-1 : end]
		for len(kept) > 1 && (strings.TrimSpace(kept[len(kept)-1]) == "" || strings.HasPrefix(kept[len(kept)-1], "#")) {
			kept = kept[:len(kept)-1]
		}
		return strings.Join(kept, "\n")
	}
	return ""
}

// mayWrite says why a file cannot be made, before anybody has spent ten minutes on
// what goes into it.
func mayWrite(file string) error {
	if _, err := os.Lstat(file); err == nil {
		return fmt.Errorf("%s is there already and is not written over; choose another name", file)
	}
	folder := filepath.Dir(file)
	dir, err := os.Stat(folder)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("cannot write %s: its folder is not there", file)
	case err != nil:
		return fmt.Errorf("cannot write %s: %w", file, err)
	case !dir.IsDir():
		return fmt.Errorf("cannot write %s: %s is no folder", file, folder)
	}
	probe, err := os.CreateTemp(folder, ".pawl-*") // permissions alone do not tell of a disk that is read-only
	if err != nil {
		return fmt.Errorf("cannot write %s: %s", file, cmp.Or(disks.Words(err), disks.Fault(disks.Plain(err))))
	}
	return errors.Join(probe.Close(), os.Remove(probe.Name()))
}
