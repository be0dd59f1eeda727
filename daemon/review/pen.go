package review

import (
	"bufio"
	"io"
	"strings"
	"unicode"
	"unicode/utf8"
)

// TextOptions say what a review is printed on.
type TextOptions struct {
	Width  int  // columns; 80 if 0, and at least 40
	Colour bool // bold and dim may be used; nothing is told by them alone
}

// pen writes text for a person within a width.
type pen struct {
	w      *bufio.Writer
	width  int
	colour bool
}

func newPen(w io.Writer, o TextOptions) *pen {
	if o.Width == 0 {
		o.Width = 80
	}
	// Beyond a hundred columns lines are too long to be read.
	return &pen{bufio.NewWriter(w), max(40, min(o.Width, 100)), o.Colour}
}

// tone is how a text stands out on a terminal that can.
type tone string

const (
	plain tone = ""
	bold  tone = "\x1b[1m"
	dim   tone = "\x1b[2m"
)

func (p *pen) toned(t tone, text string) string {
	if !p.colour || t == plain || text == "" {
		return text
	}
	return string(t) + text + "\x1b[0m"
}

func (p *pen) blank() { p.w.WriteByte('\n') }

// heading writes the title of a part.
func (p *pen) heading(text string) {
	p.blank()
	p.para(0, bold, text)
}

// para writes a text from a column on, broken between words.
func (p *pen) para(from int, t tone, text string) { p.beside("", from, t, text) }

// beside writes a text from a column on, with a label before its first line. A label that
// is too long stands on a line of its own.
func (p *pen) beside(label string, from int, t tone, text string) {
	label = visible(label)
	if wide(label) >= from && label != "" {
		p.w.WriteString(label + "\n")
		label = ""
	}
	for _, line := range broken(visible(text), p.width-from) {
		p.w.WriteString(label + strings.Repeat(" ", from-wide(label)) + p.toned(t, line) + "\n")
		label = ""
	}
}

// wide is how many columns a text takes; marks that stand on the letter before them take
// none.
func wide(text string) (n int) {
	for _, r := range text {
		if !unicode.Is(unicode.Mn, r) {
			n++
		}
	}
	return n
}

// broken is a text in lines of at most so many columns. A word that is longer is broken.
func broken(text string, width int) (lines []string) {
	line, n := "", 0
	for _, word := range strings.Fields(text) {
		for wide(word) > width {
			if n > 0 {
				lines, line, n = append(lines, line), "", 0
			}
			cut := 0
			for range width {
				_, size := utf8.DecodeRuneInString(word[cut:])
				cut += size
			}
			lines, word = append(lines, word[:cut]), word[cut:]
		}
		switch w := wide(word); {
		case w == 0:
		case n == 0:
			line, n = word, w
		case n+1+w <= width:
			line, n = line+" "+word, n+1+w
		default:
			lines, line, n = append(lines, line), word, w
		}
	}
	if n > 0 || len(lines) == 0 {
		lines = append(lines, line)
	}
	return lines
}

// visible is a text without what a terminal would obey: names come from desks, and notes
// from whoever is on the network.
func visible(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\t':
			return ' '
		case r == utf8.RuneError || unicode.Is(unicode.Cc, r) || unicode.Is(unicode.Cf, r) && r != '\u200d':
			return '?'
		}
		return r
	}, text)
}
