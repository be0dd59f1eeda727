package oscmap

import (
	"slices"

	"pawl/oscmap/sheet"
	"pawl/oscmap/wire"
	"pawl/rules/desk"
)

// choice is a value that says which one of several strips it is: that one is on and
// the others are off.
type choice struct {
	telling
	none, main []literal
	hasMain    bool // the value also says whether the input feeds the main
}

// choice compiles one-of, and what stands for none of them.
func (c *checker) choice(l *line, v *valuePart) {
	main := slices.Contains(l.signals, desk.InputMain) && slices.Contains(l.signals, desk.InputGroup)
	for _, k := range []keyAt{{"none", firstPlace(v.None)}, {"main", firstPlace(v.Main)}} {
		if k.at.Written() && !v.OneOf.Written() {
			c.wrong(k.at, "write one-of: group or one-of: dca beside it, or leave it out", "\"%s\" says nothing without one-of", k.key)
		}
	}
	if l.choice == nil {
		return
	}
	switch {
	case len(v.Main) > 0 && !main:
		c.wrong(v.Main[0].Place, "write is: [input.group, input.main]", "\"main\" says that the entry is input.main as well")
	case len(v.Main) == 0 && main && !c.doubtful(v.Place):
		c.wrong(v.OneOf.Place, "as in {one-of: group:0-4, main: -1}", "nothing says which number is straight to the main")
	}
	if n := l.path.size() * l.elements() * l.choice.span.n; n > maxAddresses {
		// A sender's pattern can mean every address of the line at once.
		c.wrong(v.OneOf.Place, "", "%d memberships on one line; want at most %d", n, maxAddresses)
	}
	l.choice.hasMain = main
	l.choice.none = c.literals(l.choice, v.None)
	l.choice.main = c.literals(l.choice, v.Main)
}

// literals compiles what is said beside the strips, and reports a value that would
// be two things at once.
func (c *checker) literals(ch *choice, written []sheet.At[literal]) (all []literal) {
	for _, is := range written {
		_, one := ch.span.worded([]byte(is.V.text))
		if !is.V.isText {
			_, one = ch.span.numbered(is.V.number)
		}
		switch {
		case one:
			c.wrong(is.Place, "take it out of the range of one-of", "%s is one of the %s as well", is.V.text, plural(ch.strip))
		case slices.Contains(ch.none, is.V) || slices.Contains(all, is.V):
			c.wrong(is.Place, "keep one of them", "%s is written twice", is.V.text)
		}
		all = append(all, is.V)
	}
	return all
}

// chosen is the strip that an argument says, or -1 for none of them, and whether it
// says straight to the main. It is not ok if the argument says nothing of this.
func (ch *choice) chosen(a *wire.Arg) (index int, main, ok bool) {
	switch {
	case a.IsText():
		index, ok = ch.span.worded(a.Bytes)
	case a.IsNumber():
		index, ok = ch.span.numbered(a.Number)
	}
	if ok {
		return index, false, true
	}
	main = says(ch.main, a)
	return -1, main, main || says(ch.none, a)
}

// says reports whether an argument holds one of the literals. A number may have been
// sent as text.
func says(literals []literal, a *wire.Arg) bool {
	x, rest, isNumber := parseNumber(a.Bytes)
	isNumber = isNumber && a.IsText() && len(rest) == 0
	for i := range literals {
		l := &literals[i]
		if l.holds(a) || isNumber && !l.isText && l.number == x {
			return true
		}
	}
	return false
}

// choose gives one reading for each strip that could have been chosen, and one for
// the main.
func (h *Hearer) choose(l *line, at [2]int, a *wire.Arg) {
	ch := l.choice
	chosen, main, ok := ch.chosen(a)
	if !ok {
		h.emit(l, at, 0, refused)
		return
	}
	for _, s := range l.signals {
		if s == desk.InputMain && ch.hasMain {
			h.dst = append(h.dst, desk.Reading{At: h.at, Signal: s, Index: at[0], Value: number(main)})
			continue
		}
		for k := range ch.span.n {
			at[ch.slot] = ch.span.first + k
			h.dst = append(h.dst, desk.Reading{At: h.at, Signal: s, Index: at[0], To: at[1], Value: number(at[ch.slot] == chosen)})
		}
	}
}
