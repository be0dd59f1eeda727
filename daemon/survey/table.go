package survey

import (
	"cmp"
	"fmt"
	"strings"
	"time"
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
	w := widthsFor(width)
	lines = append(lines, w.line("ADDRESS", "TYPES", "SEEN", "COUNT", "VALUES", "RATE", "LAST", "MAP"))
	for i, r := range rows {
		row := w.row(&r)
		room := height - len(lines)
		if i < len(rows)-1 {
			room-- // for how many are left
		}
		if height > 0 && len(row) > room {
			return append(lines, short(fmt.Sprintf("… and %s more; they stand in the final table", plural(len(rows)-i, "shape")), width))
		}
		lines = append(lines, row...)
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

// widths are those of the table's columns, negative where text stands to the left, 0
// where a narrow screen has no room.
type widths [8]int

func widthsFor(width int) widths {
	w, rest := widths{0, -5, 4, 0, 0, 6, 6, -16}, width-43 // those and the spaces between
	switch {
	case width >= 110:
		w, rest = widths{0, -8, 4, 8, 0, 6, 6, -26}, width-65
	case width < 66: // or eight letters of a name would not fit among the values
		w, rest = widths{0, -5, 4, 0, 0, 0, 6, -16}, width-36
	}
	w[0] = -rest * 11 / 20 // of an address the end matters as much as the beginning
	w[4] = -rest - w[0]
	return w
}

// row is a line for a row, and one more for each signal after the first that the map
// hears in the same messages: side by side they would be cut.
func (w widths) row(r *Row) []string {
	values, heard := []string{r.Shown()}, []string{cmp.Or(r.HeardAs(), "not in the map")}
	if len(r.Heard) > 1 {
		values, heard = nil, nil
		for _, h := range r.Heard {
			values, heard = append(values, h.Values), append(heard, h.Signal)
		}
		if len(r.Left) > 0 {
			heard[len(heard)-1] += ", in part"
		}
	}
	lines := []string{w.line(r.Address, r.Types, fmt.Sprint(r.Seen), fmt.Sprint(r.Count), values[0], perSecond(r.Rate), age(r.Age), heard[0])}
	for i := 1; i < len(heard); i++ {
		lines = append(lines, w.line("", "", "", "", values[i], "", "", heard[i]))
	}
	return lines
}

func (w widths) line(cells ...string) string {
	var all []string
	for i, width := range w {
		if width != 0 {
			all = append(all, fmt.Sprintf("%*s", width, short(cells[i], max(width, -width))))
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
