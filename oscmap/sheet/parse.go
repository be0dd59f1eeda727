package sheet

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"gopkg.in/yaml.v3"
)

// parse makes nodes of the bytes, or a fault and nil.
func (d *decoder) parse(src []byte) *Node {
	if !d.legible(src) {
		return nil
	}
	dec := yaml.NewDecoder(bytes.NewReader(src))
	doc, err := next(dec)
	if err == nil {
		var second yaml.Node
		if second, err = next(dec); errors.Is(err, io.EOF) {
			return &Node{d, doc.Content[0], ""}
		}
		if err == nil {
			d.wrong(d.at(second.Line, second.Column), "put everything above the line ---, or in a file of its own", "a second document begins here; want one")
			return nil
		}
	}
	if errors.Is(err, io.EOF) {
		d.wrong(d.at(1, 1), "", "the file is empty; want keys and values")
	} else {
		d.syntax(src, err)
	}
	return nil
}

// TopKeys are the keys at the top of a YAML file as they stand there, repeated ones
// too; none if it is no mapping, or not YAML. It looks at the file without judging it,
// in time and memory that grow with its size: the library's own maps compare each key
// with every other, and 130,000 times the same took 2 GB.
func TopKeys(src []byte) []string {
	doc, err := next(yaml.NewDecoder(bytes.NewReader(src)))
	if err != nil || doc.Content[0].Kind != yaml.MappingNode {
		return nil
	}
	var keys []string
	for i := 0; i < len(doc.Content[0].Content); i += 2 {
		keys = append(keys, doc.Content[0].Content[i].Value)
	}
	return keys
}

func (d *decoder) at(line, col int) Place { return Place{File: d.file, Line: line, Col: col} }

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
		d.wrong(d.at(1, 1), "is it the right file?", "the file has %d bytes; want at most %d", len(src), MaxBytes)
		return false
	}
	line, col := 1, 1
	for i := 0; i < len(src); {
		r, size := utf8.DecodeRune(src[i:])
		switch {
		case r == utf8.RuneError && size == 1:
			d.wrong(d.at(line, col), "save the file as UTF-8", "the byte %#02x is no character in UTF-8", src[i])
			return false
		case r < ' ' && r != '\t' && r != '\n' && r != '\r' || r == 0x7f:
			d.wrong(d.at(line, col), "delete it; is this a text file?", "a control character, %U", r)
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
		_, name, _ := strings.Cut(report, "'")
		name, _, _ = strings.Cut(name, "'")
		line = 1 + slices.IndexFunc(lines, func(l string) bool { return strings.Contains(l, "*"+name) })
	}
	line = max(1, min(line, len(lines)))
	if tab, col := tabbed(lines, line); tab > 0 {
		d.wrong(d.at(tab, col), "YAML is indented by spaces alone", "a tab in front of the text")
		return
	}
	text := lines[line-1]
	place := d.at(line, 1+len(text)-len(strings.TrimLeft(text, " ")))
	for _, p := range plainer {
		if strings.Contains(report, p.report) {
			d.wrong(place, p.hint, "%s", p.text)
			return
		}
	}
	d.wrong(place, "", "not YAML: %s", report)
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
