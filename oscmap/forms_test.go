package oscmap

import (
	"bytes"
	"encoding/binary"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"pawl/oscmap/wire"
	"pawl/rules/desk"
)

var update = flag.Bool("update", false, "write what was heard into the .txt files beside the maps")

const formsDir = "../testdata/maps/forms"

// TestForms runs each worked example: a map, and beside it messages with the
// readings that they must give.
func TestForms(t *testing.T) {
	maps, err := filepath.Glob(formsDir + "/*.yaml")
	if err != nil || len(maps) < 20 {
		t.Fatalf("the examples are missing: %v, %d files", err, len(maps))
	}
	for _, file := range maps {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".yaml"), func(t *testing.T) {
			m, advice := loadAdvised(t, file)
			textFile := strings.TrimSuffix(file, ".yaml") + ".txt"
			want, err := os.ReadFile(textFile)
			if err != nil {
				t.Fatal(err)
			}
			got := transcript(t, m, string(want)) + advice
			if *update {
				if err := os.WriteFile(textFile, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
			} else if got != string(want) {
				t.Errorf("got\n%s\nwant\n%s", got, want)
			}
		})
	}
}

// loadFile loads a map that must be right. A comment "# roster: a, b" gives it
// a roster.
func loadFile(t testing.TB, file string) *Map {
	t.Helper()
	m, _ := loadAdvised(t, file)
	return m
}

// loadAdvised also gives what is advised of the map, a line each without its place.
func loadAdvised(t testing.TB, file string) (m *Map, advice string) {
	t.Helper()
	src, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	m, faults := Load(file, src, rosterIn(string(src)))
	if faults.Wrong() {
		t.Fatalf("load: %v", faults)
	}
	for _, f := range faults {
		advice += fmt.Sprintf("advice on line %d: %s\n", f.Line, f.Text)
	}
	return m, advice
}

func rosterIn(src string) *desk.Roster {
	for line := range strings.Lines(src) {
		if names, ok := strings.CutPrefix(line, "# roster:"); ok {
			r := &desk.Roster{}
			for name := range strings.SplitSeq(names, ",") {
				r.Inputs = append(r.Inputs, desk.Input{Name: strings.TrimSpace(name)})
			}
			return r
		}
	}
	return nil
}

// transcript says each message of a text and writes what was heard below it,
// then the asks. Lines that were heard before are dropped.
func transcript(t *testing.T, m *Map, text string) string {
	var out strings.Builder
	h := m.NewHearer()
	for line := range strings.Lines(text) {
		line = strings.TrimRight(line, "\n")
		if !strings.HasPrefix(line, "/") {
			continue
		}
		before := h.Counts()
		readings := h.Hear(nil, 0, said(t, line))
		out.WriteString(line + "\n")
		for _, r := range readings {
			fmt.Fprintf(&out, "    %s\n", inWords(r))
		}
		out.WriteString(counted(before, h.Counts()))
	}
	for _, a := range m.Asks() {
		fmt.Fprintf(&out, "ask %s, connect %v, return %v, every %v, after silence %v\n", a, a.OnConnect, a.OnReturn, a.Every, a.AfterSilence)
	}
	return out.String()
}

func inWords(r desk.Reading) string {
	s := r.Signal.String()
	if r.Signal.Of().Indexed() {
		s += " " + strconv.Itoa(r.Index+1)
	}
	if r.Signal == desk.InputDCA || r.Signal == desk.InputGroup {
		s += " to " + strconv.Itoa(r.To+1)
	}
	if r.Post {
		s += " post-fader"
	}
	if r.Signal.Quantity() == desk.Words {
		return s + " = " + strconv.Quote(r.Text)
	}
	return s + " = " + strconv.FormatFloat(math.Round(r.Value*1e4)/1e4+0, 'f', -1, 64)
}

func counted(before, after Counts) string {
	var out strings.Builder
	if after.Unmapped > before.Unmapped {
		out.WriteString("    no signal hears it\n")
	}
	for _, s := range desk.Signals() {
		if n := after.Clamped[s] - before.Clamped[s]; n > 0 {
			fmt.Fprintf(&out, "    %d clamped of %s\n", n, s)
		}
		if n := after.Refused[s] - before.Refused[s]; n > 0 {
			fmt.Fprintf(&out, "    %d refused of %s\n", n, s)
		}
	}
	return out.String()
}

