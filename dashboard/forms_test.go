package dashboard

import (
	"bytes"
	"encoding"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"pawl/daemon/review"
	"pawl/daemon/timeline"
	"pawl/rules"
	"pawl/rules/desk"
)

var update = flag.Bool("update", false, "write the schema and the page's types anew, from the Go types")

// What the server says and hears is written down once, in Go: the schema and the
// page's types are made from that, and this test holds them to it.
func TestFormsAreMadeFromTheGoTypes(t *testing.T) {
	forms := newForms(t)
	for name, text := range map[string][]byte{"frames.schema.json": forms.schema(), "web/frames.js": forms.script()} {
		if *update {
			if err := os.WriteFile(name, text, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		if had, err := os.ReadFile(name); err != nil || !bytes.Equal(had, text) {
			t.Errorf("%s is not what the Go types say; run go test ./dashboard -run TestForms -update (%v)", name, err)
		}
	}
}

// entries are all that may happen, each with its word.
var entries = map[rules.EntryKind]rules.Entry{
	rules.FindingEntry: &rules.Finding{}, rules.MoveEntry: &rules.Moved{}, rules.MarkEntry: &rules.Marked{},
	rules.SegmentEntry: &rules.Parted{}, rules.PressEntry: &rules.Pressed{}, rules.SecondEntry: &rules.Second{},
	rules.LinkEntry: &rules.Linked{}, rules.HouseEntry: &rules.Housed{}, rules.LineEntry: &rules.LineChecked{},
}

// form is how a value leaves: what the schema and what the page call it.
type form struct {
	schema map[string]any
	script string
}

// record is an object, with its properties in order, or one of several records.
type record struct {
	name, doc string
	fields    []property
	either    []form
}

type property struct {
	form
	name, doc string
	optional  bool
}

type forms struct {
	t       *testing.T
	docs    docs
	records []*record
	made    map[reflect.Type]bool
}

func newForms(t *testing.T) *forms {
	f := &forms{t: t, docs: readDocs(t), made: map[reflect.Type]bool{}}
	for _, root := range []any{
		frame{}, answer{}, rules.Press{}, setupAnswer{}, lineAnswer{}, linePress{}, firstAnswer{}, FirstPress{}, firstPressed{}, pairPress{}, paired{}, keysAnswer{}, keysPress{}, keysPressed{},
		reviewList{}, reviewOne{}, timeline.Weeks{}, timeline.Curves{}, timeline.Edit{}, Compared{},
	} {
		f.of(reflect.TypeOf(root))
	}
	return f
}

var (
	number   = form{map[string]any{"type": "number"}, "number"}
	decibels = form{map[string]any{"type": []string{"number", "null"}}, "number|null"}
)

// own are the types that write themselves, as their MarshalJSON says. A dashboard.Strip
// writes itself as another type.
var own = map[reflect.Type]form{
	reflect.TypeFor[desk.DB]():       decibels,
	reflect.TypeFor[desk.DBFS]():     decibels,
	reflect.TypeFor[rules.Moment]():  number,
	reflect.TypeFor[time.Time]():     {map[string]any{"type": "string", "format": "date-time"}, "string"},
	reflect.TypeFor[timeline.Line](): {map[string]any{"type": "array", "items": decibels.schema}, "Array<number|null>"},
	reflect.TypeFor[rules.Figures](): {map[string]any{"type": "object", "additionalProperties": false,
		"patternProperties": map[string]any{"_(db|dbfs|seconds|count)$": decibels.schema}}, "Record<string, number|null>"},
}

// of finds the form of a type, making its record if it is one.
func (f *forms) of(t reflect.Type) form {
	if known, ok := own[t]; ok {
		return known
	}
	switch {
	case t == reflect.TypeFor[rules.Entry](), t.Kind() == reflect.Struct && t != reflect.TypeFor[Strip]():
		return f.record(t)
	case t == reflect.TypeFor[Strip]():
		return f.record(reflect.TypeFor[stripJSON]())
	case t.Kind() == reflect.Pointer:
		to := f.of(t.Elem())
		return form{map[string]any{"oneOf": []any{map[string]any{"type": "null"}, to.schema}}, to.script + "|null"}
	}
	if words := f.wordsOf(t); words != nil {
		return oneOf(words)
	}
	if t.Implements(reflect.TypeFor[json.Marshaler]()) || t.Implements(reflect.TypeFor[encoding.TextMarshaler]()) {
		f.t.Errorf("%v writes itself, and nobody says how", t)
	}
	switch t.Kind() {
	case reflect.String:
		return form{map[string]any{"type": "string"}, "string"}
	case reflect.Bool:
		return form{map[string]any{"type": "boolean"}, "boolean"}
	case reflect.Float64:
		return number
	case reflect.Int, reflect.Int64:
		return form{map[string]any{"type": "integer"}, "number"}
	case reflect.Uint64:
		return form{map[string]any{"type": "integer", "minimum": 0}, "number"}
	case reflect.Slice:
		each := f.of(t.Elem())
		return form{map[string]any{"type": "array", "items": each.schema}, "Array<" + each.script + ">"}
	case reflect.Map:
		each := f.of(t.Elem())
		return form{map[string]any{"type": "object", "additionalProperties": each.schema}, "Record<string, " + each.script + ">"}
	}
	f.t.Errorf("%v cannot leave for a page", t)
	return form{}
}

// wordsOf lists the words of a type that has only some: those that it tells itself,
// or its constants.
func (f *forms) wordsOf(t reflect.Type) []string {
	if w, ok := reflect.Zero(t).Interface().(interface{ Words() []string }); ok {
		return w.Words()
	}
	return f.docs.constants[t.String()]
}

func oneOf(words []string) form {
	return form{map[string]any{"enum": words}, `"` + strings.Join(words, `"|"`) + `"`}
}

// record makes the record of a struct or of all entries, once.
func (f *forms) record(t reflect.Type) form {
	name := strings.TrimSuffix(strings.ToUpper(t.Name()[:1])+t.Name()[1:], "JSON")
	if t.PkgPath() == reflect.TypeFor[review.Figure]().PkgPath() {
		name = "Review" + name // it has words of its own for what the rules have too
	}
	ref := form{map[string]any{"$ref": "#/$defs/" + name}, name}
	if f.made[t] {
		return ref
	}
	if slices.ContainsFunc(f.records, func(r *record) bool { return r.name == name }) {
		f.t.Errorf("%v would be a second %s", t, name)
	}
	f.made[t] = true
	r := &record{name: name, doc: f.docs.types[t.String()]}
	f.records = append(f.records, r)
	if t.Kind() == reflect.Struct {
		f.fill(r, t, kindOf(t))
		return ref
	}
	for _, kind := range f.docs.constants[reflect.TypeFor[rules.EntryKind]().String()] {
		if e := entries[rules.EntryKind(kind)]; e != nil {
			r.either = append(r.either, f.of(reflect.TypeOf(e).Elem()))
		} else {
			f.t.Errorf("nothing is known of the entry %q", kind)
		}
	}
	return ref
}

// kindOf is the word of a type that is an entry, or "".
func kindOf(t reflect.Type) string {
	for kind, e := range entries {
		if reflect.TypeOf(e).Elem() == t {
			return string(kind)
		}
	}
	return ""
}

// fill adds the fields of a struct, and of those inside it without a name of their
// own. As in encoding/json the outer one of two with the same name counts.
func (f *forms) fill(r *record, t reflect.Type, kind string) {
	for i := range t.NumField() {
		field := t.Field(i)
		name, options, _ := strings.Cut(field.Tag.Get("json"), ",")
		if name == "" && field.Anonymous {
			f.fill(r, field.Type, kind)
			continue
		}
		if !field.IsExported() || name == "-" {
			continue
		}
		if name == "" {
			f.t.Errorf("%v.%s has no name for a page", t, field.Name)
		}
		p := property{name: name, doc: f.docs.fields[t.String()+"."+field.Name], optional: strings.HasPrefix(options, "omit")}
		if p.optional && field.Type.Kind() == reflect.Pointer {
			field.Type = field.Type.Elem()
		}
		p.form = f.fieldForm(field, kind)
		if had := slices.IndexFunc(r.fields, func(o property) bool { return o.name == name }); had >= 0 {
			p.doc = r.fields[had].doc
			r.fields[had] = p
		} else {
			r.fields = append(r.fields, p)
		}
	}
}

// fieldForm is the form of a field's type, unless its tags narrow it, or the word of
// the entry that it is in.
func (f *forms) fieldForm(field reflect.StructField, kind string) form {
	if field.Type == reflect.TypeFor[rules.EntryKind]() {
		return oneOf([]string{kind})
	}
	if words := field.Tag.Get("is"); words != "" {
		return oneOf(strings.Split(words, ","))
	}
	if like := field.Tag.Get("like"); like != "" {
		return form{map[string]any{"type": "string", "pattern": like}, "string"}
	}
	return f.of(field.Type)
}

// schema has a line for each property, so that a person can read it too.
func (f *forms) schema() []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, `{
"$schema": "https://json-schema.org/draft/2020-12/schema",
"title": "What Pawl's page server says; under $defs also what it hears, and what the pages for setting up, for the line check and for the review are told",
"oneOf": [{"$ref": "#/$defs/Frame"}, {"$ref": "#/$defs/Answer"}],
"$defs": {`)
	for i, r := range f.records {
		fmt.Fprintf(&b, "%s\n%q: {\n  \"description\": %s,\n", comma(i), r.name, f.json(r.doc))
		if r.either != nil {
			var refs []any
			for _, one := range r.either {
				refs = append(refs, one.schema)
			}
			fmt.Fprintf(&b, "  \"oneOf\": %s}", f.json(refs))
			continue
		}
		var required []string
		b.WriteString("  \"type\": \"object\", \"properties\": {")
		for i, p := range r.fields {
			fmt.Fprintf(&b, "%s\n    %q: %s", comma(i), p.name, f.json(p.schema))
			if !p.optional {
				required = append(required, p.name)
			}
		}
		fmt.Fprintf(&b, "},\n  \"required\": %s, \"additionalProperties\": false}", f.json(required))
	}
	b.WriteString("\n}}\n")
	return b.Bytes()
}

