package sheet_test

import (
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"
	"time"

	"pawl/oscmap/sheet"
	"pawl/rules/desk"
)

// hall is a settings file with one field of each sort.
type hall struct {
	Name   sheet.At[string]                    `yaml:"name" jsonschema:"required"`
	Seats  int                                 `yaml:"seats" jsonschema:"minimum=1,maximum=500"`
	Open   bool                                `yaml:"open"`
	Slope  float64                             `yaml:"slope"`
	Limit  desk.DB                             `yaml:"limit"`
	Gate   sheet.At[desk.DBFS]                 `yaml:"gate"`
	Hold   time.Duration                       `yaml:"hold"`
	Part   share                               `yaml:"part"`
	Loud   loudness                            `yaml:"loud"`
	Side   side                                `yaml:"side"`
	Kind   kind                                `yaml:"kind"`
	Days   sheet.Some[string]                  `yaml:"days"`
	Stalls []stall                             `yaml:"stalls"`
	Rows   sheet.Map[int, stall]               `yaml:"rows"`
	Notes  sheet.Map[string, sheet.At[string]] `yaml:"notes"`
	Extra  *stall                              `yaml:"extra"`
	Range  span                                `yaml:"range"`
	common
}

type common struct {
	Version int `yaml:"version"`
}

type stall struct {
	sheet.Place
	Title string `yaml:"title" sheet:"short" jsonschema:"required"`
	Size  int    `yaml:"size"`
}

type loudness float64

func (loudness) Unit() string { return "dB(A)" }

type share float64

func (share) Unit() string { return "%" }

type side uint8

func (side) Words() []string { return []string{"", "left", "right", "middle"} }

type kind string

func (kind) Words() []string { return []string{"stage", "pit"} }

// span is written "3-7".
type span struct{ lo, hi int }

func (s *span) FromSheet(n *sheet.Node) {
	if _, err := fmt.Sscanf(n.Text(), "%d-%d", &s.lo, &s.hi); err != nil {
		n.Wrong("write it as 3-7", "found %s; want a range", n.Found())
	}
}

func (span) Forms() []any { return []any{sheet.Pattern(`^[0-9]+-[0-9]+`)} }

func TestDecodeFillsEverySortOfField(t *testing.T) {
	got := hall{Seats: 12, Hold: time.Second}
	faults := sheet.Decode("hall.yaml", []byte(`
name: Harbour Hall
open: yes
slope: 1.5
limit: 3 dB
gate: -50 dBFS
hold: 1m30s
part: 80 %
loud: 95 dB(A)
side: right
kind: pit
days: sunday
stalls:
  - harp
  - {title: horn, size: 2}
rows:
  1: front
  2: {title: back}
notes: {b: second, a: first}
extra: organ
range: 3-7
version: 2
`), &got)
	if faults != nil {
		t.Fatalf("faults: %v", faults)
	}
	at := func(line, col int, path string) sheet.Place {
		return sheet.Place{File: "hall.yaml", Line: line, Col: col, Path: path}
	}
	want := hall{
		Name: sheet.At[string]{V: "Harbour Hall", Place: at(2, 7, "name")}, Seats: 12, Open: true, Slope: 1.5, Limit: 3,
		Gate: sheet.At[desk.DBFS]{V: -50, Place: at(6, 7, "gate")}, Hold: 90 * time.Second, Part: 0.8, Loud: 95,
		Side: 2, Kind: "pit", Days: sheet.Some[string]{"sunday"},
		Stalls: []stall{{at(14, 5, "stalls[0]"), "harp", 0}, {at(15, 5, "stalls[1]"), "horn", 2}},
		Rows: sheet.Map[int, stall]{
			{Key: 1, Place: at(17, 3, "rows.1"), Value: stall{at(17, 6, "rows.1"), "front", 0}},
			{Key: 2, Place: at(18, 3, "rows.2"), Value: stall{at(18, 6, "rows.2"), "back", 0}},
		},
		Notes: sheet.Map[string, sheet.At[string]]{
			{Key: "b", Place: at(19, 9, "notes.b"), Value: sheet.At[string]{V: "second", Place: at(19, 12, "notes.b")}},
			{Key: "a", Place: at(19, 20, "notes.a"), Value: sheet.At[string]{V: "first", Place: at(19, 23, "notes.a")}},
		},
		Extra: &stall{at(20, 8, "extra"), "organ", 0}, Range: span{3, 7},
		common: common{Version: 2},
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got  %+v\nwant %+v", got, want)
	}
}

