package survey

import (
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
	c := columnsFor(width)
	lines = append(lines, c.header())
	for i, r := range rows {
		if height > 0 && len(lines) == height-1 && i < len(rows)-1 {
			return append(lines, short(fmt.Sprintf("… and %d shapes more; they stand in the final table", len(rows)-i), width))
		}
		lines = append(lines, c.line(r))
	}
	return lines
}

// headline says in a sentence what has come.
func (s *Survey) headline(shapes int) string {
	c := s.Counts()
	if c.Packets == 0 {
		return "Nothing has arrived yet."
	}
	text := fmt.Sprintf("%d messages in %s, %s in %s", c.Messages, plural(c.Packets, "packet"),
		plural(uint64(shapes), "shape"), span1(c.Over))
	if c.Malformed > 0 {
		text += fmt.Sprintf("; %s not OSC, or not whole", plural(c.Malformed, "packet"))
	}
	if c.Left > 0 {
		text += fmt.Sprintf("; %s to addresses beyond the first %d, not kept", plural(c.Left, "message"), maxSources)
	}
	return text + "."
}

func plural(n uint64, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

func span1(d time.Duration) string {
	if d < time.Minute {
		return fmt.Sprintf("%.0f s", d.Seconds())
	}
	return fmt.Sprintf("%d min %02d s", d/time.Minute, d%time.Minute/time.Second)
}

// columns are the widths of a table's columns; 0 leaves one out.
type columns struct{ address, types, seen, count, values, rate, last, heard int }

func columnsFor(width int) columns {
	c := columns{types: 5, seen: 4, rate: 6, last: 6, heard: 16}
	if width >= 110 {
		c.types, c.count, c.heard = 8, 8, 26
	}
	rest := width - c.types - c.seen - c.rate - c.last - c.heard - 6
	if c.count > 0 {
		rest -= c.count + 1
	}
	c.address = rest * 11 / 20
	c.values = rest - c.address
	return c
}

func (c columns) header() string {
	return c.join("ADDRESS", "TYPES", "SEEN", "COUNT", "VALUES", "RATE", "LAST", "MAP")
}

func (c columns) line(r Row) string {
	heard := "not in the map"
	if r.Heard != "" {
		heard = r.Heard
	}
	return c.join(r.Address, r.Types, fmt.Sprint(r.Seen), fmt.Sprint(r.Count), strings.Join(r.Values, "; "),
		perSecond(r.Rate), age(r.Age), heard)
}

func (c columns) join(address, types, seen, count, values, rate, last, heard string) string {
	cells := []string{left(address, c.address), left(types, c.types), right(seen, c.seen)}
	if c.count > 0 {
		cells = append(cells, right(count, c.count))
	}
	cells = append(cells, left(values, c.values), right(rate, c.rate), right(last, c.last), left(heard, c.heard))
	return strings.TrimRight(strings.Join(cells, " "), " ")
}

func left(text string, width int) string {
	text = short(text, width)
	return text + strings.Repeat(" ", width-utf8.RuneCountInString(text))
}

func right(text string, width int) string {
	text = short(text, width)
	return strings.Repeat(" ", width-utf8.RuneCountInString(text)) + text
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
