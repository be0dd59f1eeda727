package sheet_test

import (
	"fmt"
	"strings"
	"testing"

	"pawl/oscmap/sheet"
)

// TestKeys: every key, in order, those of chosen keys and of lists too, and the defaults
// of what stands once.
func TestKeys(t *testing.T) {
	type row struct {
		Title sheet.At[string] `yaml:"title" jsonschema:"required" doc:"What stands on the door."`
		Days  sheet.Some[string]
	}
	type file struct {
		Seats sheet.At[int] `yaml:"seats" doc:"How many."`
		Stage struct {
			Side side `yaml:"side"`
		} `yaml:"stage"`
		Rows  sheet.Map[int, row] `yaml:"rows"`
		Parts []row               `yaml:"parts"`
		Extra *row                `yaml:"extra"`
	}
	var got []string
	for _, k := range sheet.Keys(file{Seats: sheet.At[int]{V: 80}}) {
		line := fmt.Sprintf("%s (%s) %v %q", k.Path, k.Want, k.Required, k.Doc)
		if k.Value == 80 {
			line += " 80"
		}
		got = append(got, line)
	}
	want := []string{
		`seats (a whole number) false "How many." 80`,
		`stage (keys and values) false ""`,
		`stage.side (left, right or middle) false ""`,
		`rows (numbers as keys, or a list) false ""`,
		`rows.*.title (text) true "What stands on the door."`,
		`parts (a list) false ""`,
		`parts[].title (text) true "What stands on the door."`,
		`extra (keys and values) false ""`,
		`extra.title (text) true "What stands on the door."`,
	}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}
