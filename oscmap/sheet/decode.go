package sheet

import (
	"encoding"
	"fmt"
	"reflect"

	"gopkg.in/yaml.v3"
)

// decoder gathers the faults of one file.
type decoder struct {
	file    string
	faults  Faults
	dropped int // beyond maxFaults
}

// value reads a node into v, which can be set.
func (d *decoder) value(n *yaml.Node, path string, v reflect.Value) {
	if n.Kind == yaml.AliasNode {
		return // inspect has said so
	}
	if v.Kind() == reflect.Pointer {
		if v.IsNil() {
			v.Set(reflect.New(v.Type().Elem()))
		}
		d.value(n, path, v.Elem())
		return
	}
	into := v.Addr().Interface()
	if p, ok := into.(placed); ok {
		inner, place := p.parts()
		*place = d.node(n, path).place
		d.pointer(n, path, inner)
		return
	}
	if n.Kind == yaml.ScalarNode && n.ShortTag() == "!!null" && !collects(v) {
		d.node(n, path).wrong("", "nothing is written here; want %s", want(v.Type()))
		return
	}
	switch into := into.(type) {
	case worded: // also if it can read its own word: a wrong one is answered with the right ones here
		d.plain(n, path, v)
	case Unmarshaler:
		into.FromSheet(&Node{d, n, path})
	case growing:
		d.grow(n, path, into)
	case lenient:
		d.some(n, path, v)
	case encoding.TextUnmarshaler:
		d.text(n, path, into)
	default:
		d.plain(n, path, v)
	}
}

// pointer reads a node into what a pointer points to.
func (d *decoder) pointer(n *yaml.Node, path string, into any) {
	d.value(n, path, reflect.ValueOf(into).Elem())
}

// collects reports whether a key with nothing after it may stand for an empty
// v: all that was below it is commented out.
func collects(v reflect.Value) bool {
	if _, own := v.Addr().Interface().(Unmarshaler); own {
		return false
	}
	switch v.Kind() {
	case reflect.Struct, reflect.Slice, reflect.Map:
		return true
	}
	return false
}

// plain reads by the kind of Go type.
func (d *decoder) plain(n *yaml.Node, path string, v reflect.Value) {
	switch v.Kind() {
	case reflect.Struct:
		d.structure(n, path, v)
	case reflect.Slice:
		d.slice(n, path, v)
	case reflect.Map:
		d.mapping(n, path, v)
	default:
		if n.Kind != yaml.ScalarNode {
			d.node(n, path).wrong("", "found %s; want %s", found(n), want(v.Type()))
			return
		}
		d.scalar(n, path, v)
	}
}

func (d *decoder) slice(n *yaml.Node, path string, v reflect.Value) {
	v.Set(reflect.MakeSlice(v.Type(), 0, len(n.Content)))
	if empty(n) {
		return
	}
	if n.Kind != yaml.SequenceNode {
		d.node(n, path).wrong("begin each item with \"- \", or write [a, b]", "found %s; want %s", found(n), want(v.Type()))
		return
	}
	for i, item := range n.Content {
		e := reflect.New(v.Type().Elem()).Elem()
		d.value(item, index(path, i), e)
		v.Set(reflect.Append(v, e))
	}
}

// some reads one value or a list of them.
func (d *decoder) some(n *yaml.Node, path string, v reflect.Value) {
	if n.Kind == yaml.SequenceNode || empty(n) {
		d.slice(n, path, v)
		return
	}
	e := reflect.New(v.Type().Elem()).Elem()
	d.value(n, path, e)
	v.Set(reflect.Append(reflect.Zero(v.Type()), e))
}

// mapping reads a Go map, which forgets the order.
func (d *decoder) mapping(n *yaml.Node, path string, v reflect.Value) {
	v.Set(reflect.MakeMap(v.Type()))
	d.pairs(n, path, v.Type(), func(key, value *yaml.Node, at string) {
		k, e := reflect.New(v.Type().Key()).Elem(), reflect.New(v.Type().Elem()).Elem()
		d.value(key, at, k)
		d.value(value, at, e)
		v.SetMapIndex(k, e)
	})
}

// grow reads a Map.
func (d *decoder) grow(n *yaml.Node, path string, m growing) {
	v := reflect.ValueOf(m).Elem()
	v.SetZero()
	keyKind := v.Type().Elem().Field(0).Type.Kind()
	if n.Kind == yaml.SequenceNode && keyKind == reflect.Int {
		for i, item := range n.Content {
			key, place, value := m.grow()
			*key.(*int) = i + 1
			*place = d.node(item, index(path, i)).place
			d.pointer(item, index(path, i), value)
		}
		return
	}
	d.pairs(n, path, v.Type(), func(k, item *yaml.Node, at string) {
		key, place, value := m.grow()
		*place = d.node(k, at).place
		d.pointer(k, at, key)
		d.pointer(item, at, value)
	})
}

// pairs calls visit for each key that is a scalar; inspect has reported others.
func (d *decoder) pairs(n *yaml.Node, path string, t reflect.Type, visit func(key, value *yaml.Node, at string)) {
	if empty(n) {
		return
	}
	if n.Kind != yaml.MappingNode {
		d.node(n, path).wrong("", "found %s; want %s", found(n), want(t))
		return
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		if key := n.Content[i]; key.Kind == yaml.ScalarNode {
			visit(key, n.Content[i+1], join(path, key.Value))
		}
	}
}

func (d *decoder) text(n *yaml.Node, path string, into encoding.TextUnmarshaler) {
	if n.Kind != yaml.ScalarNode {
		d.node(n, path).wrong("", "found %s; want a word", found(n))
		return
	}
	if err := into.UnmarshalText([]byte(n.Value)); err != nil {
		d.node(n, path).wrong("", "%v", err)
	}
}

func empty(n *yaml.Node) bool { return n.Kind == yaml.ScalarNode && n.ShortTag() == "!!null" }

// want says in words what a type takes.
func want(t reflect.Type) string {
	if t.Kind() == reflect.Pointer {
		return want(t.Elem())
	}
	zero := reflect.New(t).Interface()
	if p, ok := zero.(placed); ok {
		inner, _ := p.parts()
		return want(reflect.TypeOf(inner).Elem())
	}
	if u, ok := unitOf(t); ok {
		return u.want
	}
	if w, ok := zero.(worded); ok {
		return Listed(writable(w.Words()))
	}
	if _, ok := zero.(growing); ok && t.Elem().Field(0).Type.Kind() == reflect.Int {
		return "numbers as keys, or a list"
	}
	switch t.Kind() {
	case reflect.Struct, reflect.Map:
		return "keys and values"
	case reflect.Slice:
		if _, ok := zero.(growing); ok {
			return "keys and values"
		}
		if _, ok := zero.(lenient); ok {
			return want(t.Elem()) + ", or a list"
		}
		return "a list"
	case reflect.Bool:
		return "true or false"
	case reflect.String:
		return "text"
	case reflect.Float64:
		return "a number"
	case reflect.Int, reflect.Int64, reflect.Uint8:
		return "a whole number"
	}
	panic(fmt.Sprintf("sheet: cannot read a %s", t))
}
