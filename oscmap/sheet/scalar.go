package sheet

import (
	"math"
	"reflect"
	"slices"
	"strconv"

	"gopkg.in/yaml.v3"
)

// scalars are the forms of single values that have neither words nor a unit.
var scalars = map[reflect.Kind]form{
	reflect.String:  {want: "text", read: readText, schema: fixed("type", []string{"string", "number"})},
	reflect.Bool:    {want: "yes or no", read: readBool, schema: fixed("enum", []any{true, false, "yes", "no", "on", "off"})},
	reflect.Float64: {want: "a number", read: readFloat, schema: fixed("type", "number")},
	reflect.Int:     {want: "a whole number", read: readInt, schema: fixed("type", "integer")},
	reflect.Int64:   {want: "a whole number", read: readInt, schema: fixed("type", "integer")},
	reflect.Uint8: {want: "a whole number", read: readByte, schema: func(builder) object {
		return object{"type": "integer", "minimum": 0, "maximum": math.MaxUint8}
	}},
}

// fixed is a schema of one row, made anew for each key that describes itself in it.
func fixed(key string, value any) func(builder) object {
	return func(builder) object { return object{key: value} }
}

func readText(n *Node, v reflect.Value) {
	if n.y.ShortTag() == "!!bool" {
		n.Wrong("if the word is meant, quote it", "found %s, which is a yes or no; want text", n.y.Value)
		return
	}
	v.SetString(n.y.Value)
}

func readBool(n *Node, v reflect.Value) {
	switch n.y.Value {
	case "true", "True", "TRUE", "yes", "on":
		v.SetBool(true)
	case "false", "False", "FALSE", "no", "off":
		v.SetBool(false)
	default:
		n.Wrong("", "found %s; want yes or no", n.Found())
	}
}

func readFloat(n *Node, v reflect.Value) {
	var x float64
	if tag := n.y.ShortTag(); tag != "!!float" && tag != "!!int" || n.y.Decode(&x) != nil || math.IsNaN(x) || math.IsInf(x, 0) {
		n.Wrong("", "found %s; want a number", n.Found())
		return
	}
	v.SetFloat(x)
}

func readInt(n *Node, v reflect.Value) {
	if x, ok := n.integer(); ok {
		v.SetInt(int64(x))
	}
}

func readByte(n *Node, v reflect.Value) {
	switch x, ok := n.integer(); {
	case !ok:
	case x < 0 || x > math.MaxUint8:
		n.Wrong("", "found %s; want 0 to 255", n.y.Value)
	default:
		v.SetUint(uint64(x))
	}
}

func (n *Node) integer() (x int, ok bool) {
	text := n.y.Value
	_, notWhole := strconv.Atoi(text)
	switch {
	case len(text) > 1 && text[0] == '0' && text[1] >= '0' && text[1] <= '9':
		// YAML would read it to the base of 8, which nobody means.
		n.Wrong("leave out the zero in front", "found %q; want a whole number", text)
	case n.y.Style&(yaml.SingleQuotedStyle|yaml.DoubleQuotedStyle) != 0 && notWhole == nil:
		n.Wrong("leave out the quotation marks", "found %q as text; want a whole number", text)
	case n.y.ShortTag() != "!!int" || n.y.Decode(&x) != nil:
		n.Wrong("", "found %s; want a whole number", n.Found())
	default:
		return x, true
	}
	return 0, false
}

// worded is a type written as one of a few words, with Words on the value. A
// string type holds the word; an integer type its place in the list, where
// empty words are values that nobody writes.
type worded interface{ Words() []string }

// meant is a worded type that knows other words for its own, as people of other
// desks or habits would write them. It gives "" for one it does not know.
type meant interface{ Meant(written string) string }

func wordForm(t reflect.Type, of worded) form {
	words := of.Words()
	// Empty words are what is written by leaving out the key.
	writable := slices.DeleteFunc(slices.Clone(words), func(w string) bool { return w == "" })
	return form{
		want:   Listed(writable),
		scalar: true,
		read: func(n *Node, v reflect.Value) {
			i := slices.Index(words, n.y.Value)
			switch {
			case i < 0 || n.y.Value == "":
				n.unknownWord(writable, of)
			case t.Kind() == reflect.String:
				v.SetString(n.y.Value)
			default:
				v.Set(reflect.ValueOf(i).Convert(t))
			}
		},
		schema: fixed("enum", writable),
	}
}

// unknownWord says which words there are, unless they are many and the one that
// was meant is plain.
func (n *Node) unknownWord(words []string, of worded) {
	near := guess(n.y.Value, words)
	if m, ok := of.(meant); ok {
		if word := m.Meant(n.y.Value); word != "" {
			near = "did you mean \"" + word + "\"?"
		}
	}
	if near != "" && len(words) > 8 {
		n.Wrong(near, "unknown word %s", n.Found())
		return
	}
	n.Wrong(near, "unknown word %s; want %s", n.Found(), Listed(words))
}
