package sheet

import "reflect"

// Key is one key of a file, as a page about the file lists it.
type Key struct {
	// Path is where it stands, "desk.address". A star is a key that the person chose,
	// "inputs.*.name", and empty brackets are each item of a list, "order[].name".
	Path     string
	Want     string // what is written there, in words
	Doc      string
	Required bool // beside the other keys there, if any of them is written
	Value    any  // in the struct given: the default; nil for one inside a list or a chosen key
}

// Keys lists every key of the files that Decode would read into a struct like the
// one given, in the order of its fields, those inside a key behind it.
func Keys(of any) []Key { return keysUnder("", reflect.TypeOf(of), reflect.ValueOf(of)) }

// keysUnder lists the keys of a struct type. The value is the zero Value where the file
// may hold any number of such structs, or none.
func keysUnder(path string, t reflect.Type, v reflect.Value) (keys []Key) {
	for _, f := range fieldsOf(t) {
		at := t.FieldByIndex(f.at).Type
		k := Key{Path: path + f.key, Want: formOf(at).want, Doc: f.doc, Required: f.required}
		var inside reflect.Value
		if v.IsValid() {
			if inside = unplaced(v.FieldByIndex(f.at)); inside.IsValid() {
				k.Value = inside.Interface()
			}
		}
		keys = append(keys, k)
		if end, t := below(at); t != nil {
			if end != "." {
				inside = reflect.Value{}
			}
			keys = append(keys, keysUnder(k.Path+end, t, inside)...)
		}
	}
	return keys
}

// unplaced is what an At or a pointer holds, and the zero Value for nil.
func unplaced(v reflect.Value) reflect.Value {
	if v.Kind() == reflect.Pointer {
		return unplaced(v.Elem())
	}
	if v.IsValid() && bare(v.Type()) != v.Type() {
		return unplaced(v.Field(0))
	}
	return v
}

// below is the struct whose keys stand under a value of a type, and what lies between
// their paths; nil if none do.
func below(t reflect.Type) (between string, of reflect.Type) {
	t = bare(t)
	switch reflect.New(t).Interface().(type) {
	case worded, Unmarshaler:
		return "", nil
	case interface{ keyed() }:
		return inside(".*", t.Elem().Field(2).Type)
	}
	switch t.Kind() {
	case reflect.Slice:
		return inside("[]", t.Elem())
	case reflect.Struct:
		return ".", t
	}
	return "", nil
}

func inside(between string, t reflect.Type) (string, reflect.Type) {
	more, of := below(t)
	return between + more, of
}