func comma(i int) string { return ","[:min(i, 1)] }

func (f *forms) json(v any) string {
	text, err := json.Marshal(v)
	if err != nil {
		f.t.Fatal(err)
	}
	return string(text)
}

// inComment keeps an address with a star from ending the comment that it is in.
var inComment = strings.NewReplacer("*/", "* /")

func (f *forms) script() []byte {
	var b bytes.Buffer
	b.WriteString("// Made from the Go types by go test ./dashboard -run TestForms -update. Nothing runs here.\n")
	for _, r := range f.records {
		fmt.Fprintf(&b, "\n/**\n * %s\n", inComment.Replace(r.doc))
		if r.either != nil {
			var names []string
			for _, one := range r.either {
				names = append(names, one.script)
			}
			fmt.Fprintf(&b, " * @typedef {%s} %s\n", strings.Join(names, "|"), r.name)
		} else {
			fmt.Fprintf(&b, " * @typedef {object} %s\n", r.name)
		}
		for _, p := range r.fields {
			name := p.name
			if p.optional {
				name = "[" + name + "]"
			}
			fmt.Fprintf(&b, " * @property {%s} %s\n", p.script, strings.TrimSpace(name+" "+inComment.Replace(p.doc)))
		}
		b.WriteString(" */\n")
	}
	b.WriteString("\nexport {};\n")
	return b.Bytes()
}
