package survey

import (
	"cmp"
	"fmt"
	"strings"
	"time"
	"unicode/utf8"
)

// Table is everything heard so far as lines of text no wider than width, of which
// there are at most height; 0 is as many as it takes. A width below 60 counts as
// 60: narrower, nothing is left of the addresses.
func (s *Survey) Table(width, height int) []string {
	width = max(width, 60)
	rows := s.Rows()
	lines := []string{short(s.headline(len(rows)), width)}
	if len(rows) == 0 {
		return lines
	}
	columns := columnsFor(width)
	var header [8]string
	for i, c := range columns {
		header[i] = c.title
	}
	lines = append(lines, joined(columns, header))
	for i, r := range rows {
		if height > 0 && len(lines) == height-1 && i < len(rows)-1 {
			return append(lines, short(fmt.Sprintf("… and %d shapes more; they stand in the final table", len(rows)-i), width))
		}
		lines = append(lines, joined(columns, r.cells()))
	}
	for _, r := range rows {
		if height == 0 && len(r.Left) > 0 {
			text := fmt.Sprintf("%s is heard in part. The map does not read: %s.", r.Address, strings.Join(r.Left, "; "))
			lines = append(lines, Wrap(text, width)...)
		}
	}
	return lines
}

// headline says in a sentence what has come.
func (s *Survey) headline(shapes int) string {
	c := s.Counts()
	if c.Packets == 0 {
		return "Nothing has arrived yet."
	}
	over := fmt.Sprintf("%.0f s", c.Over.Seconds())
	if c.Over >= time.Minute {
		over = fmt.Sprintf("%d min %02d s", c.Over/time.Minute, c.Over%time.Minute/time.Second)
	}
	text := fmt.Sprintf("%d messages in %s, %s in %s", c.Messages, plural(c.Packets, "packet"), plural(shapes, "shape"), over)
	if c.Malformed > 0 {
		text += fmt.Sprintf("; %s not OSC, or not whole", plural(c.Malformed, "packet"))
	}
	if c.Left > 0 {
		text += fmt.Sprintf("; %s to addresses beyond the first %d, not kept", plural(c.Left, "message"), maxStreams)
	}
	return text + "."
}

func plural[N int | uint64](n N, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// tableColumn is one column of the table; one without a width is left out.
type tableColumn struct {
	title string
	width int
	right bool // figures, one below the other
}

func columnsFor(width int) [8]tableColumn {
	c := [...]tableColumn{{"ADDRESS", 0, false}, {"TYPES", 5, false}, {"SEEN", 4, true}, {"COUNT", 0, true},
		{"VALUES", 0, false}, {"RATE", 6, true}, {"LAST", 6, true}, {"MAP", 16, false}}
	rest := width - 6 // the spaces between seven columns
	if width >= 110 {
		c[1].width, c[3].width, c[7].width = 8, 8, 26
		rest--
	}
	for _, column := range c {
		rest -= column.width
	}
	c[0].width = rest * 11 / 20 // of an address the end matters as much as the beginning
	c[4].width = rest - c[0].width
	return c
}

func (r *Row) cells() [8]string {
	return [8]string{r.Address, r.Types, fmt.Sprint(r.Seen), fmt.Sprint(r.Count), r.Shown(),
		perSecond(r.Rate), age(r.Age), cmp.Or(r.HeardAs(), "not in the map")}
}

func joined(columns [8]tableColumn, cells [8]string) string {
	var all []string
	for i, c := range columns {
		text := short(cells[i], c.width)
		space := strings.Repeat(" ", max(c.width-utf8.RuneCountInString(text), 0))
		switch {
		case c.width == 0:
		case c.right:
			all = append(all, space+text)
		default:
			all = append(all, text+space)
		}
	}
	return strings.TrimRight(strings.Join(all, " "), " ")
}

func perSecond(r float64) string {
	switch {
	case r == 0:
		return "-"
	case r < 9.5:
		return fmt.Sprintf("%.1f/s", r)
	}
	return fmt.Sprintf("%.0f/s", r)
}

func age(seconds float64) string {
	switch {
	case seconds < 0.95:
		return "now"
	case seconds < 99.5:
		return fmt.Sprintf("%.0f s", seconds)
	}
	return fmt.Sprintf("%.0f min", seconds/60)
}
