package oscmap

import (
	"bytes"
	"math"
)

// parseNumber reads a decimal number at the start of text, with a point or a
// comma, and gives what follows it without spaces. It allocates nothing. Desks
// write numbers for people, so a real minus sign counts as one.
func parseNumber(text []byte) (x float64, rest []byte, ok bool) {
	text = bytes.TrimSpace(text)
	text, minus := cutSign(text)
	whole, digits := 0.0, 0
	for len(text) > 0 && isDigit(text[0]) {
		whole = whole*10 + float64(text[0]-'0')
		text, digits = text[1:], digits+1
	}
	if len(text) > 1 && (text[0] == '.' || text[0] == ',') && isDigit(text[1]) {
		text = text[1:]
		part, unit := 0.0, 1.0
		for len(text) > 0 && isDigit(text[0]) {
			if unit < 1e15 {
				part, unit = part*10+float64(text[0]-'0'), unit*10
			}
			text, digits = text[1:], digits+1
		}
		whole += part / unit
	}
	if digits == 0 {
		return 0, nil, false
	}
	if minus {
		whole = -whole
	}
	return whole, bytes.TrimSpace(text), true
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

// cutSign takes a sign away, and whether it was a minus.
func cutSign(text []byte) (rest []byte, minus bool) {
	switch {
	case len(text) > 0 && text[0] == '-':
		return text[1:], true
	case len(text) > 0 && text[0] == '+':
		return text[1:], false
	case len(text) > 2 && string(text[:3]) == "\u2212":
		return text[3:], true
	}
	return text, false
}

// isMinusInfinity knows the ways in which desks write that a fader is closed.
func isMinusInfinity(text []byte) bool {
	text = bytes.TrimSpace(text)
	if equalFold(text, "off") || equalFold(text, "closed") {
		return true
	}
	text, minus := cutSign(text)
	if !minus {
		return false
	}
	text = bytes.TrimSpace(text)
	if n := len(text); n > 2 && equalFold(text[n-2:], "db") {
		text = bytes.TrimSpace(text[:n-2])
	}
	return equalFold(text, "inf") || equalFold(text, "infinity") || string(text) == "oo" || string(text) == "∞"
}

// TextNumber reads the number that a text begins with, as a map does, or one of the
// ways to write minus infinity, and gives what follows it without spaces. A word of
// a switch, such as off, is no number.
func TextNumber(text []byte) (x float64, rest []byte, ok bool) {
	if _, isSwitch := SwitchText(text); isMinusInfinity(text) && !isSwitch {
		return math.Inf(-1), nil, true
	}
	return parseNumber(text)
}

// SwitchText reads the usual words of a switch: on, off, true, 0 and the like.
func SwitchText(text []byte) (on, ok bool) {
	text = bytes.TrimSpace(text)
	switch {
	case equalFold(text, "on"), equalFold(text, "true"), equalFold(text, "yes"), string(text) == "1":
		return true, true
	case equalFold(text, "off"), equalFold(text, "false"), equalFold(text, "no"), string(text) == "0":
		return false, true
	}
	return false, false
}

// equalFold compares with a lower-case word, whatever the case of ASCII letters.
func equalFold(text []byte, word string) bool {
	if len(text) != len(word) {
		return false
	}
	for i := range text {
		if lower(text[i]) != word[i] {
			return false
		}
	}
	return true
}

func lower(c byte) byte {
	if c >= 'A' && c <= 'Z' {
		return c + 'a' - 'A'
	}
	return c
}

// appendPlain appends a name with all that differs between the way a roster
// and an address write it taken out: case, spaces, and signs.
func appendPlain(dst []byte, name []byte) []byte {
	for _, c := range name {
		c = lower(c)
		if c >= 'a' && c <= 'z' || isDigit(c) || c >= 0x80 {
			dst = append(dst, c)
		}
	}
	return dst
}
