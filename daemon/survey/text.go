package survey

import (
	"math"
	"strconv"
	"strings"
	"unicode"
)

// printable is a text fit for a terminal and a comment: no control characters,
// and of a bounded length.
func printable(b []byte) string { return clean(string(b[:min(len(b), maxText)])) }

// maxText is how many bytes of a text are looked at.
const maxText = 60

// clean puts question marks for what is no character, or none to be seen.
func clean(text string) string {
	return strings.Map(func(r rune) rune {
		if !unicode.IsPrint(r) {
			return '?'
		}
		return r
	}, strings.ToValidUTF8(text, "?"))
}

// leadingNumber reads the number that a text begins with.
func leadingNumber(text string) (x float64, rest string, ok bool) {
	text = strings.TrimSpace(strings.Replace(text, "\u2212", "-", 1))
	end := 0
	for end < len(text) && strings.IndexByte("+-.,0123456789", text[end]) >= 0 {
		end++
	}
	x, err := strconv.ParseFloat(strings.Replace(text[:end], ",", ".", 1), 64)
	return x, strings.TrimSpace(text[end:]), err == nil
}

func hasDecibels(rest string) bool {
	return len(rest) >= 2 && strings.EqualFold(rest[:2], "db")
}

// numberIn is the number that a text stands for as a map would read it: a
// number, perhaps with its unit, or one of the ways to write minus infinity.
func numberIn(text string) (float64, bool) {
	plain := strings.ToLower(strings.TrimSpace(strings.Replace(text, "\u2212", "-", 1)))
	plain = strings.TrimSpace(strings.TrimSuffix(plain, "db"))
	switch plain {
	case "-oo", "-inf", "-infinity", "-∞":
		return math.Inf(-1), true
	}
	x, rest, ok := leadingNumber(text)
	if ok && (rest == "" || hasDecibels(rest) || rest == "%" || rest == ":1") {
		return x, true
	}
	return math.NaN(), false
}

// onWords and offWords are the words that a map understands without being told.
var (
	onWords  = []string{"on", "true", "yes", "1"}
	offWords = []string{"off", "false", "no", "0"}
)

// switchWord reads a usual word of a switch.
func switchWord(text string) (on, ok bool) {
	text = strings.ToLower(strings.TrimSpace(text))
	for _, w := range onWords {
		if text == w {
			return true, true
		}
	}
	for _, w := range offWords {
		if text == w {
			return false, true
		}
	}
	return false, false
}

func switchWords(texts []string) bool {
	for _, t := range texts {
		if _, ok := switchWord(t); !ok {
			return false
		}
	}
	return true
}

// short cuts a text to a width, with a sign that it was cut.
func short(text string, width int) string {
	runes := []rune(text)
	if len(runes) <= width {
		return text
	}
	if width < 1 {
		return ""
	}
	return string(runes[:width-1]) + "…"
}
