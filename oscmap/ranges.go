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
	plain, known := c.plainly[strip]
	if !known {
		plain = c.plain(strip)
		c.plainly[strip] = plain
	}
	if plain.fault != "" {
		c.wrong(p, plain.hint, "%s", plain.fault)
		return false
	}
	*s = plain.span
	return true
}

// plainSpan is what {input} alone means, or why that is not known.
type plainSpan struct {
	span        span
	fault, hint string
}

func (c *checker) plain(strip desk.Strip) (s plainSpan) {
	if at := c.file.Strips.of(strip); at.Written() && at.V.n > 0 {
		return plainSpan{span: at.V}
	}
	var first *rangeWritten
	for i := range c.written {
		w := &c.written[i]
		switch {
		case w.strip != strip || first != nil && w.rank > first.rank:
		case first == nil || w.rank < first.rank:
			first, s.span = w, w.span
		default:
			var alike bool
			if s.span, alike = s.span.with(w.span); !alike {
				s.fault = fmt.Sprintf("which range is meant? Line %d has %v, line %d has %v", first.line, &first.span, w.line, &w.span)
				s.hint = fmt.Sprintf("write strips: {%s: %v} at the top of the map, or the range here", strip, &first.span)
				return s
			}
		}
	}
	switch n := len(rosterNames(c.roster, strip)); {
	case first != nil:
	case n > 0:
		s.span = span{lo: 1, n: n}
	default:
		s.fault = fmt.Sprintf("nothing says how many %s there are", plural(strip))
		s.hint = fmt.Sprintf("write the range once, as in {%s:1-16}", strip)
	}
	return s
}

func plural(s desk.Strip) string {
	if s == desk.StripDCA {
		return "DCAs"
	}
	return s.String() + "s"
}