func TestAListServesAsAMapByNumber(t *testing.T) {
	var got hall
	if f := sheet.Decode("f", []byte("name: x\nrows: [front, back]"), &got); f != nil {
		t.Fatal(f)
	}
	if len(got.Rows) != 2 || got.Rows[1].Key != 2 || got.Rows[1].Value.Title != "back" {
		t.Errorf("got %+v, want back as row 2", got.Rows)
	}
}

func TestMinusInfinityIsADecibel(t *testing.T) {
	var got hall
	if f := sheet.Decode("f", []byte("name: x\nlimit: -inf dB"), &got); f != nil || !math.IsInf(float64(got.Limit), -1) {
		t.Errorf("got %v %v, want -inf", got.Limit, f)
	}
}

func TestDecodeFaults(t *testing.T) {
	tests := []struct{ name, src, want string }{
		{"empty", "", `f:1:1: the file is empty; want keys and values`},
		{"only a comment", "# nothing\n", `f:1:1: the file is empty; want keys and values`},
		{"not UTF-8", "name: a\nseats: \xff", "f:2:8: the byte 0xff is no character in UTF-8\n    save the file as UTF-8"},
		{"control character", "name: a\x00", "f:1:8: a control character, U+0000\n    delete it; is this a text file?"},
		{"too large", "#" + strings.Repeat("x", sheet.MaxBytes), "f:1:1: the file has 1048577 bytes; want at most 1048576\n    is it the right file?"},
		{"a list", "- a", "f:1:1: found a list; want keys and values\n    the keys here are " + keys},
		{"two documents", "name: a\n---\nname: b", "f:2:1: a second document begins here; want one\n    put everything above the line ---, or in a file of its own"},
		{"tab", "name: a\nextra:\n\ttitle: b", "f:3:1: a tab in front of the text\n    YAML is indented by spaces alone"},
		{"syntax", "name: a: b", "f:1:1: a \": \" where no value can begin\n    keys of one block stand exactly under each other; text that holds \": \" wants quotes"},
		{"open list", "name: a\ndays: [a, b\nopen: yes", "f:2:1: a list in [ ] that is not closed, or lacks a comma"},
		{"unknown alias", "name: *a", "f:1:1: an alias (*) to something that is nowhere named\n    write the value out; text that begins with * wants quotes"},
		{"anchor and alias", "name: &a x\nkind: *a", "f:1:7: name: an anchor, &a\n    leave it out; text that begins with & wants quotes\nf:2:7: kind: an alias, *a\n    write the value out; text that begins with * wants quotes"},
		{"tag", "name: !!str x", "f:1:7: name: a tag, !!str\n    leave it out; text that begins with ! wants quotes"},
		{"key written twice", "name: a\nname: b", "f:2:1: name: written twice; the first is on line 1\n    keep one of the two"},
		{"key that is a list", "name: a\n? [b]\n: c", "f:2:3: a key that is a list or a mapping; want a word"},
		{"unknown key", "name: a\nseets: 3", "f:2:1: unknown key \"seets\"\n    did you mean \"seats\"?"},
		{"unknown key far from all", "name: a\nplumbing: 3", "f:2:1: unknown key \"plumbing\"\n    the keys here are " + keys},
		{"unknown key inside", "name: a\nstalls:\n  - titel: b", "f:3:5: stalls[0]: the key \"title\" is missing; want text\nf:3:5: stalls[0]: unknown key \"titel\"\n    did you mean \"title\"?"},
		{"missing key", "seats: 3", `f:1:1: the key "name" is missing; want text`},
		{"nothing written", "name:", `f:1:6: name: nothing is written here; want text`},
		{"bool for text", "name: true", "f:1:7: name: found true, which is a yes or no; want text\n    if the word is meant, quote it"},
		{"list for text", "name: [a]", `f:1:7: name: found a list; want text`},
		{"text for a list", "name: a\nstalls: harp", "f:2:9: stalls: found \"harp\"; want a list\n    begin each item with \"- \", or write [a, b]"},
		{"text for a number", "name: a\nseats: many", `f:2:8: seats: found "many"; want a whole number`},
		{"quoted number", "name: a\nseats: '3'", "f:2:8: seats: found \"3\" as text; want a whole number\n    leave out the quotation marks"},
		{"leading zero", "name: a\nseats: 010", "f:2:8: seats: found \"010\"; want a whole number\n    leave out the zero in front"},
		{"number too large", "name: a\nseats: 501", `f:2:8: seats: found 501; want 1 to 500`},
		{"huge number", "name: a\nseats: 99999999999999999999", `f:2:8: seats: found "99999999999999999999"; want a whole number`},
		{"not a number", "name: a\nslope: .nan", `f:2:8: slope: found ".nan"; want a number`},
		{"bare decibels", "name: a\nlimit: 3", "f:2:8: limit: found \"3\"; want decibels, such as \"3 dB\"\n    write the unit too: \"3 dB\" if that is meant"},
		{"other unit", "name: a\ngate: -50 dB", "f:2:7: gate: found \"-50 dB\"; want a level, such as \"-50 dBFS\"\n    did you mean \"-50 dBFS\"?"},
		{"bare time", "name: a\nhold: 45", "f:2:7: hold: found \"45\"; want a time, such as \"45s\" or \"3m\"\n    write the unit too: \"45s\" if seconds are meant"},
		{"spaced time", "name: a\nhold: 45 s", "f:2:7: hold: found \"45 s\"; want a time, such as \"45s\" or \"3m\"\n    did you mean \"45s\"?"},
		{"endless time", "name: a\nhold: 99999999999h", `f:2:7: hold: found "99999999999h"; want a time, such as "45s" or "3m"`},
		{"bare share", "name: a\npart: 0.8", "f:2:7: part: found \"0.8\"; want a share, such as \"80 %\"\n    write the unit too: \"0.8 %\" if that is meant"},
		{"own unit", "name: a\nloud: 95", "f:2:7: loud: found \"95\"; want a number with its unit, such as \"6 dB(A)\"\n    write the unit too: \"95 dB(A)\" if that is meant"},
		{"unknown word", "name: a\nside: rihgt", "f:2:7: side: unknown word \"rihgt\"; want left, right or middle\n    did you mean \"right\"?"},
		{"own form", "name: a\nrange: x", "f:2:8: range: found \"x\"; want a range\n    write it as 3-7"},
		{"several, sorted", "limit: 3 dBFS\nseats: x\nnme: a", "f:1:1: the key \"name\" is missing; want text\n" +
			"f:1:8: limit: found \"3 dBFS\"; want decibels, such as \"3 dB\"\n    did you mean \"3 dB\"?\n" +
			"f:2:8: seats: found \"x\"; want a whole number\n" +
			"f:3:1: unknown key \"nme\"\n    did you mean \"name\"?"},
		{"deep", "name: " + strings.Repeat("[", 80) + strings.Repeat("]", 80), ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := sheet.Decode("f", []byte(tt.src), new(hall))
			if tt.want == "" && got.Wrong() {
				return
			}
			if got.Error() != tt.want {
				t.Errorf("got\n%v\nwant\n%v", got, tt.want)
			}
		})
	}
}

