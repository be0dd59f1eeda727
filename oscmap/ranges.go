package oscmap

import (
	"fmt"

	"pawl/oscmap/sheet"
	"pawl/rules/desk"
)

// rangeWritten is a range that the file gives for a strip.
type rangeWritten struct {
	strip desk.Strip
	line  int
	span  span
	rank  int // the kind of place; the lowest that has any counts
}

// note keeps a range that the file gives in so many words.
func (c *checker) note(strip desk.Strip, p sheet.Place, s span, rank int) {
	if !s.all && !s.byName && s.n > 0 {
		c.written = append(c.written, rangeWritten{strip, p.Line, s, rank})
	}
}

// fill gives a span that is written as {input} alone its meaning: what the
// strips of the file say, else all that the ranges in the file cover, else as many
// as the roster has.
func (c *checker) fill(strip desk.Strip, s *span, p sheet.Place) bool {
	if !s.all {
		return true
	}
	plain, fault, hint := c.plain(strip)
	if fault != "" {
		c.wrong(p, hint, "%s", fault)
		return false
	}
	*s = plain
	return true
}

// plain is what {input} alone means.
func (c *checker) plain(strip desk.Strip) (s span, fault, hint string) {
	if at := c.file.Strips.of(strip); at.Written() && at.V.n > 0 {
		return at.V, "", ""
	}
	var first *rangeWritten
	for i := range c.written {
		w := &c.written[i]
		switch {
		case w.strip != strip || first != nil && w.rank > first.rank:
		case first == nil || w.rank < first.rank:
			first, s = w, w.span
		default:
			var alike bool
			if s, alike = s.with(w.span); !alike {
				return s, fmt.Sprintf("which range is meant? Line %d has %v, line %d has %v", first.line, &first.span, w.line, &w.span),
					fmt.Sprintf("write strips: {%s: %v} at the top of the map, or the range here", strip, &first.span)
			}
		}
	}
	n := len(rosterNames(c.roster, strip))
	switch {
	case first != nil:
		return s, "", ""
	case n > 0:
		return span{lo: 1, n: n}, "", ""
	}
	return s, fmt.Sprintf("nothing says how many %s there are", plural(strip)), fmt.Sprintf("write the range once, as in {%s:1-16}", strip)
}

func plural(s desk.Strip) string {
	if s == desk.StripDCA {
		return "DCAs"
	}
	return s.String() + "s"
}
