package oscmap

import (
	"pawl/oscmap/sheet"
	"pawl/oscmap/wire"
	"pawl/rules/desk"
)

// line is one entry of the map's signals, compiled.
type line struct {
	place  sheet.Place // of its address
	number int         // among the lines of the map
	path   path

	signals  []desk.Signal
	quantity desk.Quantity
	post     bool
	detector detector
	names    []textRange // of each signal, if they are names

	// How the strips are told, besides the indices in the path.
	slots []desk.Strip // what Index and To are
	fixed []dimension  // of one strip
	named []nameSlot
	when  []condition
	which []argIndex

	// Where the values are.
	source   source
	arg      int // the argument, or the first of them
	layout   Layout
	skip     int
	stride   int
	count    *countField
	each     []dimension // outermost first
	bits     *dimension
	choice   *choice
	constant float64

	meaning meaning

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

// nameSlot is a strip told by its name in the address.
type nameSlot struct {
	strip desk.Strip
	slot  int
}

// argIndex is a strip told by an argument.
type argIndex struct {
	arg   int
	strip desk.Strip
	slot  int
	span  span
}

// dimension is a strip told by the place of a value among several.
type dimension struct {
	strip desk.Strip
	slot  int
	span  span
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
	for i := range c.is {
		if c.is[i].holds(a) {
			return true
		}
	}
	return false
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

// textRange is where the texts of a signal are kept in a Hearer.
type textRange struct{ from, n int }

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

// slotOf is where a strip goes in a reading, or -1 if the signal has none.
func (l *line) slotOf(s desk.Strip) int {
	for i, strip := range l.slots {
		if strip == s {
			return i
		}
	}
	return -1
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
