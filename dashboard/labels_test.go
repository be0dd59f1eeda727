package dashboard

import (
	"path"
	"regexp"
	"slices"
	"strings"
	"testing"

	"pawl/rules/words"
)

// asking finds the labels that a script or a page asks for by name.
var asking = regexp.MustCompile(`(?:label|counted|named|around)\(\s*"([a-z-]+)"|data-label="([a-z-]+)"|` +
	`(?:label|around)\([^"]*(?:=== "[a-z-]+"[^"]*)?\? "([a-z-]+)" : "([a-z-]+)"[,)]|\] : "([a-z-]+)"[,)]`)

// chosen finds the tables of which a script asks for one by what it shows, and tabled what
// stands in one.
var (
	chosen = regexp.MustCompile(`label\((?:[^(){}]* \? )?([a-zA-Z]+)\[`)
	tabled = regexp.MustCompile(`: "([a-z-]+)"`)
	handed = regexp.MustCompile(`"([a-z-]+)"`)
)

// families are labels of which a page asks for one by what it shows.
var families = []string{"element-", "segment-", "link-", "kind-", "part-", "turn-", "weight-", "figure-", "name-", "the-", "fate-", "told-", "change-", "first-guess-"}

// labelsAsked are those that a page asks for: itself, and each script that it loads.
func labelsAsked(t *testing.T, page string, scripts map[string]string) map[string]bool {
	t.Helper()
	asked, done := map[string]bool{}, map[string]bool{}
	add := func(text string) {
		for _, m := range asking.FindAllStringSubmatch(text, -1) {
			for _, id := range m[1:] {
				if id != "" && !slices.Contains(families, id) {
					asked[id] = true
				}
			}
		}
		for _, m := range chosen.FindAllStringSubmatch(text, -1) {
			table := regexp.MustCompile(`(?s)const ` + m[1] + ` = \{(.*?)\};`).FindStringSubmatch(text)
			if table == nil {
				t.Errorf("%s: a label is chosen from %s, which is no table of its own", page, m[1])
				continue
			}
			for _, id := range tabled.FindAllStringSubmatch(table[1], -1) {
				asked[id[1]] = true
			}
		}
	}
	text := asset(t, page)
	add(text)
	var walk func(name string)
	walk = func(name string) {
		if done[name] || strings.HasPrefix(name, "vendor/") {
			return
		}
		done[name] = true
		add(scripts[name])
		if strings.HasPrefix(name, "coach/") { // whose parts hand the names of labels on
			for _, m := range handed.FindAllStringSubmatch(scripts[name], -1) {
				if labels := words.Own().For("en").LabelsOf("page-coach"); labels[m[1]] != "" {
					asked[m[1]] = true
				}
			}
		}
		for _, other := range importsOf(name, []byte(scripts[name])) {
			walk(other)
		}
	}
	for _, m := range regexp.MustCompile(`<script type="module" src="{{assets}}/([^"]+)"`).FindAllStringSubmatch(text, -1) {
		walk(m[1])
	}
	if len(done) < 3 {
		t.Fatalf("%s loads only %v", page, done)
	}
	return asked
}

// A page says what it says by labels: each that it or its scripts ask for comes with it, in
// every language, with the names in braces that it is filled with; and none is there in vain.
func TestEveryLabelIsThere(t *testing.T) {
	scripts, needed := modules(t), map[string]map[string]bool{}
	for name := range loadAssets(words.Own()).files {
		if path.Ext(name) == ".html" {
			needed[name] = labelsAsked(t, name, scripts)
		}
	}
	braces := regexp.MustCompile(`\{[a-z]+\}`)
	english := words.Own().For("en")
	for _, language := range words.Own().Languages() {
		speaker := words.Own().For(language.Tag)
		for page, asked := range needed {
			labels := speaker.LabelsOf("page", ownLabels[page])
			for id := range asked {
				if labels[id] == "" && labels[id+".other"] == "" {
					t.Errorf("%s lacks label %q in %s", page, id, language.Tag)
				}
			}
		}
		all, want := speaker.LabelsOf(words.Pages...), english.LabelsOf(words.Pages...)
		for id, text := range all {
			like, has := want[id]
			if !has {
				like = want[id[:strings.LastIndex(id, ".")+1]+"other"] // a form that English does not have
			}
			got, want := braces.FindAllString(text, -1), braces.FindAllString(like, -1)
			slices.Sort(got)
			slices.Sort(want)
			if !slices.Equal(got, want) {
				t.Errorf("%s: %q is filled with %v, want %v", language.Tag, id, got, want)
			}
		}
		for id := range want {
			if all[id] == "" {
				t.Errorf("%s has no label %q", language.Tag, id)
			}
		}
	}
	for _, section := range words.Pages {
		for id := range english.LabelsOf(section) {
			id, _, _ = strings.Cut(id, ".")
			family := slices.ContainsFunc(families, func(f string) bool { return strings.HasPrefix(id, f) })
			used := false
			for page, asked := range needed {
				used = used || asked[id] && (section == "page" || ownLabels[page] == section)
			}
			if !used && !family {
				t.Errorf("no page asks for label %q of section %s", id, section)
			}
		}
	}
}

// No page has words of its own beside the catalogue's: what its elements hold is a label,
// and so is what they say to a screen reader.
func TestPagesHaveNoWordsOfTheirOwn(t *testing.T) {
	own := regexp.MustCompile(`<([a-z0-9]+)((?: [^>]*)?)>\s*([^<>{}]*\pL{2}[^<>{}]*)<|<[^>]*(?:aria-label|placeholder|title)="[^"]*\pL[^"]*"[^>]*>`)
	for name := range loadAssets(words.Own()).files {
		if path.Ext(name) != ".html" {
			continue
		}
		for _, m := range own.FindAllStringSubmatch(asset(t, name), -1) {
			if !strings.Contains(m[0], "data-label=") && !slices.Contains([]string{"code", "textarea"}, m[1]) && !slices.Contains([]string{"Pawl", "dB"}, strings.TrimSpace(m[3])) {
				t.Errorf("%s says %q, which no label is for", name, m[0])
			}
		}
	}
}
