package wire

import (
	"bytes"
	"regexp"
	"strings"
	"testing"
)

// TestMatchPublished runs osc_match.csv: the examples of OSC 1.0 (Wright,
// CNMAT, 26 March 2002) and cases built from its rules.
func TestMatchPublished(t *testing.T) {
	for _, row := range readCheck(t, "osc_match.csv") {
		want := row[2] == "1"
		if got := Match([]byte(row[0]), []byte(row[1])); got != want {
			t.Errorf("%s on %s: got %v, want %v (%s)", row[0], row[1], got, want, row[3])
		}
	}
}

// patterns has what the published cases leave open, and is the seed of fuzzing.
var patterns = []struct {
	name, pattern, address string
	want                   bool
}{
	{"no pattern at all", "/a", "/a", true},
	{"case", "/A*", "/ab", false},
	{"star in the middle part", "/in/*/quiet", "/in/7/quiet", true},
	{"star does not cross a slash", "/in/*", "/in/7/quiet", false},
	{"more parts in the pattern", "/in/*/quiet", "/in/7", false},
	{"pattern starts with another character", "x*", "/x", false},
	{"two stars in a row", "/a**b", "/ab", true},
	{"star and a false end", "/*ab", "/abaab", true},
	{"range upside down", "/[c-a]", "/b", true},
	{"range of one", "/[b-b]", "/b", true},
	{"range after a range", "/[a-cx-z]", "/y", true},
	{"minus after a range", "/[a-c-e]", "/-", true},
	{"minus after a range is no range", "/[a-c-e]", "/d", false},
	{"minus first", "/[-a]", "/-", true},
	{"empty set", "/[]", "/]", false},
	{"nothing excepted", "/[!]", "/!", true},
	{"negated set takes a character", "/a[!b]", "/a", false},
	{"negated set and a slash", "/a[!b]c", "/a/c", false},
	{"star inside a set is itself", "/[*]", "/*", true},
	{"star inside a set is no star", "/[*]", "/a", false},
	{"strings that begin alike", "/{a,ab}bc", "/abbc", true},
	{"strings that begin alike, the shorter", "/{a,ab}bc", "/abc", true},
	{"empty string in a list", "/a{,b}c", "/ac", true},
	{"empty list", "/a{}c", "/ac", true},
	{"star inside braces is itself", "/{a*,b}", "/ab", false},
	{"lists one after another", "/{1,2}{3,4}{5,6}", "/145", true},
	{"third list and what the first had", "/{a}{b}{ab}", "/ab", false},
	{"list after a star", "/*{cd,d}", "/abcd", true},
	{"comma outside braces", "/a,b*", "/a,bc", true},
	{"bracket never closed", "/[ab", "/a", false},
	{"bracket closed after a slash", "/[a/b]", "/a/b", false},
	{"brace never closed", "/{ab", "/ab", false},
	{"brace closed after a slash", "/{a/b}", "/a/b", false},
	{"lone closers", "/?]}", "/a]}", true},
	{"empty name and a star", "/*/b", "//b", false},
	{"empty name and an empty string", "/{}/b", "//b", false},
	{"empty names on both sides", "//*", "//b", true},
	{"one slash for two", "//*", "/b", false},
	{"bytes beyond ASCII", "/\xff?", "/\xff\xfe", true},
	{"empty pattern", "", "/a", false},
	{"nothing on nothing", "", "", true},
}

func TestMatch(t *testing.T) {
	for _, c := range patterns {
		t.Run(c.name, func(t *testing.T) {
			if got := Match([]byte(c.pattern), []byte(c.address)); got != c.want {
				t.Errorf("%s on %s: got %v, want %v", c.pattern, c.address, got, c.want)
			}
		})
	}
}

// TestMatchLong has patterns that a matcher which tries one way after another
// would not finish in the age of the universe.
func TestMatchLong(t *testing.T) {
	stars := "/" + strings.Repeat("*a", 500) + "b"
	lists := "/" + strings.Repeat("{a,aa,aaa}", 100) + "b"
	for _, c := range []struct {
		name, pattern, address string
		want                   bool
	}{
		{"eight stars", "/*a*a*a*a*a*a*a*b", "/" + strings.Repeat("a", 10_000), false},
		{"eight stars and the end", "/*a*a*a*a*a*a*a*b", "/" + strings.Repeat("a", 10_000) + "b", true},
		{"500 stars", stars, "/" + strings.Repeat("a", 10_000), false},
		{"500 stars and the end", stars, "/" + strings.Repeat("a", 10_000) + "b", true},
		{"as many as there are stars", stars, "/" + strings.Repeat("a", 500) + "b", true},
		{"one fewer than there are stars", stars, "/" + strings.Repeat("a", 499) + "b", false},
		{"100 lists", lists, "/" + strings.Repeat("a", 300), false},
		{"100 lists and the end", lists, "/" + strings.Repeat("a", 300) + "b", true},
		{"more than 100 lists hold", lists, "/" + strings.Repeat("a", 301) + "b", false},
		{"many parts", strings.Repeat("/*", 500), strings.Repeat("/a", 500), true},
		{"longest address", "/*b", "/" + strings.Repeat("a", MaxPacket-3) + "b", true},
		{"address too long", "/*b", "/" + strings.Repeat("a", MaxPacket-2) + "b", false},
		{"longest pattern", "/*" + strings.Repeat("a", maxPattern-2), "/" + strings.Repeat("a", maxPattern), true},
		{"pattern too long", "/*" + strings.Repeat("a", maxPattern-1), "/" + strings.Repeat("a", maxPattern), false},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := Match([]byte(c.pattern), []byte(c.address)); got != c.want {
				t.Errorf("got %v, want %v", got, c.want)
			}
		})
	}
}