func TestFaultsAreCountedBeyondWhatAnyoneReads(t *testing.T) {
	got := sheet.Decode("f", []byte("name: a\nstalls:\n"+strings.Repeat("  - {size: x, title: y}\n", 300)), new(hall))
	if len(got) != 201 || got[200].Text != "and 100 more faults" || got[200].Line != 202 {
		t.Errorf("got %d faults, the last %v", len(got), got[len(got)-1])
	}
}

const keys = "name, seats, open, slope, limit, gate, hold, part, loud, side, kind, days, stalls, rows, notes, extra, range or version"

func FuzzDecode(f *testing.F) {
	for _, s := range []string{"name: a", "rows: [a, {title: b}]", "a: &a [*a, *a]", "? {}\n: []", "- \t- x", "name: \"\\xff", "<<: *a", "{[}", "a: |\n\tb"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, src []byte) {
		for _, fault := range sheet.Decode("f", src, new(hall)) {
			if fault.Line < 1 || fault.Col < 1 || fault.Text == "" || fault.Line > breaks(src)+2 {
				t.Errorf("%q: a fault without a place in the file: %#v", src, fault)
			}
		}
	})
}

// breaks counts what YAML takes for the end of a line.
func breaks(src []byte) int {
	n := 0
	for _, r := range string(src) {
		if strings.ContainsRune("\n\r\u0085\u2028\u2029", r) {
			n++
		}
	}
	return n
}
