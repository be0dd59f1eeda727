package survey

import (
	"slices"
	"strconv"
	"strings"
)

// Shape is all the addresses that differ only in what counts or names the strips.
type Shape struct {
	parts []string // what stays the same; between two of them varies something
	vars  []variable

	// byArgument is true if the last variable is not in the address, but is the
	// first argument.
	byArgument bool
	members    []member
}

// variable is one place where the addresses of a shape differ.
type variable struct {
	named bool
	width int // of numbers padded with zeros
	texts []string
}

// member is one address of a shape, with what stands in each of its variables.
type member struct {
	at []string
	*source
}

// Pattern is the shape as a person reads it, with a star for whatever varies.
func (s *Shape) Pattern() string {
	text := strings.Join(s.parts, "*")
	if s.byArgument {
		return text + " #"
	}
	return text
}

// cut is an address taken apart at its numbers.
type cut struct {
	parts   []string
	numbers []string
}

func cutNumbers(address string) (c cut) {
	from := 0
	for i := 0; i < len(address); {
		if !isDigit(address[i]) {
			i++
			continue
		}
		end := i
		for end < len(address) && isDigit(address[end]) {
			end++
		}
		if end-i <= 5 {
			c.parts = append(c.parts, address[from:i])
			c.numbers = append(c.numbers, address[i:end])
			from = end
		}
		i = end
	}
	c.parts = append(c.parts, address[from:])
	return c
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

// Shapes groups what was heard, in the order in which it was first heard.
func (s *Survey) Shapes() []*Shape {
	shapes := map[string]*Shape{}
	var order []*Shape
	for _, src := range s.order {
		c := cutNumbers(src.address)
		key := strings.Join(c.parts, "\x00")
		if src.first >= 0 {
			key += "\x01"
		}
		sh := shapes[key]
		if sh == nil {
			sh = &Shape{parts: c.parts, byArgument: src.first >= 0}
			shapes[key] = sh
			order = append(order, sh)
		}
		m := member{at: c.numbers, source: src}
		if src.first >= 0 {
			m.at = append(m.at, strconv.Itoa(src.first))
		}
		sh.members = append(sh.members, m)
	}
	for _, sh := range order {
		sh.settle()
	}
	return byNames(order)
}

// settle makes text again of the numbers that never differ, and notes the others.
func (s *Shape) settle() {
	n := len(s.members[0].at)
	parts := slices.Clone(s.parts[:1])
	var keep []int
	for i := range n {
		texts := map[string]bool{}
		for _, m := range s.members {
			texts[m.at[i]] = true
		}
		inArg := s.byArgument && i == n-1
		if len(texts) == 1 && !inArg {
			parts[len(parts)-1] += s.members[0].at[i] + s.parts[i+1]
			continue
		}
		keep = append(keep, i)
		v := variable{}
		for t := range texts {
			v.texts = append(v.texts, t)
			if len(t) > 1 && t[0] == '0' {
				v.width = max(v.width, len(t))
			}
		}
		slices.SortFunc(v.texts, func(a, b string) int { return number(a) - number(b) })
		s.vars = append(s.vars, v)
		if !inArg {
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

func number(text string) int {
	n, err := strconv.Atoi(text)
	if err != nil {
		return -1
	}
	return n
}

// slotAt is argument arg of a member, nil if it has none.
func (m member) slotAt(arg int) *slot {
	if k := arg - m.from; k >= 0 && k < len(m.slots) {
		return m.slots[k]
	}
	return nil
}

// args is how many arguments the messages have at most.
func (s *Shape) args() int {
	n := 0
	for _, m := range s.members {
		n = max(n, m.from+len(m.slots))
	}
	return n
}
