package sheet

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
)

// field is one key of a struct.
type field struct {
	key      string
	at       []int // for reflect.Value.FieldByIndex
	required bool
	short    bool
	doc      string
	min, max float64 // of a number; infinite for none
}

// fieldsOf lists the keys of a struct in the order of its fields, those of
// embedded structs in their place.
func fieldsOf(t reflect.Type) (fields []field) {
	for _, f := range reflect.VisibleFields(t) {
		key, ok := f.Tag.Lookup("yaml")
		if !ok || key == "-" {
			continue
		}
		tags := strings.Split(f.Tag.Get("jsonschema"), ",")
		fields = append(fields, field{
			key:      key,
			at:       f.Index,
			required: slices.Contains(tags, "required"),
			short:    f.Tag.Get("sheet") == "short",
			doc:      f.Tag.Get("doc"),
			min:      bound(tags, "minimum=", -1),
			max:      bound(tags, "maximum=", 1),
		})
	}
	return fields
}

// bound is the number after a name among the parts of a tag, or infinity.
func bound(tags []string, name string, sign int) float64 {
	for _, tag := range tags {
		if number, ok := strings.CutPrefix(tag, name); ok {
			x, _ := strconv.ParseFloat(number, 64)
			return x
		}
	}
	return math.Inf(sign)
}

func structForm(t reflect.Type) form {
	fields := fieldsOf(t)
	return form{
		want:     "keys and values",
		collects: true,
		read:     func(n *Node, v reflect.Value) { n.structure(v, fields) },
		schema:   func(b builder) object { return b.structure(t, fields) },
	}
}

func (n *Node) structure(v reflect.Value, fields []field) {
	if p := v.FieldByName("Place"); p.IsValid() && p.Type() == reflect.TypeFor[Place]() {
		p.Set(reflect.ValueOf(n.Place()))
	}
	short := slices.IndexFunc(fields, func(f field) bool { return f.short })
	switch {
	case n.isNull(), n.IsMapping():
	case !n.IsList() && short >= 0:
		f := fields[short]
		(&Node{n.d, n.y, join(n.path, f.key)}).read(v.FieldByIndex(f.at))
		return
	default:
		n.Wrong("the keys here are "+Listed(keysOf(fields)), "found %s; want keys and values", n.Found())
		return
	}
	seen := map[string]bool{}
	for key, value := range n.pairs() {
		if !seen[key.y.Value] { // else inspect has said so
			seen[key.y.Value] = true
			n.field(key, value, v, fields)
		}
	}
	for _, f := range fields {
		if f.required && !seen[f.key] {
			n.Wrong("", "the key \"%s\" is missing; want %s", f.key, formOf(v.FieldByIndex(f.at).Type()).want)
		}
	}
}

func (n *Node) field(key, value *Node, v reflect.Value, fields []field) {
	for _, f := range fields {
		if f.key == key.y.Value {
			into := v.FieldByIndex(f.at)
			if value.Decode(into.Addr().Interface()) {
				f.within(value, into)
			}
			return
		}
	}
	keys := keysOf(fields)
	hint := guess(key.y.Value, keys)
	if hint == "" {
		hint = "the keys here are " + Listed(keys)
	}
	n.beside(key.y).Wrong(hint, "unknown key \"%s\"", shortened(key.y.Value))
}

// within checks a number that was read without a fault.
func (f field) within(n *Node, v reflect.Value) {
	if _, ok := v.Addr().Interface().(interface{ placed() }); ok {
		v = v.Field(0)
	}
	x := 0.0
	switch {
	case v.CanInt():
		x = float64(v.Int())
	case v.CanFloat():
		x = v.Float()
	default:
		return
	}
	if x < f.min || x > f.max {
		n.Wrong("", "found %s; want %s", n.y.Value, f.limits())
	}
}

func (f field) limits() string {
	switch {
	case math.IsInf(f.min, 0):
		return fmt.Sprintf("at most %v", f.max)
	case math.IsInf(f.max, 0):
		return fmt.Sprintf("at least %v", f.min)
	}
	return fmt.Sprintf("%v to %v", f.min, f.max)
}

func keysOf(fields []field) []string {
	keys := make([]string, len(fields))
	for i, f := range fields {
		keys[i] = f.key
	}
	return keys
}
