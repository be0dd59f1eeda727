package sheet

import (
	"reflect"
	"strings"

	"gopkg.in/yaml.v3"
)

// field is one key of a struct.
type field struct {
	key      string
	at       []int // for reflect.Value.FieldByIndex
	required bool
	short    bool
	doc      string
	limits   limits
}

var placeType = reflect.TypeFor[Place]()

// fieldsOf lists the keys of a struct in the order of its fields, those of
// embedded structs in their place.
func fieldsOf(t reflect.Type) (fields []field) {
	for i := range t.NumField() {
		f := t.Field(i)
		if f.Anonymous && f.Type != placeType && f.Type.Kind() == reflect.Struct {
			for _, inner := range fieldsOf(f.Type) {
				inner.at = append([]int{i}, inner.at...)
				fields = append(fields, inner)
			}
			continue
		}
		key, ok := f.Tag.Lookup("yaml")
		if !ok || key == "-" {
			continue
		}
		tags := strings.Split(f.Tag.Get("jsonschema"), ",")
		fields = append(fields, field{
			key:      key,
			at:       []int{i},
			required: contains(tags, "required"),
			short:    f.Tag.Get("sheet") == "short",
			doc:      f.Tag.Get("doc"),
			limits:   limitsIn(tags),
		})
	}
	return fields
}

func contains(words []string, word string) bool {
	for _, w := range words {
		if w == word {
			return true
		}
	}
	return false
}

func (d *decoder) structure(n *yaml.Node, path string, v reflect.Value) {
	fields := fieldsOf(v.Type())
	d.places(n, path, v)
	if n.Kind == yaml.ScalarNode && !empty(n) {
		for _, f := range fields {
			if f.short {
				d.value(n, join(path, f.key), v.FieldByIndex(f.at))
				return
			}
		}
	}
	if n.Kind != yaml.MappingNode && !empty(n) {
		d.node(n, path).wrong("the keys here are "+Listed(keysOf(fields)), "found %s; want keys and values", found(n))
		return
	}
	seen := map[string]bool{}
	for i := 0; i+1 < len(n.Content); i += 2 {
		key := n.Content[i]
		if key.Kind != yaml.ScalarNode || seen[key.Value] {
			continue // inspect has said so
		}
		seen[key.Value] = true
		d.field(key, n.Content[i+1], path, v, fields)
	}
	for _, f := range fields {
		if f.required && !seen[f.key] {
			d.node(n, path).wrong("", "the key \"%s\" is missing; want %s", f.key, want(v.FieldByIndex(f.at).Type()))
		}
	}
}

// places fills embedded places with that of the struct.
func (d *decoder) places(n *yaml.Node, path string, v reflect.Value) {
	for i := range v.NumField() {
		if f := v.Type().Field(i); f.Anonymous && f.Type == placeType {
			v.Field(i).Set(reflect.ValueOf(d.node(n, path).place))
		}
	}
}

func (d *decoder) field(key, value *yaml.Node, path string, v reflect.Value, fields []field) {
	for _, f := range fields {
		if f.key == key.Value {
			before := len(d.faults) + d.dropped
			d.value(value, join(path, f.key), v.FieldByIndex(f.at))
			if len(d.faults)+d.dropped == before {
				d.within(f.limits, value, join(path, f.key), v.FieldByIndex(f.at))
			}
			return
		}
	}
	keys := keysOf(fields)
	hint := guess(key.Value, keys)
	if hint == "" {
		hint = "the keys here are " + Listed(keys)
	}
	d.node(key, path).wrong(hint, "unknown key \"%s\"", shortened(key.Value))
}

func keysOf(fields []field) []string {
	keys := make([]string, len(fields))
	for i, f := range fields {
		keys[i] = f.key
	}
	return keys
}
