package house

import (
	"bytes"
	"fmt"
	"os"
	"reflect"
	"strings"
	"testing"

	"pawl/oscmap/sheet"
	"pawl/rules"
)

// sectionsDir has an example of each section of a house file.
const sectionsDir = "testdata/sections"

const manualHead = `# The house file

A house file says where the desk is and who is on which input. This page shows all that it can say, section by section. Every
example on it stands in ` + "`testdata/sections`" + ` and is loaded by the tests, and the tables are made of what the program itself reads a
house file by. Page made by ` + "`go test ./daemon/house -run Manual -update`" + `; the names are invented.

A star stands for a name or number that you choose, and ` + "`[]`" + ` for each item of a list. A dash in the column of defaults means none: the
key may be left out, and nothing is there, or the meaning says what is. Numbers carry their unit as the tables write it: a level without
` + "`dB`" + ` and a time without ` + "`s`, `m` or `h`" + ` are faults. ` + "`pawl check`" + ` finds whatever is wrong with a house file, with its line.
`

// TestManual holds HOUSE.md to what a house file is read by, and loads its examples.
func TestManual(t *testing.T) {
	var page bytes.Buffer
	page.WriteString(manualHead)
	examples := map[string]string{}
	sections := reflect.TypeFor[houseSheet]()
	for i := range sections.NumField() {
		name := sections.Field(i).Tag.Get("yaml")
		text, err := os.ReadFile(sectionsDir + "/" + name + ".yaml")
		if err != nil {
			t.Fatalf("no example of the section %s: %v", name, err)
		}
		examples[name] = string(text)
	}
	for i := range sections.NumField() {
		name := sections.Field(i).Tag.Get("yaml")
		loadSection(t, name, examples)
		writeSection(t, &page, name, examples[name])
	}
	if *update {
		if err := os.WriteFile("HOUSE.md", page.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got, err := os.ReadFile("HOUSE.md")
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, page.Bytes()) {
		t.Error("HOUSE.md is not what the sections make; read the difference, then run go test ./daemon/house -run Manual -update")
	}
}

// loadSection loads a house of the sections that every house has and one more.
func loadSection(t *testing.T, name string, examples map[string]string) {
	t.Helper()
	text := ""
	for _, needed := range []string{"house", "desk", "roster"} {
		text += examples[needed]
	}
	if !strings.Contains(text, examples[name]) {
		text += examples[name]
	}
	files := Files{"hall.house.yaml": text, "hall.map.yaml": strings.ReplaceAll(smallMap, "1-3", "1-5")}
	if _, faults := files.Load("hall.house.yaml"); faults.Wrong() {
		t.Errorf("the example of %s: %v", name, faults)
	}
}

func writeSection(t *testing.T, page *bytes.Buffer, name, example string) {
	t.Helper()
	var prose []string
	for strings.HasPrefix(example, "#") {
		line, rest, _ := strings.Cut(example, "\n")
		prose, example = append(prose, strings.TrimSpace(strings.TrimPrefix(line, "#"))), rest
	}
	fmt.Fprintf(page, "\n## %s\n\n%s\n\n```yaml\n%s\n```\n\n", name, strings.Join(prose, "\n"), strings.TrimSpace(example))
	if name == "limits" {
		writeLimits(page)
		return
	}
	page.WriteString("| key | what stands there | default | what it means |\n|---|---|---|---|\n")
	for _, k := range sheet.Keys(defaultSheet()) {
		if k.Path != name && !strings.HasPrefix(k.Path, name+".") && !strings.HasPrefix(k.Path, name+"[") {
			continue
		}
		if k.Doc == "" {
			t.Errorf("the key %s says nothing about itself", k.Path)
		}
		if key := k.Path[strings.LastIndex(k.Path, ".")+1:]; !strings.Contains(example, key+":") {
			t.Errorf("the example of %s does not show %s", name, k.Path)
		}
		fmt.Fprintf(page, "| `%s` | %s | %s | %s |\n", k.Path, k.Want, defaultOf(k), k.Doc)
	}
}

// defaultOf is what is in force where a key is not written.
func defaultOf(k sheet.Key) string {
	switch {
	case k.Required:
		return "required"
	case k.Want == "yes or no" && !strings.Contains(k.Doc, "left out"):
		return "no"
	}
	if v := reflect.ValueOf(k.Value); v.Kind() == reflect.String && v.String() != "" {
		return "`" + v.String() + "`"
	}
	return "–"
}

// writeLimits writes the table of limits, with where each default comes from.
func writeLimits(page *bytes.Buffer) {
	section := ""
	for _, r := range rules.DefaultLimits().Table() {
		if r.Section != section {
			if section != "" {
				page.WriteString("\n")
			}
			section = r.Section
			fmt.Fprintf(page, "### limits.%s\n\n%s\n\n| key | default | what it limits | where the default comes from |\n|---|---|---|---|\n",
				section, rules.SectionDoc(section))
		}
		fmt.Fprintf(page, "| `%s` | `%s` | %s | %s |\n", r.Name, r.Default, r.Doc, r.From)
	}
}
