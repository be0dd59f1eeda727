package oscmap

import (
	"bytes"
	"fmt"
	"os"
	"strings"
	"testing"

	"pawl/rules/desk"
)

// chapters is the order in which MAP.md shows the forms. Each names files in
// testdata/maps/forms.
var chapters = []struct {
	title string
	forms []string
}{
	{"At a glance", []string{"at-a-glance"}},
	{"Where the number of the strip stands", []string{
		"path-from-one", "path-from-zero", "path-padded", "path-offset", "path-ranges", "path-several", "path-name", "path-any",
		"argument-index", "argument-name", "argument-says-what", "one-of-a-kind",
	}},
	{"Where the value stands", []string{
		"value-argument", "value-arguments", "blob-floats", "blob-integers", "text-values", "switches", "masks", "one-of",
	}},
	{"What the value means", []string{
		"decibels", "tapers", "closed-below", "outside", "linear", "enumerations", "reduction", "meters", "minus-infinity", "everything-else",
	}},
	{"What may be sent", []string{"asks"}},
}

const manualHead = `# The address map

A map writes one desk's OSC dialect down. This page shows all that a map can say, form by form. Every map on it stands in
` + "`testdata/maps/forms`" + ` and is run by the tests against the packets below it, so what you read here is what happens. Pages made by
` + "`go test ./oscmap -run Manual -update`" + `; the addresses are invented.

In the packets, ` + "`f:-3.5`" + ` is an OSC float, ` + "`i:7`" + ` an int, ` + "`s:\"ON\"`" + ` a string, ` + "`b:int16-be:7,-3`" + ` a blob of such numbers, and
` + "`T F N I`" + ` are the tags that carry no bytes. Under each stand the readings it gives: the signal, the number of the strip from 1,
and the value in the unit of the signal, or 1 for on.
`

// TestManual holds MAP.md to the forms: each is on the page as it is tested.
func TestManual(t *testing.T) {
	var page bytes.Buffer
	page.WriteString(manualHead)
	shown := map[string]bool{}
	for i, c := range chapters {
		if i == 1 {
			writeSignals(&page)
		}
		fmt.Fprintf(&page, "\n## %s\n", c.title)
		for _, form := range c.forms {
			shown[form] = true
			writeForm(t, &page, form)
		}
	}
	entries, err := os.ReadDir(formsDir)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if form, ok := strings.CutSuffix(e.Name(), ".yaml"); ok && !shown[form] {
			t.Errorf("no chapter of MAP.md shows %s", form)
		}
	}
	if *update {
		if err := os.WriteFile("MAP.md", page.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got, err := os.ReadFile("MAP.md")
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, page.Bytes()) {
		t.Error("MAP.md is not what the forms make; read the difference, then run go test ./oscmap -run Manual -update")
	}
}

// writeSignals lists every signal from the table that the map is checked against.
func writeSignals(page *bytes.Buffer) {
	page.WriteString("\n## What can be heard\n\nA value outside the bounds is taken for the nearer one and counted as clamped. " +
		"A gain or a level may also be minus infinity.\n\n| `is:` | in | bounds | what it says |\n|---|---|---|---|\n")
	for _, s := range desk.Signals() {
		in, bounds := s.Unit(), ""
		if in == "" {
			in = s.Quantity().String()
		}
		if lo, hi := s.Range(); s.Quantity() != desk.Words && s.Quantity() != desk.Switch {
			bounds = fmt.Sprintf("%.0f to %.0f", lo, hi)
		}
		fmt.Fprintf(page, "| `%s` | %s | %s | %s |\n", s, in, bounds, s.Meaning())
	}
}

// mostPackets is how many packets of a form the page shows; the tests run all.
const mostPackets = 6

func writeForm(t *testing.T, page *bytes.Buffer, form string) {
	t.Helper()
	yaml, err := os.ReadFile(formsDir + "/" + form + ".yaml")
	if err != nil {
		t.Fatal(err)
	}
	packets, err := os.ReadFile(formsDir + "/" + form + ".txt")
	if err != nil {
		t.Fatal(err)
	}
	var prose []string
	text := string(yaml)
	for strings.HasPrefix(text, "#") {
		line, rest, _ := strings.Cut(text, "\n")
		prose, text = append(prose, strings.TrimSpace(strings.TrimPrefix(line, "#"))), rest
	}
	_, text, _ = strings.Cut(text, "\n") // the desk's name says nothing here
	fmt.Fprintf(page, "\n### %s\n\n%s\n\n```yaml\n%s\n```\n", strings.ReplaceAll(form, "-", " "),
		strings.Join(prose, "\n"), strings.TrimSpace(text))
	if some := firstPackets(string(packets), mostPackets); some != "" {
		fmt.Fprintf(page, "\n```text\n%s```\n", some)
	}
}

// firstPackets is the first few packets with what each gives.
func firstPackets(text string, most int) string {
	var out strings.Builder
	for line := range strings.Lines(text) {
		if !strings.HasPrefix(line, " ") && strings.TrimSpace(line) != "" && line[0] != '#' {
			if most--; most < 0 {
				break
			}
		}
		if strings.TrimSpace(line) != "" && line[0] != '#' {
			out.WriteString(line)
		}
	}
	return out.String()
}
