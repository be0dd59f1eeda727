package sheet

import (
	"fmt"
	"reflect"

	"gopkg.in/yaml.v3"
)

// form is how the values of a Go type are written.
type form struct {
	want   string // in words
	scalar bool   // one value, neither a list nor a mapping

	// collects is true if a key with nothing after it may stand for an empty value:
	// all that was below it is commented out.
	collects bool

	read   func(*Node, reflect.Value)
	schema func(builder) object
}

// formOf finds the form of a type: its own if it has one, or its kind's.
func formOf(t reflect.Type) form {
	t = bare(t)
	switch zero := reflect.New(t).Interface().(type) {
	case worded: // also if it can read its own word: a wrong one is answered with the right ones here
		return wordForm(t, zero)
	case Unmarshaler:
		return ownForm(t)
	case interface{ keyed() }:
		return mapForm(t)
	case interface{ oneWillDo() }:
		return someForm(t)
	}
	if u, ok := unitOf(t); ok {
		return u.form()
	}
	return kindForm(t)
}

// form keeps what formOf found: there are far more values than types.
func (d *decoder) form(t reflect.Type) form {
	f, known := d.forms[t]
	if !known {
		f = formOf(t)
		d.forms[t] = f
	}
	return f
}

// bare is the type of what is written for a pointer or an At.
func bare(t reflect.Type) reflect.Type {
	if t.Kind() == reflect.Pointer {
		return bare(t.Elem())
	}
	if _, ok := reflect.New(t).Interface().(interface{ placed() }); ok {
		return bare(t.Field(0).Type)
	}
	return t
}

func kindForm(t reflect.Type) form {
	switch t.Kind() {
	case reflect.Struct:
		return structForm(t)
	case reflect.Slice:
		return sliceForm(t)
	case reflect.Array: // in Forms alone
		return form{schema: func(b builder) object {
			return object{"type": "array", "items": b.schema(t.Elem()), "minItems": t.Len(), "maxItems": t.Len()}
		}}
	}
	if f, ok := scalars[t.Kind()]; ok {
		f.scalar = true
		return f
	}
	panic(fmt.Sprintf("sheet: cannot read a %s", t))
}

// ownForm is that of a type that reads itself; in words it is what its kind
// would be.
func ownForm(t reflect.Type) form {
	return form{
		want: kindForm(t).want,
		read: func(n *Node, v reflect.Value) { v.Addr().Interface().(Unmarshaler).FromSheet(n) },
		schema: func(b builder) object {
			return b.defined(t, reflect.Zero(t).Interface().(formed).Forms())
		},
	}
}

// read reads the node into v, which can be set.
func (n *Node) read(v reflect.Value) {
	if n.y.Kind == yaml.AliasNode {
		return // inspect has said so
	}
	if v.Kind() == reflect.Pointer {
		if v.IsNil() {
			v.Set(reflect.New(v.Type().Elem()))
		}
		n.read(v.Elem())
		return
	}
	if _, ok := v.Addr().Interface().(interface{ placed() }); ok {
		v.Field(1).Set(reflect.ValueOf(n.Place()))
		n.read(v.Field(0))
		return
	}
	f := n.d.form(v.Type())
	switch {
	case n.isNull() && !f.collects:
		n.Wrong("", "nothing is written here; want %s", f.want)
	case f.scalar && n.y.Kind != yaml.ScalarNode:
		n.unwanted(f)
	default:
		f.read(n, v)
	}
}

// unwanted reports a node that is of no sort that its form takes.
func (n *Node) unwanted(f form) { n.Wrong("", "found %s; want %s", n.Found(), f.want) }
