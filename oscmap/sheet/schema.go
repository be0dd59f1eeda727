package sheet

import (
	"encoding/json"
	"fmt"
	"math"
	"reflect"
)

// Pattern is a form of text, as a regular expression, for Forms.
type Pattern string

// Constants are the only values of a form, for Forms.
type Constants []any

// formed is an Unmarshaler that says for the schema how it is written: each
// form is a value of a Go type that Decode could read, an array of one, a
// Pattern, or Constants.
type formed interface{ Forms() []any }

// Schema is a JSON Schema (draft 2020-12) of the files that Decode would read
// into a struct like the one given. It sees shapes, words and units; what
// depends on two places of the file, only the checks see.
func Schema(title string, of any) []byte {
	b := builder{}
	root := b.schema(reflect.TypeOf(of))
	root["$schema"], root["title"], root["$defs"] = "https://json-schema.org/draft/2020-12/schema", title, b
	out, err := json.MarshalIndent(root, "", "  ")
	if err != nil {
		panic(fmt.Sprintf("sheet: schema of %T: %v", of, err))
	}
	return append(out, '\n')
}

// object is a schema, or a part of one.
type object = map[string]any

// builder holds the definitions: one for each type that says itself how it is
// written, for it may be inside itself.
type builder object

func (b builder) schema(t reflect.Type) object { return formOf(t).schema(b) }

func (b builder) structure(t reflect.Type, fields []field) object {
	properties, required := object{}, []string{}
	s := object{"type": "object", "properties": properties, "additionalProperties": false}
	either := []object{s}
	for _, f := range fields {
		p := b.schema(t.FieldByIndex(f.at).Type)
		if f.doc != "" {
			p["description"] = f.doc
		}
		if !math.IsInf(f.min, 0) {
			p["minimum"] = f.min
		}
		if !math.IsInf(f.max, 0) {
			p["maximum"] = f.max
		}
		properties[f.key] = p
		if f.required {
			required = append(required, f.key)
		}
		if f.short {
			either = append(either, p)
		}
	}
	if s["required"] = required; len(required) == 0 {
		either = append(either, null)
	}
	return anyOf(either...)
}

func (b builder) defined(t reflect.Type, forms []any) object {
	name := t.String()
	if _, known := b[name]; !known {
		b[name] = nil // for those inside
		all := make([]object, len(forms))
		for i, form := range forms {
			switch form := form.(type) {
			case Pattern:
				all[i] = object{"type": "string", "pattern": form}
			case Constants:
				all[i] = object{"enum": form}
			default:
				all[i] = b.schema(reflect.TypeOf(form))
			}
		}
		b[name] = anyOf(all...)
	}
	return object{"$ref": "#/$defs/" + name}
}

// null is a key with nothing after it.
var null = object{"type": "null"}

func list(items object) object { return object{"type": "array", "items": items} }

func anyOf(schemas ...object) object {
	if len(schemas) == 1 {
		return schemas[0]
	}
	return object{"anyOf": schemas}
}