// TestMatchAcrossWords moves the end of a name over the edges of the 64-bit
// words that the places are kept in.
func TestMatchAcrossWords(t *testing.T) {
	for n := range 200 {
		name := strings.Repeat("a", n)
		for _, c := range []struct {
			pattern string
			want    bool
		}{
			{"/*b", true}, {"/*ab", n > 0}, {"/?*b", n > 0}, {"/" + strings.Repeat("?", n+1), true},
			{"/" + strings.Repeat("?", n), false}, {"/*{ab,b}", true}, {"/*c", false}, {"/*b?", false},
		} {
			if got := Match([]byte(c.pattern), []byte("/"+name+"b")); got != c.want {
				t.Errorf("%s on %d times a and b: got %v, want %v", c.pattern, n, got, c.want)
			}
		}
	}
}

// FuzzMatch compares Match with regular expressions made of the pattern part by part.
func FuzzMatch(f *testing.F) {
	for _, c := range patterns {
		f.Add([]byte(c.pattern), []byte(c.address))
	}
	for _, row := range readCheck(f, "osc_match.csv") {
		f.Add([]byte(row[0]), []byte(row[1]))
	}
	f.Fuzz(func(t *testing.T, pattern, address []byte) {
		if len(pattern) > 200 || len(address) > 200 {
			return // the reference is slow to compile
		}
		got := Match(pattern, address)
		if want := matchByRegexp(pattern, address); got != want {
			t.Errorf("%q on %q: got %v, want %v", pattern, address, got, want)
		}
		if !IsPattern(address) && !Match(address, address) {
			t.Errorf("%q does not match itself", address)
		}
	})
}

// matchByRegexp is a second opinion that shares nothing with Match.
func matchByRegexp(pattern, address []byte) bool {
	parts, names := bytes.Split(pattern, []byte{'/'}), bytes.Split(address, []byte{'/'})
	if len(parts) != len(names) {
		return false
	}
	for i, part := range parts {
		if len(names[i]) == 0 && len(part) != 0 {
			return false
		}
		re, ok := toRegexp(part)
		if !ok || !re.MatchString(latin1(names[i])) {
			return false
		}
	}
	return true
}

var tokens = regexp.MustCompile(`(?s)\[[^]]*\]|\{[^}]*\}|.`)

func toRegexp(part []byte) (*regexp.Regexp, bool) {
	whole := tokens.ReplaceAllStringFunc(latin1(part), func(token string) string {
		switch {
		case token == "*":
			return ".*"
		case token == "?":
			return "."
		case len(token) > 1 && token[0] == '[':
			return setToRegexp([]rune(token[1 : len(token)-1]))
		case len(token) > 1 && token[0] == '{':
			list := strings.Split(token[1:len(token)-1], ",")
			for i := range list {
				list[i] = regexp.QuoteMeta(list[i])
			}
			return "(?:" + strings.Join(list, "|") + ")"
		case token == "[" || token == "{":
			return "\x00unclosed"
		}
		return regexp.QuoteMeta(token)
	})
	if strings.Contains(whole, "\x00unclosed") {
		return nil, false
	}
	re, err := regexp.Compile(`(?s)\A(?:` + whole + `)\z`)
	return re, err == nil
}

// setToRegexp tries each of the 256 bytes on the list and names those it holds.
func setToRegexp(list []rune) string {
	negated := len(list) > 0 && list[0] == '!'
	if negated {
		list = list[1:]
	}
	var alternatives []string
	for c := rune(0); c < 256; c++ {
		if inSet(list, c) != negated {
			alternatives = append(alternatives, regexp.QuoteMeta(string(c)))
		}
	}
	if len(alternatives) == 0 {
		return `[^\x{0}-\x{10FFFF}]`
	}
	return "(?:" + strings.Join(alternatives, "|") + ")"
}

func inSet(list []rune, c rune) bool {
	for i := 0; i < len(list); i++ {
		if i+2 < len(list) && list[i+1] == '-' {
			low, high := list[i], list[i+2]
			if low <= c && c <= high || high <= c && c <= low {
				return true
			}
			i += 2
		} else if list[i] == c {
			return true
		}
	}
	return false
}

// latin1 makes a rune of each byte, so that a regular expression counts bytes.
func latin1(b []byte) string {
	runes := make([]rune, len(b))
	for i, c := range b {
		runes[i] = rune(c)
	}
	return string(runes)
}
