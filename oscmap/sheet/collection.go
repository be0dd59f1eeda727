package sheet

import (
	"reflect"

	"gopkg.in/yaml.v3"
)

// Map is a mapping whose keys the person chose, in the order of the file. Keys
// are strings or integers. A Map with integer keys may also be written as a
// list, whose items then are 1, 2, 3 and so on.
type Map[K comparable, V any] []Entry[K, V]

// Entry is one key and its value. Place is that of the key.
type Entry[K comparable, V any] struct {
	Key   K
	Place Place
	Value V
}

func (*Map[K, V]) keyed() {}

// Some is one value, or a list of them.
type Some[T any] []T

func (*Some[T]) oneWillDo() {}

func mapForm(t reflect.Type) form {
	numbered := t.Elem().Field(0).Type.Kind() == reflect.Int
	f := form{want: "keys and values", collects: true}
	if numbered {
		f.want = "numbers as keys, or a list"
	}
	f.read = func(n *Node, v reflect.Value) {
		v.SetZero()
		add := func(place, item *Node) (key reflect.Value) {
			e := reflect.New(t.Elem()).Elem()
			e.Field(1).Set(reflect.ValueOf(place.Place()))
			item.read(e.Field(2))
			v.Set(reflect.Append(v, e))
			return v.Index(v.Len() - 1).Field(0)
		}
		switch {
		case n.IsList() && numbered:
			for i, item := range n.Items() {
				add(item, item).SetInt(int64(i + 1))
			}
		case n.IsMapping():
			for key, item := range n.pairs() {
				key.read(add(key, item))
			}
		case !n.isNull():
			n.unwanted(f)
		}
	}
	f.schema = func(b builder) object {
		value := t.Elem().Field(2).Type
		s := object{"type": "object", "additionalProperties": b.schema(value)}
		if !numbered {
			return anyOf(s, null)
		}
		s["propertyNames"] = object{"pattern": `^-?(0|[1-9][0-9]*)$`}
		return anyOf(s, list(b.schema(value)), null)
	}
	return f
}

func sliceForm(t reflect.Type) form {
	f := form{want: "a list", collects: true}
	f.read = func(n *Node, v reflect.Value) {
		v.Set(reflect.MakeSlice(t, 0, len(n.y.Content)))
		if !n.IsList() && !n.isNull() {
			n.Wrong("begin each item with \"- \", or write [a, b]", "found %s; want %s", n.Found(), f.want)
			return
		}
		for _, item := range n.Items() {
			e := reflect.New(t.Elem()).Elem()
			item.read(e)
			v.Set(reflect.Append(v, e))
		}
	}
	f.schema = func(b builder) object { return anyOf(list(b.schema(t.Elem())), null) }
	return f
}

// someForm is a list's, or that of one item.
func someForm(t reflect.Type) form {
	many := sliceForm(t)
	return form{
		want:     formOf(t.Elem()).want + ", or a list",
		collects: true,
		read: func(n *Node, v reflect.Value) {
			if n.y.Kind == yaml.SequenceNode || n.isNull() {
				many.read(n, v)
				return
			}
			v.Set(reflect.MakeSlice(t, 1, 1))
			n.read(v.Index(0))
		},
		schema: func(b builder) object {
			return anyOf(b.schema(t.Elem()), list(b.schema(t.Elem())), null)
		},
	}
}