// said makes the message of a line such as `/in/1 f:0.5 s:"on" T b:int8:1,2`.
func said(t testing.TB, line string) *wire.Message {
	t.Helper()
	address, rest, _ := strings.Cut(line, " ")
	var args []any
	for rest != "" {
		var word string
		if i := strings.Index(rest, `:"`); i == 1 {
			quoted, err := strconv.QuotedPrefix(rest[2:])
			if err != nil {
				t.Fatalf("%s: %v", line, err)
			}
			word, rest = rest[:2]+quoted, rest[2+len(quoted):]
			rest = strings.TrimPrefix(rest, " ")
		} else {
			word, rest, _ = strings.Cut(rest, " ")
		}
		args = append(args, argument(t, word))
	}
	return message(t, address, args...)
}

// message makes a message by way of its bytes.
func message(t testing.TB, address string, args ...any) *wire.Message {
	t.Helper()
	packet, err := wire.AppendMessage(nil, address, args...)
	if err != nil {
		t.Fatal(err)
	}
	var r wire.Reader
	r.Reset(packet)
	if !r.Next() {
		t.Fatalf("%s %v: %v", address, args, r.Err())
	}
	return r.Message()
}

func argument(t testing.TB, word string) any {
	t.Helper()
	kind, text, _ := strings.Cut(word, ":")
	switch kind {
	case "T", "F":
		return kind == "T"
	case "N":
		return nil
	case "s", "S":
		s, err := strconv.Unquote(text)
		if err != nil {
			t.Fatalf("%s: %v", word, err)
		}
		if kind == "S" {
			return wire.Symbol(s)
		}
		return s
	case "b":
		return blobOf(t, text)
	}
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatalf("%s: %v", word, err)
	}
	switch kind {
	case "f":
		return float32(x)
	case "d":
		return x
	case "h":
		return int64(x)
	case "i":
		return int32(x)
	}
	t.Fatalf("%s: no such argument", word)
	return nil
}

// blobOf makes a blob of "layout:number,number;layout:…".
func blobOf(t testing.TB, text string) []byte {
	t.Helper()
	blob := []byte{}
	for run := range strings.SplitSeq(text, ";") {
		name, numbers, _ := strings.Cut(run, ":")
		for n := range strings.SplitSeq(numbers, ",") {
			if n == "" {
				continue
			}
			x, err := strconv.ParseFloat(n, 64)
			if err != nil {
				t.Fatalf("%s: %v", text, err)
			}
			blob = appendAs(t, blob, name, x)
		}
	}
	return blob
}

func appendAs(t testing.TB, b []byte, name string, x float64) []byte {
	t.Helper()
	kind, order, _ := strings.Cut(name, "-")
	var endian interface {
		binary.ByteOrder
		binary.AppendByteOrder
	} = binary.LittleEndian
	if order == "be" {
		endian = binary.BigEndian
	}
	switch kind {
	case "int8":
		return append(b, byte(int8(x)))
	case "uint8":
		return append(b, byte(x))
	case "int16":
		return endian.AppendUint16(b, uint16(int16(x)))
	case "uint16":
		return endian.AppendUint16(b, uint16(x))
	case "int32":
		return endian.AppendUint32(b, uint32(int32(x)))
	case "uint32":
		return endian.AppendUint32(b, uint32(x))
	case "float32":
		return endian.AppendUint32(b, math.Float32bits(float32(x)))
	case "float64":
		return endian.AppendUint64(b, math.Float64bits(x))
	}
	t.Fatalf("no layout %q", name)
	return nil
}

func TestEverySignalHasAWorkedExample(t *testing.T) {
	missing := map[desk.Signal]bool{}
	for _, s := range desk.Signals() {
		missing[s] = true
	}
	texts, err := filepath.Glob(formsDir + "/*.txt")
	if err != nil {
		t.Fatal(err)
	}
	for _, file := range texts {
		src, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for s := range missing {
			if bytes.Contains(src, []byte("    "+s.String()+" ")) {
				delete(missing, s)
			}
		}
	}
	for s := range missing {
		t.Errorf("no example hears %s", s)
	}
}
