package survey

import (
	"math"
	"strings"
	"unicode"

	"pawl/oscmap"
)

// maxText is how many bytes of a text are looked at.
const maxText = 60

// printable is a text fit for a terminal and a comment: no control characters,
// and of a bounded length.
func printable(b []byte) string { return clean(string(b[:min(len(b), maxText)])) }

// clean puts question marks for what is no character, or none to be seen.
func clean(text string) string {
	return strings.Map(func(r rune) rune {
		if !unicode.IsPrint(r) {
			return '?'
		}
		return r
	}, strings.ToValidUTF8(text, "?"))
}

// numberIn is the number that a whole text stands for: a number, perhaps with its
// unit, or minus infinity.
func numberIn(text string) (float64, bool) {
	x, rest, ok := oscmap.TextNumber([]byte(text))
	if ok && (len(rest) == 0 || isDecibels(rest) || string(rest) == "%" || string(rest) == ":1") {
		return x, true
	}
	return math.NaN(), false
}

func isDecibels(rest []byte) bool {
	return len(rest) >= 2 && strings.EqualFold(string(rest[:2]), "db")
}

// short cuts a text to a width, with a sign that it was cut.
func short(text string, width int) string {
	runes := []rune(text)
	if len(runes) <= width {
		return text
	}
	return string(runes[:max(width-1, 0)]) + "…"
}

func upper(text string) string { return strings.ToUpper(text[:1]) + text[1:] }
