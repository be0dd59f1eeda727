package survey

import (
	"fmt"
	"iter"
	"maps"
	"slices"
	"strconv"
	"strings"
)

// shape is all the streams whose addresses differ only in what counts or names the
// strips.
type shape struct {
	parts []string // what stays the same; between two of them varies something
	vars  []variable

	// byArgument is true if the last variable is not in the address, but is the argument
	// number indexAt. word is what stands in argument wordAt of all, if that tells them apart.
	byArgument      bool
	indexAt, wordAt int
	word            string
	members         []member
}

// variable is one place where the addresses of a shape differ.
type variable struct {
	named bool
	width int // of numbers padded with zeros
	texts []string
}

// member is one stream of a shape, with what stands in each of its variables.
type member struct {
	at []string
	*stream
}

// pattern is the shape as a person reads it, with a star for whatever varies.
func (s *shape) pattern() string {
	text := strings.Join(s.parts, "*")
	if s.byArgument {
		text += " #"
	}
	if s.wordAt >= 0 {
		text += " " + strconv.Quote(s.word)
	}
	return text
}

// cutNumbers takes an address apart at its numbers.
func cutNumbers(address string) (parts, numbers []string) {
	from := 0
	for i := 0; i < len(address); {
		end := i
		for end < len(address) && isDigit(address[end]) {
			end++
		}
		// Longer ones are times or serial numbers, and count no strips.
		if n := end - i; n > 0 && n <= 5 {
			parts, numbers = append(parts, address[from:i]), append(numbers, address[i:end])
			from = end
		}
		i = max(end, i+1)
	}
	return append(parts, address[from:]), numbers
}

// cutLetters takes an address apart at a segment that is one letter, if letters count there.
func cutLetters(parts, at []string, counting map[string]bool) ([]string, []string) {
	// Above numbers a letter is of a bank of strips, and the number counts them.
	for i, part := range parts {
		segments := strings.Split(part, "/")
		for k := 1; k < len(segments) && i == len(parts)-1; k++ {
			if !isLetter(segments[k]) || !counting[stemBefore(parts, at, i, segments[:k])] {
				continue
			}
			parts = slices.Concat(parts[:i:i], []string{strings.Join(segments[:k], "/") + "/", strings.TrimSuffix("/"+strings.Join(segments[k+1:], "/"), "/")}, parts[i+1:])
			return parts, slices.Insert(slices.Clone(at), i, segments[k])
		}
	}
	return parts, at
}

// stemBefore is what stands before a segment, with a star for each number.
func stemBefore(parts, at []string, i int, before []string) string {
	return strings.Join(parts[:i], "*") + "*" + strings.Join(before, "/")
}

// fewestLetters is how many letters count, one after another, where each is a segment.
const fewestLetters = 3

// counting finds where single letters count strips, as a, b and c do and l and r do not.
func (s *Survey) counting() map[string]bool {
	seen := map[string]map[int]bool{}
	for _, st := range s.order {
		parts, at := cutNumbers(st.shown)
		for i, part := range parts {
			segments := strings.Split(part, "/")
			for k := 1; k < len(segments); k++ {
				if isLetter(segments[k]) && i == len(parts)-1 {
					stem := stemBefore(parts, at, i, segments[:k])
					if seen[stem] == nil {
						seen[stem] = map[int]bool{}
					}
					seen[stem][number(segments[k])] = true
				}
			}
		}
	}
	out := map[string]bool{}
	for stem, letters := range seen {
		all := slices.Sorted(maps.Keys(letters))
		out[stem] = len(all) >= fewestLetters && all[len(all)-1]-all[0] == len(all)-1
	}
	return out
}

