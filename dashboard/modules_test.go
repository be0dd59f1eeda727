package dashboard

import (
	"path"
	"regexp"
	"slices"
	"strings"
	"testing"

	"pawl/rules/words"
)

// modules are the page's own files of JavaScript, by name.
func modules(t *testing.T) map[string]string {
	t.Helper()
	all := map[string]string{}
	for name, data := range loadAssets(words.Own()).files {
		if path.Ext(name) == ".js" && !strings.HasPrefix(name, "vendor/") {
			all[name] = string(data)
		}
	}
	if len(all) < 30 {
		t.Fatalf("found %d modules, want more", len(all))
	}
	return all
}

func TestNoModuleInACircle(t *testing.T) {
	all := modules(t)
	if got := circle(map[string][]string{"a": {"b"}, "b": {"c", "d"}, "d": {"b"}}); got != "b → d → b" {
		t.Fatalf("found %q in a circle of two, want b → d → b", got)
	}
	needs := map[string][]string{}
	for name, text := range all {
		needs[name] = importsOf(name, []byte(text))
		for _, other := range needs[name] {
			if _, err := web.Open("web/" + other); err != nil {
				t.Errorf("%s imports %s: %v", name, other, err)
			}
		}
	}
	if !slices.Contains(needs["parts/title.js"], "parts/card.js") {
		t.Fatalf("parts/title.js needs %v, want parts/card.js among them", needs["parts/title.js"])
	}
	if found := circle(needs); found != "" {
		t.Errorf("modules need each other: %s", found)
	}
}

// circle finds one, "" if there is none.
func circle(needs map[string][]string) string {
	done := map[string]bool{}
	var walk func(name string, way []string) string
	walk = func(name string, way []string) string {
		if at := slices.Index(way, name); at >= 0 {
			return strings.Join(append(way[at:], name), " → ")
		}
		if done[name] {
			return ""
		}
		for _, other := range needs[name] {
			if found := walk(other, append(way, name)); found != "" {
				return found
			}
		}
		done[name] = true
		return ""
	}
	names := make([]string, 0, len(needs))
	for name := range needs {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		if found := walk(name, nil); found != "" {
			return found
		}
	}
	return ""
}

// What the page shows comes as facts and as words; it takes no sentence apart.
func TestPageParsesNoText(t *testing.T) {
	parsing := regexp.MustCompile(`RegExp|\.(?:exec|test|match|matchAll|replace|replaceAll|search)\(|parseInt|parseFloat|[=(,:]\s*/[^/*\s][^/\n]*/[a-z]*[.,;)]`)
	if !parsing.MatchString(`text.split(/(?=x)/)`) || !parsing.MatchString(`const x = /^a/.exec(b)`) {
		t.Fatal("this test does not know a regular expression when it sees one")
	}
	for name, text := range modules(t) {
		if found := parsing.FindString(text); found != "" {
			t.Errorf("%s takes a text apart: %s", name, found)
		}
	}
}
