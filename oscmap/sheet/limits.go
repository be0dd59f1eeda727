package sheet

import (
	"fmt"
	"reflect"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"
)

// limits are the least and greatest value of a number; nil is none.
type limits struct{ min, max *float64 }

// limitsIn reads "minimum=…" and "maximum=…" among the parts of a tag.
func limitsIn(tags []string) (l limits) {
	for _, tag := range tags {
		name, number, _ := strings.Cut(tag, "=")
		v, err := strconv.ParseFloat(number, 64)
		switch {
		case name == "minimum" && err == nil:
			l.min = &v
		case name == "maximum" && err == nil:
			l.max = &v
		}
	}
	return l
}

func (l limits) String() string {
	switch {
	case l.min == nil:
		return fmt.Sprintf("at most %v", *l.max)
	case l.max == nil:
		return fmt.Sprintf("at least %v", *l.min)
	}
	return fmt.Sprintf("%v to %v", *l.min, *l.max)
}

// within checks a number that was read without a fault.
func (d *decoder) within(l limits, n *yaml.Node, path string, v reflect.Value) {
	if l.min == nil && l.max == nil {
		return
	}
	if p, ok := v.Addr().Interface().(placed); ok {
		inner, _ := p.parts()
		v = reflect.ValueOf(inner).Elem()
	}
	var x float64
	switch {
	case v.CanInt():
		x = float64(v.Int())
	case v.CanFloat():
		x = v.Float()
	default:
		return
	}
	if l.min != nil && x < *l.min || l.max != nil && x > *l.max {
		d.node(n, path).wrong("", "found %s; want %s", n.Value, l)
	}
}
