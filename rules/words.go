package rules

import (
	"fmt"
	"math"
	"strings"
	"time"
	"unicode/utf8"

	"pawl/rules/desk"
)

// join lists names as a sentence would: "piano, fiddle and accordion".
func join(names []string) string {
	if n := len(names); n > 1 {
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	}
	return strings.Join(names, "")
}

// sentence gives a text the capital that begins a sentence.
func sentence(s string) string {
	_, size := utf8.DecodeRuneInString(s)
	return strings.ToUpper(s[:size]) + s[size:]
}

// spell writes a length of time as one would say it: "65 s", "3 min", "2 min 30 s".
func spell(d time.Duration) string {
	s := int(d.Round(time.Second) / time.Second)
	switch {
	case s < 100:
		return fmt.Sprintf("%d s", s)
	case s%60 == 0:
		return fmt.Sprintf("%d min", s/60)
	}
	return fmt.Sprintf("%d min %d s", s/60, s%60)
}

// shown is a number as its one decimal shows it.
func shown(d desk.DB) desk.DB { return desk.DB(math.Round(float64(d)*10) / 10) }
