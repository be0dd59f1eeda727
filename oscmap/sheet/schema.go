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
	root := schemaOf(reflect.TypeOf(of))
	root.Version = jsonschema.Version
	root.Title = title
	out, err := json.MarshalIndent(root, "", "  ")
	if err != nil {
		panic(fmt.Sprintf("sheet: schema of %T: %v", of, err))
	}
	return append(out, '\n')
}

func schemaOf(t reflect.Type) *jsonschema.Schema {
	if t.Kind() == reflect.Pointer {
		return schemaOf(t.Elem())
	}
	zero := reflect.New(t).Interface()
	if p, ok := zero.(placed); ok {
		inner, _ := p.parts()
		return schemaOf(reflect.TypeOf(inner).Elem())
	}
	if f, ok := zero.(formed); ok {
		return anyForm(f.Forms())
	}
	if u, ok := unitOf(t); ok {
		return &jsonschema.Schema{Type: "string", Pattern: u.written.String()}
	}
	if w, ok := zero.(worded); ok {
		return &jsonschema.Schema{Enum: anys(writable(w.Words()))}
	}
	switch zero.(type) {
	case growing:
		return mapSchema(t.Elem().Field(0).Type, t.Elem().Field(2).Type)
	case lenient:
		one := schemaOf(t.Elem())
		return &jsonschema.Schema{AnyOf: []*jsonschema.Schema{one, orNull(&jsonschema.Schema{Type: "array", Items: one})}}
	}
	return kindSchema(t)
}

func kindSchema(t reflect.Type) *jsonschema.Schema {
	switch t.Kind() {
	case reflect.Struct:
		return structSchema(t)
	case reflect.Map:
		return mapSchema(t.Key(), t.Elem())
	case reflect.Slice:
		return orNull(&jsonschema.Schema{Type: "array", Items: schemaOf(t.Elem())})
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

func structSchema(t reflect.Type) *jsonschema.Schema {
	s := &jsonschema.Schema{Type: "object", Properties: jsonschema.NewProperties(), AdditionalProperties: jsonschema.FalseSchema}
	var short *jsonschema.Schema
	for _, f := range fieldsOf(t) {
		p := limited(schemaOf(t.FieldByIndex(f.at).Type), f.limits)
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

func mapSchema(key, value reflect.Type) *jsonschema.Schema {
	s := &jsonschema.Schema{Type: "object", AdditionalProperties: schemaOf(value)}
	if key.Kind() != reflect.Int {
		return orNull(s)
	}
	s.PropertyNames = &jsonschema.Schema{Pattern: `^-?(0|[1-9][0-9]*)$`}
	list := &jsonschema.Schema{Type: "array", Items: schemaOf(value)}
	return &jsonschema.Schema{AnyOf: []*jsonschema.Schema{s, list, {Type: "null"}}}
}

func anyForm(forms []any) *jsonschema.Schema {
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
			all[i] = schemaOf(reflect.TypeOf(form))
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
