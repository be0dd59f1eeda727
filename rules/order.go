package rules

import (
	"fmt"

	"pawl/rules/desk"
)

// order is two limits of which the first may not be above the second.
type order struct {
	low  string
	a    desk.DB
	high string
	b    desk.DB
}

// disorders are the pairs that are the wrong way round, each at its first.
func disorders(all ...order) (wrong []desk.WrongLimit) {
	for _, o := range all {
		if o.a > o.b {
			wrong = append(wrong, desk.WrongLimit{Name: o.low, Text: fmt.Sprintf("%s is %v and %s %v; want it no higher", o.low, o.a, o.high, o.b)})
		}
	}
	return wrong
}
