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

// plainSpan is what {input} alone means, found at the first need.
type plainSpan struct {
	span  span
	fault string
	hint  string
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
	known := c.spans[strip]
	if known == nil {
		known = c.plain(strip)
		c.spans[strip] = known
	}
	if known.fault != "" {
		c.wrong(p, known.hint, "%s", known.fault)
		return false
	}
	*s = known.span
	return true
}

func (c *checker) plain(strip desk.Strip) *plainSpan {
	if at := c.file.Strips.of(strip); at.Written() && at.V.n > 0 {
		return &plainSpan{span: at.V}
	}
	if known := c.covered(strip); known != nil {
		return known
	}
	if n := len(rosterNames(c.roster, strip)); n > 0 {
		return &plainSpan{span: span{lo: 1, n: n}}
	}
	return &plainSpan{
		fault: fmt.Sprintf("nothing says how many %s there are", plural(strip)),
		hint:  fmt.Sprintf("write the range once, as in {%s:1-16}", strip),
	}
}

// covered is all that the ranges of the file cover, if they count alike.
func (c *checker) covered(strip desk.Strip) *plainSpan {
	var first *rangeWritten
	var all span
	for i := range c.written {
		w := &c.written[i]
		switch {
		case w.strip != strip || first != nil && w.rank > first.rank:
		case first == nil || w.rank < first.rank:
			first, all = w, w.span
		default:
			var alike bool
			if all, alike = all.with(w.span); !alike {
				return &plainSpan{
					fault: fmt.Sprintf("which range is meant? Line %d has %v, line %d has %v", first.line, &first.span, w.line, &w.span),
					hint:  fmt.Sprintf("write strips: {%s: %v} at the top of the map, or the range here", strip, &first.span),
				}
			}
		}
	}
	if first == nil {
		return nil
	}
	return &plainSpan{span: all}
}

func plural(s desk.Strip) string {
	if s == desk.StripDCA {
		return "DCAs"
	}
	return s.String() + "s"
}
