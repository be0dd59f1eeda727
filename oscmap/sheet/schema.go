package sheet

import (
	"encoding/json"
	"fmt"
	"reflect"

	"github.com/invopop/jsonschema"
)

// Pattern is a form of text, as a regular expression, for Forms.
type Pattern string

// Constants are the only values of a form, for Forms.
type Constants []any

// formed is an Unmarshaler that says for the schema how it is written: each
// form is a value of a Go type that Decode could read, a Pattern, Constants, or a
// *jsonschema.Schema where nothing else will do.
type formed interface{ Forms() []any }

// Schema is a JSON Schema (draft 2020-12) of the files that Decode would read
// into a struct like the one given. It sees shapes, words and units; what
// depends on two places of the file, only the checks see.
func Schema(title string, of any) []byte {
	b := &builder{doing: map[reflect.Type]bool{}, again: map[reflect.Type]bool{}, defs: jsonschema.Definitions{}}
	root := b.schema(reflect.TypeOf(of))
	root.Version = jsonschema.Version
	root.Title = title
	if len(b.defs) > 0 {
		root.Definitions = b.defs
	}
	out, err := json.MarshalIndent(root, "", "  ")
	if err != nil {
		panic(fmt.Sprintf("sheet: schema of %T: %v", of, err))
	}
	return append(out, '\n')
}

// builder makes schemas of types. A type inside itself becomes a definition.
type builder struct {
	doing, again map[reflect.Type]bool
	defs         jsonschema.Definitions
}

func (b *builder) schema(t reflect.Type) *jsonschema.Schema {
	if t.Name() == "" {
		return b.build(t)
	}
	ref := &jsonschema.Schema{Ref: "#/$defs/" + t.Name()}
	if b.doing[t] {
		b.again[t] = true
		return ref
	}
	b.doing[t] = true
	s := b.build(t)
	delete(b.doing, t)
	if b.again[t] {
		b.defs[t.Name()] = s
		return ref
	}
	return s
}

func (b *builder) build(t reflect.Type) *jsonschema.Schema {
	if t.Kind() == reflect.Pointer {
		return b.schema(t.Elem())
	}
	zero := reflect.New(t).Interface()
	if p, ok := zero.(placed); ok {
		inner, _ := p.parts()
		return b.schema(reflect.TypeOf(inner).Elem())
	}
	if f, ok := zero.(formed); ok {
		return b.anyForm(f.Forms())
	}
	if u, ok := unitOf(t); ok {
		return &jsonschema.Schema{Type: "string", Pattern: u.written.String()}
	}
	if w, ok := zero.(worded); ok {
		return &jsonschema.Schema{Enum: anys(writable(w.Words()))}
	}
	switch zero.(type) {
	case growing:
		return b.mapping(t.Elem().Field(0).Type, t.Elem().Field(2).Type)
	case lenient:
		one := b.schema(t.Elem())
		return &jsonschema.Schema{AnyOf: []*jsonschema.Schema{one, orNull(&jsonschema.Schema{Type: "array", Items: one})}}
	}
	return b.kind(t)
}

func (b *builder) kind(t reflect.Type) *jsonschema.Schema {
	switch t.Kind() {
	case reflect.Struct:
		return b.structure(t)
	case reflect.Map:
		return b.mapping(t.Key(), t.Elem())
	case reflect.Slice:
		return orNull(&jsonschema.Schema{Type: "array", Items: b.schema(t.Elem())})
	case reflect.Bool:
		return &jsonschema.Schema{Enum: []any{true, false, "yes", "no", "on", "off"}}
	case reflect.Float64:
		return &jsonschema.Schema{Type: "number"}
	case reflect.Int, reflect.Int64:
		return &jsonschema.Schema{Type: "integer"}
	case reflect.Uint8:
		return &jsonschema.Schema{Type: "integer", Minimum: "0", Maximum: "255"}
	case reflect.String:
		return &jsonschema.Schema{AnyOf: []*jsonschema.Schema{{Type: "string"}, {Type: "number"}}}
	}
	panic(fmt.Sprintf("sheet: no schema for a %s", t))
}

func (b *builder) structure(t reflect.Type) *jsonschema.Schema {
	s := &jsonschema.Schema{Type: "object", Properties: jsonschema.NewProperties(), AdditionalProperties: jsonschema.FalseSchema}
	var short *jsonschema.Schema
	for _, f := range fieldsOf(t) {
		p := limited(b.schema(t.FieldByIndex(f.at).Type), f.limits)
		p.Description = f.doc
		s.Properties.Set(f.key, p)
		if f.required {
			s.Required = append(s.Required, f.key)
		}
		if f.short {
			short = p
		}
	}
	if short != nil {
		return &jsonschema.Schema{AnyOf: []*jsonschema.Schema{s, short}}
	}
	if len(s.Required) > 0 {
		return s
	}
	return orNull(s)
}

func (b *builder) mapping(key, value reflect.Type) *jsonschema.Schema {
	s := &jsonschema.Schema{Type: "object", AdditionalProperties: b.schema(value)}
	if key.Kind() != reflect.Int {
		return orNull(s)
	}
	s.PropertyNames = &jsonschema.Schema{Pattern: `^-?(0|[1-9][0-9]*)$`}
	list := &jsonschema.Schema{Type: "array", Items: b.schema(value)}
	return &jsonschema.Schema{AnyOf: []*jsonschema.Schema{s, list, {Type: "null"}}}
}

func (b *builder) anyForm(forms []any) *jsonschema.Schema {
	all := make([]*jsonschema.Schema, len(forms))
	for i, form := range forms {
		switch form := form.(type) {
		case Pattern:
			all[i] = &jsonschema.Schema{Type: "string", Pattern: string(form)}
		case *jsonschema.Schema:
			all[i] = form
		case Constants:
			all[i] = &jsonschema.Schema{Enum: form}
		default:
			all[i] = b.schema(reflect.TypeOf(form))
		}
	}
	if len(all) == 1 {
		return all[0]
	}
	return &jsonschema.Schema{AnyOf: all}
}

// limited adds limits to a schema of a number.
func limited(s *jsonschema.Schema, l limits) *jsonschema.Schema {
	if l.min != nil {
		s.Minimum = json.Number(fmt.Sprint(*l.min))
	}
	if l.max != nil {
		s.Maximum = json.Number(fmt.Sprint(*l.max))
	}
	return s
}

// orNull also takes a key with nothing after it.
func orNull(s *jsonschema.Schema) *jsonschema.Schema {
	return &jsonschema.Schema{AnyOf: []*jsonschema.Schema{s, {Type: "null"}}}
}

func anys(words []string) []any {
	out := make([]any, len(words))
	for i, w := range words {
		out[i] = w
	}
	return out
}
