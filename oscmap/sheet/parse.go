package sheet

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"

	"gopkg.in/yaml.v3"
)

// parse makes nodes of the bytes, or a fault and nil.
func (d *decoder) parse(src []byte) *yaml.Node {
	if !d.legible(src) {
		return nil
	}
	dec := yaml.NewDecoder(bytes.NewReader(src))
	doc, err := next(dec)
	switch {
	case errors.Is(err, io.EOF):
		d.at(1, 1).wrong("", "the file is empty; want keys and values")
		return nil
	case err != nil:
		d.syntax(src, err)
		return nil
	}
	second, err := next(dec)
	switch {
	case errors.Is(err, io.EOF):
		return doc.Content[0]
	case err != nil:
		d.syntax(src, err)
	default:
		d.at(second.Line, second.Column).wrong("put everything above the line ---, or in a file of its own", "a second document begins here; want one")
	}
	return nil
}

// next reads one document. The parser is not ours, and a file that a person
// wrote must never end the daemon: should it panic, that is a fault as well.
func next(dec *yaml.Decoder) (doc yaml.Node, err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("yaml: %v", r)
		}
	}()
	err = dec.Decode(&doc)
	if err == nil && len(doc.Content) == 0 {
		err = io.EOF
	}
	return doc, err
}

// legible checks what can be said of the bytes before they are parsed.
func (d *decoder) legible(src []byte) bool {
	if len(src) > MaxBytes {
		d.at(1, 1).wrong("is it the right file?", "the file has %d bytes; want at most %d", len(src), MaxBytes)
		return false
	}
	line, col := 1, 1
	for i := 0; i < len(src); {
		r, size := utf8.DecodeRune(src[i:])
		switch {
		case r == utf8.RuneError && size == 1:
			d.at(line, col).wrong("save the file as UTF-8", "the byte %#02x is no character in UTF-8", src[i])
			return false
		case r < ' ' && r != '\t' && r != '\n' && r != '\r' || r == 0x7f:
			d.at(line, col).wrong("delete it; is this a text file?", "a control character, %U", r)
			return false
		}
		col++
		if r == '\n' {
			line, col = line+1, 1
		}
		i += size
	}
	return true
}

var lineOf = regexp.MustCompile(`line (\d+): `)

// plainer says in other words what the parser reports in those of its own
// grammar. The first that is contained in the report serves.
var plainer = []struct{ report, text, hint string }{
	{"mapping values are not allowed", "a \": \" where no value can begin",
		"keys of one block stand exactly under each other; text that holds \": \" wants quotes"},
	{"cannot start any token", "a character that cannot begin a value", "text that begins with @, ` or % wants quotes"},
	{"did not find expected ',' or ']'", "a list in [ ] that is not closed, or lacks a comma", ""},
	{"did not find expected ',' or '}'", "keys in { } that are not closed, or lack a comma",
		"an address with { } of its own inside them wants quotes: \"/in/{input}/fader\""},
	{"did not find expected key", "a line that fits no block above it", "keys of one block stand exactly under each other"},
	{"did not find expected '-' indicator", "a line that fits no list above it", "items of one list stand exactly under each other"},
	{"could not find expected ':'", "a line without a \":\"", "every line is a key with a value, or an item of a list"},
	{"unexpected end of stream", "a quotation mark that is not closed", ""},
	{"unknown anchor", "an alias (*) to something that is nowhere named", "write the value out; text that begins with * wants quotes"},
}

// syntax reports what the parser stumbled over. It gives a line, and not always
// that; the column is where the text of the line begins.
func (d *decoder) syntax(src []byte, err error) {
	lines := strings.Split(string(src), "\n")
	report, line := strings.TrimPrefix(err.Error(), "yaml: "), 1
	if m := lineOf.FindStringSubmatch(report); m != nil {
		line, _ = strconv.Atoi(m[1])
		report = strings.Replace(report, m[0], "", 1)
		if strings.HasPrefix(report, "did not find expected") {
			line++ // the parser counts lines from 0 in these, from 1 in the scanner's
		}
	}
	if strings.HasPrefix(report, "unknown anchor") {
		line = lineHolding(lines, anchorIn(report))
	}
	line = max(1, min(line, len(lines)))
	if tab, col := tabbed(lines, line); tab > 0 {
		d.at(tab, col).wrong("YAML is indented by spaces alone", "a tab in front of the text")
		return
	}
	text := lines[line-1]
	spot := d.at(line, 1+len(text)-len(strings.TrimLeft(text, " ")))
	for _, p := range plainer {
		if strings.Contains(report, p.report) {
			spot.wrong(p.hint, "%s", p.text)
			return
		}
	}
	spot.wrong("", "not YAML: %s", report)
}

// tabbed finds a line at or just before the given one that is indented by a tab.
func tabbed(lines []string, near int) (line, col int) {
	for i := min(near+1, len(lines)); i >= max(1, near-1); i-- {
		text := lines[i-1]
		indent := text[:len(text)-len(strings.TrimLeft(text, " \t"))]
		if t := strings.IndexByte(indent, '\t'); t >= 0 {
			return i, t + 1
		}
	}
	return 0, 0
}

func anchorIn(report string) string {
	if _, rest, ok := strings.Cut(report, "'"); ok {
		name, _, _ := strings.Cut(rest, "'")
		return "*" + name
	}
	return "*"
}

func lineHolding(lines []string, text string) int {
	for i, l := range lines {
		if strings.Contains(l, text) {
			return i + 1
		}
	}
	return 1
}
