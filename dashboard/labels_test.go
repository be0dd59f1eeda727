package dashboard

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"pawl/rules/words"
)

// A page says what it says by labels: each that is asked for is in the catalogue, with the
// names in braces that it is filled with, in every language; and none is there in vain.
func TestEveryLabelIsThere(t *testing.T) {
	asked := map[string]bool{}
	asking := regexp.MustCompile(`label\("([a-z-]+)"|named\("([a-z-]+)"|around\("([a-z-]+)"|data-label="([a-z-]+)"|label\(\S+ (?:=== \S+ )?\? "([a-z-]+)" : "([a-z-]+)"\)`)
	families := []string{"element-", "segment-", "link-", "kind-", "fate-", "weight-", "told-", "change-"} // of which the page asks for one by what it shows
	files := modules(t)
	for _, name := range []string{"index.html", "setup.html", "coach.html"} {
		files[name] = asset(t, name)
	}
	coached := map[string]bool{} // by the coach's page alone
	quoted := regexp.MustCompile(`"([a-z-]+)"`)
	for name, text := range files {
		asked := asked
		if strings.HasPrefix(name, "coach") {
			asked = coached
			for _, m := range quoted.FindAllStringSubmatch(text, -1) { // it gives some names on
				if _, is := words.Own().For("en").CoachLabels()[m[1]]; is {
					asked[m[1]] = true
				}
			}
		}
		for _, m := range asking.FindAllStringSubmatch(text, -1) {
			for _, id := range m[1:] {
				if id != "" && !slices.Contains(families, id) {
					asked[id] = true
				}
			}
		}
	}
	braces := regexp.MustCompile(`\{[a-z]+\}`)
	english := words.Own().For("en").CoachLabels()
	for _, language := range words.Own().Languages() {
		labels, all := words.Own().For(language.Tag).Labels(), words.Own().For(language.Tag).CoachLabels()
		for id := range asked {
			if labels[id] == "" {
				t.Errorf("%s has no label %q", language.Tag, id)
			}
		}
		for id := range coached {
			if all[id] == "" {
				t.Errorf("%s has no label %q for the coach", language.Tag, id)
			}
		}
		for id, text := range all {
			got, want := braces.FindAllString(text, -1), braces.FindAllString(english[id], -1)
			slices.Sort(got)
			slices.Sort(want)
			if !slices.Equal(got, want) {
				t.Errorf("%s: %q is filled with %v, want %v", language.Tag, id, got, want)
			}
		}
		if len(all) != len(english) {
			t.Errorf("%s has %d labels, want the %d of English", language.Tag, len(all), len(english))
		}
	}
	for id := range english {
		family := slices.ContainsFunc(families, func(f string) bool { return strings.HasPrefix(id, f) })
		if !asked[id] && !coached[id] && !family {
			t.Errorf("no page asks for label %q", id)
		}
	}
}
