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

func TestModulesAreJoined(t *testing.T) {
	files := map[string][]byte{
		"app.js":     []byte("// Begins.\nimport { a, b as c } from \"./in/b.js\";\nimport Plot from \"./plot.js\";\n\na(c, Plot);\n"),
		"in/b.js":    []byte("import { d } from \"../d.js\";\n/** @import { T } from \"./types.js\" */\nexport const a = d;\nexport async function b() {}\n"),
		"d.js":       []byte("export class d {}\nexport {};\n"),
		"plot.js":    []byte("import { d } from \"./d.js\";\nvar P = d;\nexport { P as default };\n"),
		"unasked.js": []byte("export const e = 1;\n"),
	}
	want := `// d.js
const m0 = (() => {
class d {}


return {d, };
})();
// in/b.js
const m1 = (() => {
const {d} = m0;
/** @import { T } from "./types.js" */
const a = d;
async function b() {}

return {a, b};
})();
// plot.js
const m2 = (() => {
const {d} = m0;
var P = d;


return {default: P};
})();
// app.js
const m3 = (() => {
// Begins.
const { a, b: c } = m1;
const {default: Plot} = m2;

a(c, Plot);

return {};
})();
`
	got := string(joinModules("app.js", files))
	if strings.ReplaceAll(got, " ", "") != strings.ReplaceAll(want, " ", "") {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

// A way to take or give that is not known must not end on a page that does not run.
func TestJoinKnowsItsLimits(t *testing.T) {
	for _, text := range []string{`import * as all from "./a.js";`, `import a, { b } from "./a.js";`, `export default 1;`, `export * from "./a.js";`, `export let a = 1;`} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s was joined", text)
				}
			}()
			joinModules("b.js", map[string][]byte{"b.js": []byte(text + "\n"), "a.js": nil})
		}()
	}
}

// What a page asks for is one script and one sheet, with all that it named in them.
func TestPagesAreJoined(t *testing.T) {
	s := New(Options{})
	for name, page := range s.assets.pages {
		if strings.Contains(string(page), "modulepreload") || strings.Count(string(page), `rel="stylesheet"`) != 1 || strings.Count(string(page), `<script type="module"`) != 1 {
			t.Errorf("%s asks for more than one script and one sheet", name)
		}
	}
	if script := string(s.assets.joined["app.joined.js"]); strings.Index(script, "// early.js\n") > strings.Index(script, "// words.js\n") {
		t.Error("the operator's page formats numbers before it asks for them")
	}
	script, sheet := string(s.assets.joined["app.joined.js"]), string(s.assets.joined["index.joined.css"])
	for _, module := range []string{"// app.js\n", "// parts/tide.js\n", "// vendor/uplot.js\n", "// dom.js\n"} {
		if strings.Count(script, module) != 1 {
			t.Errorf("app.joined.js has %q %d times, want it once", module, strings.Count(script, module))
		}
	}
	for _, one := range []string{"vendor/uplot.css", "tokens.css", "page.css", "watch.css", "parts.css"} {
		_, after, found := strings.Cut(sheet, string(s.assets.files[one]))
		if sheet = after; !found {
			t.Errorf("index.joined.css does not have %s, or not in the page's order", one)
		}
	}
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
