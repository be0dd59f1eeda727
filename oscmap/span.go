package oscmap

import (
	"cmp"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"pawl/oscmap/sheet"
	"pawl/rules/desk"
)

// maxSpan is more strips than any desk has.
const maxSpan = 1024

// span is how a desk writes the indices of a strip: as numbers, perhaps padded
// with zeros, as letters, or as words of its own.
type span struct {
	all    bool // as written elsewhere in the map, or as many as the roster has
	byName bool // by the names in the roster

	first int      // the index of the first, from 0
	lo, n int      // the numbers lo to lo+n-1
	width int      // of a padded number; 0 for none
	words []string // instead of numbers
}

const spanForm = `^(all|by-name|([0-9]+(-[0-9]+)?|[A-Z]-[A-Z]|[a-z]-[a-z]|[^ #*,/?{}\[\]=:]+(,[^ #*,/?{}\[\]=:]+)+)(=[0-9]+)?)$`

var spanWritten = regexp.MustCompile(spanForm)

const spanHint = "as in 1-16, 0-15, 01-16, A-H, left,right or 33-48=1"

// parseSpan reads a span; fault is empty if it went well.
func parseSpan(text string) (s span, fault string) {
	switch {
	case text == "all":
		return span{all: true}, ""
	case text == "by-name":
		return span{byName: true}, ""
	case !spanWritten.MatchString(text):
		return s, "no range"
	}
	body, first, shifted := strings.Cut(text, "=")
	switch {
	case strings.Contains(body, ","):
		s.words = strings.Split(body, ",")
	case len(body) == 3 && body[1] == '-' && body[0] >= 'A':
		if body[2] < body[0] {
			return s, "the range runs backwards"
		}
		for c := body[0]; c <= body[2]; c++ {
			s.words = append(s.words, string(c))
		}
	default:
		if fault := s.numbers(body); fault != "" {
			return s, fault
		}
	}
	if s.words != nil {
		s.n = len(s.words)
		if same := slices.Clone(s.words); len(slices.Compact(slices.Sorted(slices.Values(same)))) < s.n {
			return s, "a word written twice"
		}
	}
	if shifted {
		n, err := strconv.Atoi(first)
		if err != nil || n < 1 || n > maxSpan {
			return s, "after = stands the strip that the first one is, from 1"
		}
		s.first = n - 1
	}
	if s.n > maxSpan || s.first+s.n > maxSpan {
		return s, "more than " + strconv.Itoa(maxSpan) + " strips"
	}
	return s, ""
}

// numbers reads "1-16". A range that begins at 0 is that of a desk that counts
// from 0; all others are taken to count from 1, so that 9-16 begins at the ninth.
func (s *span) numbers(body string) (fault string) {
	from, to, ranged := strings.Cut(body, "-")
	if !ranged {
		to = from
	}
	lo, err1 := strconv.Atoi(from)
	hi, err2 := strconv.Atoi(to)
	switch {
	case err1 != nil || err2 != nil || hi > 99999:
		return "a number beyond 99999"
	case hi < lo:
		return "the range runs backwards"
	}
	s.lo, s.n, s.first = lo, hi-lo+1, max(lo-1, 0)
	if len(from) > 1 && from[0] == '0' {
		s.width = len(from)
	}
	if !ranged && lo == 0 {
		s.first = 0
	}
	// Beyond maxSpan only = can say which strip the first one is.
	if s.first >= maxSpan {
		s.first = 0
	}
	return ""
}

// spelled is how the desk writes number i of the span, from 0.
func (s *span) spelled(i int) string {
	if s.words != nil {
		return s.words[i]
	}
	text := strconv.Itoa(s.lo + i)
	if len(text) < s.width {
		text = strings.Repeat("0", s.width-len(text)) + text
	}
	return text
}

// numbered finds the index that a number in an argument stands for.
func (s *span) numbered(x float64) (index int, ok bool) {
	i := x - float64(s.lo)
	if s.words != nil || !(i >= 0 && i < float64(s.n)) || i != float64(int(i)) {
		return 0, false
	}
	return s.first + int(i), true
}

// worded finds the index that a text in an argument stands for.
func (s *span) worded(text []byte) (index int, ok bool) {
	if s.words != nil {
		for i, w := range s.words {
			if w == string(text) {
				return s.first + i, true
			}
		}
		return 0, false
	}
	x, rest, ok := parseNumber(text)
	if !ok || len(rest) > 0 {
		return 0, false
	}
	return s.numbered(x)
}

// disjoint reports whether no argument could be of both.
func (s *span) disjoint(o *span) bool {
	switch {
	case s.byName || o.byName:
		return false
	case s.words == nil && o.words == nil:
		return s.lo+s.n <= o.lo || o.lo+o.n <= s.lo
	case s.words == nil || o.words == nil:
		return true
	}
	return !slices.ContainsFunc(s.words, func(w string) bool { return slices.Contains(o.words, w) })
}

// with is the span of two that count alike: the same words, or numbers that
// mean the same strips.
func (s span) with(o span) (span, bool) {
	if s.words != nil || o.words != nil {
		return s, s.first == o.first && slices.Equal(s.words, o.words)
	}
	if s.width != o.width || s.first-s.lo != o.first-o.lo {
		return s, false
	}
	end := max(s.lo+s.n, o.lo+o.n)
	if o.lo < s.lo {
		s.lo, s.first = o.lo, o.first
	}
	s.n = end - s.lo
	return s, true
}

// String is the span as a map would write it.
func (s *span) String() string {
	usual, text := 0, ""
	switch {
	case s.all:
		return "all"
	case s.byName:
		return "by-name"
	case s.words != nil:
		text = strings.Join(s.words, ",")
	default:
		text, usual = s.spelled(0), max(s.lo-1, 0)
		if s.n > 1 {
			text += "-" + s.spelled(s.n-1)
		}
	}
	if s.first != usual {
		text += "=" + strconv.Itoa(s.first+1)
	}
	return text
}

// FromSheet reads a span in a file.
func (s *span) FromSheet(n *sheet.Node) {
	var fault string
	if *s, fault = parseSpan(n.Text()); fault != "" {
		n.Wrong(spanHint, "found %s, %s; want a range", n.Found(), fault)
	}
}

// Forms says how a span is written.
func (span) Forms() []any { return []any{sheet.Pattern(spanForm), 0} }

// eachSpan is "input", or "input:1-16".
type eachSpan struct {
	strip desk.Strip
	span
}

const eachForm = `^(input|dca|group)(:.+)?$`

// FromSheet reads it in a file.
func (e *eachSpan) FromSheet(n *sheet.Node) {
	word, rest, ranged := strings.Cut(n.Text(), ":")
	e.span = span{all: true}
	e.strip = stripNamed(word)
	if e.strip == desk.NoStrip {
		n.Wrong("", "found %s; want input, dca or group, perhaps with a range, as in input:1-16", n.Found())
		return
	}
	if !ranged {
		return
	}
	var fault string
	if e.span, fault = parseSpan(rest); fault != "" || e.byName {
		n.Wrong(spanHint, "found %s, %s; want a range after the colon", n.Found(), cmp.Or(fault, "which has no order"))
	}
}

// Forms says how it is written.
func (eachSpan) Forms() []any { return []any{sheet.Pattern(eachForm)} }

var indexed = []desk.Strip{desk.StripInput, desk.StripDCA, desk.StripGroup}

func stripNamed(word string) desk.Strip {
	for _, s := range indexed {
		if s.String() == word {
			return s
		}
	}
	return desk.NoStrip
}