func isLetter(text string) bool {
	return len(text) == 1 && (text[0] >= 'a' && text[0] <= 'z' || text[0] >= 'A' && text[0] <= 'Z')
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

// shapes groups what was heard, in the order in which it was first heard.
func (s *Survey) shapes() []*shape {
	byKey, counting := map[string]*shape{}, s.counting()
	var order []*shape
	for _, st := range s.order {
		if !st.seen() {
			continue
		}
		v, word := st.of.view(), ""
		parts, at := cutNumbers(st.shown)
		parts, at = cutLetters(parts, at, counting)
		key := strings.Join(parts, "\x00")
		if v.at >= 0 {
			key += fmt.Sprint("\x01", v.at) // an address may be sent both with and without an index
			at = append(at, strconv.Itoa(st.first))
		}
		if v.word >= 0 {
			word = clean(st.word)
			key += fmt.Sprint("\x02", v.word, word)
		}
		sh := byKey[key]
		if sh == nil {
			sh = &shape{parts: parts, byArgument: v.at >= 0, indexAt: v.at, wordAt: v.word, word: word}
			byKey[key] = sh
			order = append(order, sh)
		}
		sh.members = append(sh.members, member{at, st})
	}
	for _, sh := range order {
		sh.separate()
	}
	return byNames(order)
}

// separate makes text again of the numbers that never differ, and notes the others.
func (s *shape) separate() {
	n := len(s.members[0].at)
	parts := slices.Clone(s.parts[:1])
	var keep []int
	for i := range n {
		texts := map[string]bool{}
		for _, m := range s.members {
			texts[m.at[i]] = true
		}
		inArgument := s.byArgument && i == n-1
		if len(texts) == 1 && !inArgument {
			parts[len(parts)-1] += s.members[0].at[i] + s.parts[i+1]
			continue
		}
		keep = append(keep, i)
		v := variable{texts: slices.SortedFunc(maps.Keys(texts), func(a, b string) int { return number(a) - number(b) })}
		for _, t := range v.texts {
			if len(t) > 1 && t[0] == '0' {
				v.width = max(v.width, len(t))
			}
		}
		s.vars = append(s.vars, v)
		if !inArgument {
			parts = append(parts, s.parts[i+1])
		}
	}
	s.parts = parts
	for i, m := range s.members {
		at := make([]string, len(keep))
		for k, from := range keep {
			at[k] = m.at[from]
		}
		s.members[i].at = at
	}
}

// letters are the numbers of letters that count: above all that stand in addresses.
const letters = 1 << 20

// number is the number that a text is, also of a letter; -1 of another.
func number(text string) int {
	if isLetter(text) {
		return letters + int(text[0])
	}
	n, err := strconv.Atoi(text)
	if err != nil {
		return -1
	}
	return n
}

// numeral is a number of so many digits as an address has it.
func numeral(n, width int) string {
	if n >= letters {
		return string(rune(n - letters))
	}
	return fmt.Sprintf("%0*d", width, n)
}

// lowest is the member with the lowest number, or if they have names the first.
func (s *shape) lowest() member {
	return slices.MinFunc(s.members, func(a, b member) int {
		if len(s.vars) == 0 || s.vars[0].named {
			return 0
		}
		return number(a.at[0]) - number(b.at[0])
	})
}

// slotAt is argument arg of a member, nil if it has none.
func (m member) slotAt(arg int) *slot {
	if k := arg - m.from; k >= 0 && k < len(m.slots) {
		return m.slots[k]
	}
	return nil
}

// args is how many arguments the messages have at most.
func (s *shape) args() int {
	n := 0
	for _, m := range s.members {
		n = max(n, m.from+len(m.slots))
	}
	return n
}

// column is one argument of all members of a shape, and what is known of its
// values. A row is all the arguments of one type from there to the end.
type column struct {
	shape *shape
	arg   int
	row   bool
	slots []*slot
	tally
}

// with is a column with other slots.
func (c column) with(slots []*slot) column {
	c.slots, c.tally = slots, tally{}
	for _, t := range slots {
		c.merge(&t.tally)
	}
	return c
}

// column is one argument of every member that has it.
func (s *shape) column(arg int) column {
	var slots []*slot
	for _, m := range s.members {
		if t := m.slotAt(arg); t != nil {
			slots = append(slots, t)
		}
	}
	return column{shape: s, arg: arg}.with(slots)
}

// isKey reports whether an argument only tells messages apart.
func (s *shape) isKey(arg int) bool {
	return s.byArgument && arg == s.indexAt || s.wordAt >= 0 && arg == s.wordAt
}

// singles are the arguments but for one that counts the strips, each by itself.
func (s *shape) singles() iter.Seq[column] {
	return func(yield func(column) bool) {
		for arg := range s.args() {
			if !s.isKey(arg) && !yield(s.column(arg)) {
				return
			}
		}
	}
}

// columns are the arguments, with three or more of one type at the end as one row.
func (s *shape) columns() iter.Seq[column] {
	return func(yield func(column) bool) {
		for c := range s.singles() {
			if row := s.rowFrom(c.arg); row != nil && !row[0].heads(row[1:]) {
				c = c.with(row)
				c.row = true
			}
			if !yield(c) || c.row {
				return
			}
		}
	}
}

// heads reports whether a number is no value of the row that goes on behind it: it counts the
// messages, or says how many values there are.
func (t *slot) heads(row []*slot) bool {
	return t.numeric() && t.whole && (t.onlyRose() || t.changes == 0 && t.last.num == float64(len(row)))
}

// rowFrom is three or more arguments of one type from arg to the end of the
// message, nil if there are none.
func (s *shape) rowFrom(arg int) []*slot {
	all := s.members[0].slots
	k := arg - s.members[0].from
	if k < 0 || len(all)-k < 3 || slices.ContainsFunc(all[k:], func(t *slot) bool {
		return t.tags != all[k].tags || t.isText() && !t.numeric() || t.blob != nil
	}) {
		return nil
	}
	return all[k:]
}
