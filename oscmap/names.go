package oscmap

import (
	"strings"
	"unicode"

	"pawl/oscmap/wire"
	"pawl/rules/desk"
)

// maxName is longer than any name that a desk can show.
const maxName = 80

// seen is the latest text of one strip, as it came and as it reads. Desks
// repeat names for as long as they are asked; only a new one costs anything.
type seen struct {
	raw  string
	text string
}

// text appends the reading of a name.
func (h *Hearer) text(l *line, at [2]int, a *wire.Arg) {
	if !a.IsText() || len(a.Bytes) > maxName*utf8Max {
		h.emit(l, at, 0, refused)
		return
	}
	for k, s := range l.signals {
		last := &h.texts[l.names[k]+at[0]]
		if last.raw != string(a.Bytes) {
			last.raw = string(a.Bytes)
			last.text = readable(last.raw)
		}
		h.dst = append(h.dst, desk.Reading{At: h.at, Signal: s, Index: at[0], To: at[1], Text: last.text})
	}
}

const utf8Max = 4

// acts reports whether a character does something to the text around it instead of being
// seen: a control character, one that turns the direction of writing or breaks the line
// (Unicode categories Cc, Cf, Zl and Zp), but not the two joiners that scripts need.
func acts(r rune) bool {
	const nonJoiner, joiner = '\u200C', '\u200D'
	return unicode.In(r, unicode.Cc, unicode.Cf, unicode.Zl, unicode.Zp) && r != nonJoiner && r != joiner
}

// tamed is any bytes as text of which nothing acts, with another character instead.
func tamed(raw string, instead rune) string {
	return strings.Map(func(r rune) rune {
		if acts(r) {
			return instead
		}
		return r
	}, strings.ToValidUTF8(raw, "\uFFFD"))
}

// readable makes of any bytes a short line of text.
func readable(raw string) string {
	text := tamed(raw, ' ')
	if r := []rune(text); len(r) > maxName {
		text = string(r[:maxName])
	}
	return strings.TrimSpace(text)
}
