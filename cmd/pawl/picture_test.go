package main

import (
	"cmp"
	"flag"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "draw the picture of the packages in DEVELOPERS.md anew")

const (
	pictureBegins = "<!-- picture of the packages, drawn by go test ./cmd/pawl -run Picture -update -->\n"
	pictureEnds   = "<!-- end of the picture -->\n"
)

// TestPicture keeps the picture in DEVELOPERS.md as the imports are.
func TestPicture(t *testing.T) {
	const file = "../../DEVELOPERS.md"
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	before, rest, ok := strings.Cut(string(b), pictureBegins)
	_, after, ok2 := strings.Cut(rest, pictureEnds)
	if !ok || !ok2 {
		t.Fatalf("%s has no place for the picture, between\n%sand\n%s", file, pictureBegins, pictureEnds)
	}
	want := before + pictureBegins + "\n" + picture(importsOfOurs(t)) + "\n" + pictureEnds + after
	if want == string(b) {
		return
	}
	if !*update {
		t.Fatalf("the picture in %s is not as the imports are; look whether they should be, then draw it with go test ./cmd/pawl -run Picture -update", file)
	}
	if err := os.WriteFile(file, []byte(want), 0o644); err != nil {
		t.Fatal(err)
	}
}

// picture draws who imports whom, as text. Each package has a line that goes down
// from its corner, and a ● wherever it passes a package that it imports. Packages
// stand below all that import them, so a line that went up could not be drawn.
func picture(graph map[string][]string) string {
	names := sorted(graph)
	width := 0
	for _, name := range names {
		width = max(width, len(name))
	}
	var b strings.Builder
	for i, name := range names {
		line := fmt.Sprintf("    %-*s ", width, name)
		for k := range i {
			line += " " + crossing(names, graph[names[k]], i)
		}
		if len(graph[name]) > 0 {
			line += " ╮"
		}
		b.WriteString(strings.TrimRight(line, " ") + "\n")
	}
	return b.String()
}

// crossing is what the line of a package with these imports is at the i-th name.
func crossing(names, imports []string, i int) string {
	switch {
	case slices.Contains(imports, names[i]):
		return "●"
	case slices.ContainsFunc(names[i:], func(below string) bool { return slices.Contains(imports, below) }):
		return "│"
	}
	return " "
}

// sorted has the packages so that each stands below all that import it.
func sorted(graph map[string][]string) []string {
	height := map[string]int{}
	var measure func(name string) int
	measure = func(name string) int {
		if h, ok := height[name]; ok {
			return h
		}
		h := 0
		for _, below := range graph[name] {
			h = max(h, 1+measure(below))
		}
		height[name] = h
		return h
	}
	names := make([]string, 0, len(graph))
	for name := range graph {
		measure(name)
		names = append(names, name)
	}
	slices.SortFunc(names, func(a, b string) int {
		return cmp.Or(height[b]-height[a], strings.Compare(a, b))
	})
	return names
}
