package house

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"pawl/oscmap/sheet"
	"pawl/rules"
)

// example finds the YAML in README.md: its marker, if it has one, and its text.
var example = regexp.MustCompile("(?s)(?:<!-- example: (\\w+) ?([\\w.-]*) -->\n)?```yaml\n(.*?)```")

// TestReadmeExamples loads every YAML example of README.md as a reader would.
func TestReadmeExamples(t *testing.T) {
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	found := example.FindAllStringSubmatch(string(readme), -1)
	if len(found) == 0 {
		t.Fatal("no example in README.md")
	}
	examples := Files{}
	for _, m := range found {
		if m[1] != "order" && m[1] != "record" {
			examples[m[2]] = m[3]
		}
	}
	for _, m := range found {
		kind, name, text := m[1], m[2], m[3]
		var faults sheet.Faults
		switch kind {
		case "house":
			_, faults = examples.Load(name)
		case "map", "limits":
			// A map is loaded with the house that names it; limits stand in any house.
			if kind == "limits" {
				into := houseSheet{Limits: sheet.At[rules.Limits]{V: rules.DefaultLimits()}}
				faults = sheet.Decode("limits", []byte(withLimits(text)), &into)
			}
		case "order": // of the house above it
			_, faults = Files{name: examples[name] + text, "first.map.yaml": examples["first.map.yaml"]}.Load(name)
		case "record":
			var alone struct {
				Record recordSheet `yaml:"record"`
			}
			faults = append(sheet.Decode("record", []byte(text), &alone), alone.Record.check()...)
		case "asks": // a map for listening, which daemon/listen loads
		default:
			t.Errorf("an example without a marker says nothing that a test can load:\n%s", text)
		}
		if len(faults) > 0 {
			t.Errorf("%s %s: %v", kind, name, faults)
		}
	}
	for name := range examples {
		if strings.HasSuffix(name, ".map.yaml") && !strings.Contains(string(readme), "map: "+name) {
			t.Errorf("no house in README.md names %s, so nothing has loaded it", name)
		}
	}
}

func withLimits(limits string) string {
	return "house: A hall\ndesk: {address: 192.0.2.10, map: any.yaml}\nroster: {inputs: {1: piano}}\n" + limits
}
