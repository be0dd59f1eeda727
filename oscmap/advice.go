package oscmap

import (
	"slices"
	"strings"

	"pawl/rules/desk"
)

// Need says what a rule lives on, so that Load can tell which rules a map
// leaves silent.
type Need struct {
	Rule string // as people know it

	// Signals are what the rule needs, all of them.
	Signals []desk.Signal

	// Or are other sets, each of which would do as well.
	Or [][]desk.Signal

	// Why is a sentence on what they are for. It may be empty.
	Why string
}

// needs advises on each rule that will have nothing to go by.
func (c *checker) needs(needs []Need) {
	for _, n := range needs {
		ways := append([][]desk.Signal{n.Signals}, n.Or...)
		if slices.ContainsFunc(ways, func(w []desk.Signal) bool { return len(c.missing(w)) == 0 }) {
			continue
		}
		var or []string
		for _, w := range ways {
			or = append(or, strings.Join(c.missing(w), " and "))
		}
		c.advise(c.file.Signals.Place, n.Why, "the rule \"%s\" will be silent: no address carries %s", n.Rule, strings.Join(or, ", or else "))
	}
}

func (c *checker) missing(signals []desk.Signal) (words []string) {
	for _, s := range signals {
		if !c.m.HearsSignal(s) {
			words = append(words, s.String())
		}
	}
	return words
}
