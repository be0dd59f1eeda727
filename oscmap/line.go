package oscmap

import (
	"slices"

	"pawl/oscmap/sheet"
	"pawl/oscmap/wire"
	"pawl/rules/desk"
)

// line is one entry of the map's signals, compiled.
type line struct {
	signals  []desk.Signal
	quantity desk.Quantity
	post     bool
	names    []int // where those of each signal begin in a Hearer, if they are names

	// What tells a strip or the line while a message is read.
	named []telling // by a name in the address
	which []telling // by an argument
	each  []telling // by the place among several values, outermost first
	bits  *telling  // by the bit
	when  []condition

	// Where the values are.
	source   source
	arg      int // the argument, or the first of them
	layout   Layout
	skip     int
	stride   int
	count    *countField
	choice   *choice
	constant float64

	meaning meaning

	number int         // among the lines of the map
	place  sheet.Place // of its address
	path   path
	slots  []desk.Strip // what Index and To are
	told   []telling    // all that tells a strip

	// unsure is true of a line that was not read whole, so that nothing can be
	// said of what it shares with others.
	unsure bool
}

// route leads from an address to a line, with what the address says of the strip.
type route struct {
	line *line
	at   [2]int32
}

// source is where in a message the value is.
type source uint8

const (
	fromArg source = iota
	fromArgs
	fromBlob
	fromPath
	fromArrival
)

// telling is one strip of a value, and what says which it is.
type telling struct {
	by    teller
	strip desk.Strip
	slot  int // Index or To
	span  span
	arg   int // if an argument tells
}

type teller uint8

const (
	byIndex    teller = iota // in the address, written out in the route
	byName                   // in the address
	byMap                    // it is one and the same
	byArgument               // a number, a word or a name
	byPlace                  // of the value among several
	byBit
	byChoice // by the value itself
)

// by lists what is told in one way.
func (l *line) by(how teller) (all []telling) {
	for _, t := range l.told {
		if t.by == how {
			all = append(all, t)
		}
	}
	return all
}

// countField says how many values follow.
type countField struct {
	arg    int
	at     int
	layout Layout // 0 if the count is an argument
}

// condition is what an argument must hold for the message to be for a line.
type condition struct {
	arg int
	is  []literal
}

func (c *condition) holds(a *wire.Arg) bool {
	return slices.ContainsFunc(c.is, func(l literal) bool { return l.holds(a) })
}

// excludes reports whether no argument could hold for both.
func (c *condition) excludes(o *condition) bool {
	for _, a := range c.is {
		for _, b := range o.is {
			if a.text == b.text || !a.isText && !b.isText && a.number == b.number {
				return false
			}
		}
	}
	return c.arg == o.arg
}

// elements is how many values the line looks for.
func (l *line) elements() int {
	n := 1
	for _, d := range l.each {
		n *= d.span.n
	}
	return n
}

// element adds to the strip what the place k among the values says.
func (l *line) element(at [2]int, k int) [2]int {
	for i := len(l.each) - 1; i >= 0; i-- {
		d := &l.each[i]
		at[d.slot] = d.span.first + k%d.span.n
		k /= d.span.n
	}
	return at
}

// slotsOf lists the strips that a signal is told by: Index, then To.
func slotsOf(s desk.Signal) []desk.Strip {
	switch {
	case s == desk.InputDCA:
		return []desk.Strip{desk.StripInput, desk.StripDCA}
	case s == desk.InputGroup:
		return []desk.Strip{desk.StripInput, desk.StripGroup}
	case s.Of().Indexed():
		return []desk.Strip{s.Of()}
	}
	return nil
}
