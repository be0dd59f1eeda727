package sheet

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"

	"gopkg.in/yaml.v3"
)

// worded is a type written as one of a few words, with Words on the value. A
// string type holds the word; an integer type its place in the list, where
// empty words are values that nobody writes.
type worded interface{ Words() []string }

// meant is a worded type that knows other words for its own, as people of other
// desks or habits would write them. It gives "" for one it does not know.
type meant interface{ Meant(written string) string }

// scalar reads a single value by its type.
func (d *decoder) scalar(n *yaml.Node, path string, v reflect.Value) {
	spot := d.node(n, path)
	if u, ok := unitOf(v.Type()); ok {
		d.unit(n, spot, u, v)
		return
	}
	if w, ok := v.Interface().(worded); ok {
		d.word(n, spot, w.Words(), v)
		return
	}
	switch v.Kind() {
	case reflect.String:
		if tag := n.ShortTag(); tag == "!!bool" {
			spot.wrong("if the word is meant, quote it", "found %s, which is a yes or no; want text", n.Value)
			return
		}
		v.SetString(n.Value)
	case reflect.Bool:
		d.boolean(n, spot, v)
	case reflect.Float64:
		d.float(n, spot, v)
	case reflect.Int, reflect.Int64, reflect.Uint8:
		d.integer(n, spot, v)
	default:
		panic(fmt.Sprintf("sheet: cannot read a %s", v.Type()))
	}
}

func (d *decoder) unit(n *yaml.Node, spot spot, u unit, v reflect.Value) {
	x, ok := u.read(n.Value)
	switch {
	case !ok:
		spot.wrong(u.hint(n.Value), "found %s; want %s", found(n), u.want)
	case u.factor == 0:
		v.SetInt(int64(x))
	default:
		v.SetFloat(x)
	}
}

func (d *decoder) word(n *yaml.Node, spot spot, words []string, v reflect.Value) {
	i := slices.Index(words, n.Value)
	switch {
	case i < 0 || n.Value == "":
		d.unknownWord(n, spot, writable(words), v.Interface())
	case v.Kind() == reflect.String:
		v.SetString(n.Value)
	case v.CanInt():
		v.SetInt(int64(i))
	default:
		v.SetUint(uint64(i))
	}
}

// unknownWord says which words there are, unless they are many and the one that
// was meant is plain.
func (d *decoder) unknownWord(n *yaml.Node, spot spot, words []string, of any) {
	near := guess(n.Value, words)
	if m, ok := of.(meant); ok {
		if word := m.Meant(n.Value); word != "" {
			near = "did you mean \"" + word + "\"?"
		}
	}
	if near != "" && len(words) > 8 {
		spot.wrong(near, "unknown word %s", found(n))
		return
	}
	spot.wrong(near, "unknown word %s; want %s", found(n), Listed(words))
}

// writable leaves out the words for what is written by leaving out the key.
func writable(words []string) []string {
	return slices.DeleteFunc(slices.Clone(words), func(w string) bool { return w == "" })
}

func (d *decoder) boolean(n *yaml.Node, spot spot, v reflect.Value) {
	switch n.Value {
	case "true", "True", "TRUE", "yes", "on":
		v.SetBool(true)
	case "false", "False", "FALSE", "no", "off":
		v.SetBool(false)
	default:
		spot.wrong("", "found %s; want yes or no", found(n))
	}
}

func (d *decoder) float(n *yaml.Node, spot spot, v reflect.Value) {
	var x float64
	if tag := n.ShortTag(); tag != "!!float" && tag != "!!int" || n.Decode(&x) != nil || math.IsNaN(x) || math.IsInf(x, 0) {
		spot.wrong("", "found %s; want a number", found(n))
		return
	}
	v.SetFloat(x)
}

func (d *decoder) integer(n *yaml.Node, spot spot, v reflect.Value) {
	var x int
	switch {
	case len(n.Value) > 1 && n.Value[0] == '0' && n.Value[1] >= '0' && n.Value[1] <= '9':
		// YAML would read it to the base of 8, which nobody means.
		spot.wrong("leave out the zero in front", "found %q; want a whole number", n.Value)
	case n.Style&(yaml.SingleQuotedStyle|yaml.DoubleQuotedStyle) != 0 && isWhole(n.Value):
		spot.wrong("leave out the quotation marks", "found %q as text; want a whole number", n.Value)
	case n.ShortTag() != "!!int" || n.Decode(&x) != nil:
		spot.wrong("", "found %s; want a whole number", found(n))
	case v.Kind() == reflect.Uint8:
		if x < 0 || x > math.MaxUint8 {
			spot.wrong("", "found %s; want 0 to 255", n.Value)
			return
		}
		v.SetUint(uint64(x))
	default:
		v.SetInt(int64(x))
	}
}

func isWhole(s string) bool {
	_, err := strconv.Atoi(s)
	return err == nil
}
