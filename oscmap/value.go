package oscmap

import (
	"cmp"
	"maps"
	"slices"
	"strings"

	"pawl/oscmap/sheet"
	"pawl/rules/desk"
)

// value compiles where the value is and what it means.
func (c *checker) value(l *line, s *signalPart) {
	v := &s.Value
	c.source(l, s)
	c.elements(l, v)
	c.allowed(l, v)
	c.choice(l, v)
	c.meaning(l, s)
	if l.quantity == desk.Words {
		for range l.signals {
			l.names = append(l.names, c.texts(l))
		}
	}
}

// source finds the one place where the value is.
func (c *checker) source(l *line, s *signalPart) {
	v := &s.Value
	written := []string{}
	for _, w := range []struct {
		key    string
		at     sheet.Place
		source source
		arg    int
	}{
		{"arg", v.Arg.Place, fromArg, v.Arg.V}, {"args", v.Args.Place, fromArgs, v.Args.V},
		{"blob", v.Blob.Place, fromBlob, v.Blob.V}, {"bang", v.Bang.Place, fromArrival, 0},
	} {
		if !w.at.Written() {
			continue
		}
		if written = append(written, w.key); len(written) > 1 {
			c.wrong(w.at, "keep one of them", "both \"%s\" and \"%s\" say where the value is", written[0], w.key)
		}
		l.source, l.arg = w.source, w.arg
	}
	inPath := l.path.has(pathValue)
	switch {
	case inPath && len(written) > 0:
		c.wrong(l.place, "keep one of them", "both {value} and \"%s\" say where the value is", written[0])
	case inPath:
		l.source = fromPath
	case len(written) > 0:
	case l.signals[0] == desk.DeskAlive:
		l.source, l.constant = fromArrival, 1
	default:
		l.arg = l.freeArg()
	}
	if v.Bang.Written() {
		c.bang(l, v)
	}
	if l.source == fromArg && l.isIndex(l.arg) {
		c.wrong(cmp.Or(v.Arg.Place, l.place), "arguments are counted from 0", "argument %d is both the index and the value", l.arg)
	}
}

func (c *checker) bang(l *line, v *valuePart) {
	l.constant = float64(v.Bang.V)
	for _, sig := range l.signals {
		if l.quantity == desk.Words || !sig.Holds(l.constant) {
			c.wrong(v.Bang.Place, "", "%v is no value of %s, which is %s", v.Bang.V, sig, sig.Quantity())
		}
	}
}

// freeArg is the first argument that does not tell something else.
func (l *line) freeArg() int {
	for i := 0; ; i++ {
		if !l.isIndex(i) && !slices.ContainsFunc(l.when, func(w condition) bool { return w.arg == i }) {
			return i
		}
	}
}

// isIndex reports whether an argument tells the strip.
func (l *line) isIndex(arg int) bool {
	return slices.ContainsFunc(l.which, func(t telling) bool { return t.arg == arg })
}

// elements compiles how several values lie behind each other.
func (c *checker) elements(l *line, v *valuePart) {
	several := l.source == fromBlob || l.source == fromArgs
	var count sheet.Place
	if v.Count != nil {
		count = v.Count.Place
	}
	for _, w := range []struct {
		key string
		at  sheet.Place
		ok  bool
	}{
		{"of", v.Of.Place, l.source == fromBlob}, {"skip", v.Skip.Place, l.source == fromBlob},
		{"stride", v.Stride.Place, several}, {"each", firstPlace(v.Each), several}, {"count", count, several},
	} {
		if w.at.Written() && !w.ok {
			c.wrong(w.at, "", "\"%s\" belongs to a blob%s", w.key, map[bool]string{true: " or args"}[w.key != "of" && w.key != "skip"])
		}
	}
	if !several {
		return
	}
	l.layout, l.skip, l.stride = v.Of.V, v.Skip.V, v.Stride.V
	if l.stride == 0 {
		l.stride = max(1, l.layout.Size())
	}
	switch {
	case l.source == fromBlob && l.quantity == desk.Words:
		c.wrong(v.Blob.Place, "", "a blob of numbers holds no names")
	case l.source == fromBlob && !v.Of.Written() && !c.doubtful(v.Place):
		c.wrong(v.Place, "want "+sheet.Listed(Layout(0).Words()[1:]), "nothing says what the blob is of")
	case l.layout != 0 && l.stride < l.layout.Size():
		c.wrong(v.Stride.Place, "", "a stride of %d bytes; the values have %d", l.stride, l.layout.Size())
	}
	if l.elements() > maxSpan*8 {
		c.wrong(firstPlace(v.Each), "", "%d values in one message; want at most %d", l.elements(), maxSpan*8)
	}
	c.counted(l, v)
}

func (c *checker) counted(l *line, v *valuePart) {
	n := v.Count
	if n == nil || n.Believe.Written() && !n.Believe.V {
		return // the elements are as many as there are
	}
	l.count = &countField{arg: n.Arg.V, at: n.At.V, layout: n.Of.V}
	switch {
	case c.doubtful(n.Place):
	case n.Arg.Written() == n.At.Written():
		c.wrong(n.Place, "as in {at: 0, of: int32-be}, or {arg: 0}", "a count is at a place in the blob or in an argument; want one of the two")
	case n.At.Written() && l.source != fromBlob:
		c.wrong(n.At.Place, "want arg", "there is no blob for the count to be in")
	case n.At.Written() != n.Of.Written():
		c.wrong(n.Place, "as in {at: 0, of: int32-be}", "\"at\" and \"of\" belong together")
	}
}

// firstPlace is where the first of several values is written, if there is one.
func firstPlace[T any](all []sheet.At[T]) sheet.Place {
	if len(all) == 0 {
		return sheet.Place{}
	}
	return all[0].Place
}

// allowed refuses what says nothing about such a quantity.
func (c *checker) allowed(l *line, v *valuePart) {
	keys := map[desk.Quantity][]string{
		desk.Switch:     {"words", "invert", "bit", "bits", "one-of"},
		desk.Gain:       {"taper", "unit", "scale", "offset", "words", "minus-infinity", "outside"},
		desk.Level:      {"taper", "unit", "scale", "offset", "words", "minus-infinity", "outside"},
		desk.Reduction:  {"taper", "unit", "scale", "offset", "words", "sign", "outside"},
		desk.Number:     {"scale", "offset", "words"},
		desk.Proportion: {"scale", "offset", "words"},
		desk.Duration:   {"unit", "scale", "offset", "words"},
	}[l.quantity]
	written := v.meaningKeys()
	for _, w := range written {
		hint := "nothing more needs saying"
		if len(keys) > 0 {
			hint = "what can be said of it: " + strings.Join(keys, ", ")
		}
		switch {
		case !slices.Contains(keys, w.key):
			c.wrong(w.at, hint, "\"%s\" says nothing about %s, which is %s", w.key, l.signals[0], l.quantity)
		case l.source == fromArrival:
			c.wrong(w.at, "write the value itself after bang", "\"%s\" without a number to apply it to", w.key)
		case w.key != "one-of" && v.OneOf.Written():
			c.wrong(w.at, "keep one of them", "both \"one-of\" and \"%s\" say what the value means", w.key)
		case w.key != "words" && w.key != "bit" && w.key != "one-of" && len(v.Words) > 0:
			c.wrong(w.at, "write final values after the words", "both \"words\" and \"%s\" say what the value means", w.key)
		}
	}
}

type keyAt struct {
	key string
	at  sheet.Place
}

// meaningKeys lists what is written about the meaning of the value.
func (v *valuePart) meaningKeys() (written []keyAt) {
	all := []keyAt{
		{"taper", v.Taper.Place}, {"outside", v.Outside.Place}, {"unit", v.Unit.Place}, {"scale", v.Scale.Place},
		{"offset", v.Offset.Place}, {"invert", v.Invert.Place}, {"bit", v.Bit.Place}, {"bits", v.Bits.Place},
		{"one-of", v.OneOf.Place}, {"sign", v.Sign.Place}, {"minus-infinity", firstPlace(v.MinusInfinity)},
	}
	if len(v.Words) > 0 {
		all = append(all, keyAt{"words", v.Words[0].Place})
	}
	return slices.DeleteFunc(all, func(k keyAt) bool { return !k.at.Written() })
}

// meaning compiles what the number means.
func (c *checker) meaning(l *line, s *signalPart) {
	v, m := &s.Value, &l.meaning
	lo, hi := l.signals[0].Range()
	for _, sig := range l.signals[1:] {
		a, b := sig.Range()
		lo, hi = max(lo, a), min(hi, b)
	}
	*m = meaning{quantity: l.quantity, lo: lo, hi: hi, bit: -1, invert: v.Invert.V, sign: v.Sign.V,
		outside: v.Outside.V, unit: v.Unit.V, scale: v.Unit.V.linear(), offset: v.Offset.V}
	if v.Scale.Written() {
		m.scale *= float64(v.Scale.V)
	}
	m.offset *= v.Unit.V.linear()
	m.linear = m.scale != 1 || m.offset != 0
	if v.Bit.Written() {
		m.bit = v.Bit.V
	}
	if (l.bits != nil || m.bit >= 0) && l.layout.Float() {
		c.wrong(v.Of.Place, "want an integer", "there are no bits in a %s", l.layout)
	}
	if l.bits != nil && max(m.bit, 0)+l.bits.span.n > 64 {
		c.wrong(v.Bits.Place, "", "bits up to the %dth; a number has 64", max(m.bit, 0)+l.bits.span.n)
	}
	for _, b := range v.MinusInfinity {
		m.nothing = append(m.nothing, b.V)
	}
	c.words(l, v)
	c.scaled(l, s)
}

// scaled finds the unit or taper, one of which a number of decibels must have; one
// of time has a unit.
func (c *checker) scaled(l *line, s *signalPart) {
	v, units := &s.Value, unitsOf(l.signals[0])
	at := cmp.Or(v.Place, s.Place)
	switch {
	case v.Taper.Written():
		c.used[v.Taper.V] = true
		t, ok := c.taper[v.Taper.V]
		switch {
		case v.Unit.Written():
			c.wrong(v.Unit.Place, "a taper gives dB; leave the unit out", "both \"taper\" and \"unit\" say what the number is")
		case !ok && !c.doubtful(v.Taper.Place):
			names := slices.Sorted(maps.Keys(c.taper))
			hint := "the tapers here are " + strings.Join(names, ", ")
			if len(names) == 0 {
				hint = "there are no tapers yet; write tapers: {" + v.Taper.V + ": [[0, -inf], [1, 0]]}"
			} else if near := sheet.Nearest(v.Taper.V, names); near != "" {
				hint = "did you mean \"" + near + "\"?"
			}
			c.wrong(v.Taper.Place, hint, "unknown taper \"%s\"", v.Taper.V)
		}
		l.meaning.taper = t
		c.reach(l, v)
	case v.Outside.Written() && len(units) > 0 && l.quantity != desk.Duration:
		c.wrong(v.Outside.Place, "write taper: NAME beside it, or leave it out", "\"outside\" is about the points of a taper, and there is none")
	case len(units) == 0 || len(v.Words) > 0 || l.source == fromArrival:
	case v.Unit.Written():
		if v.Unit.V != "" && !slices.Contains(units, string(v.Unit.V)) {
			c.wrong(v.Unit.Place, "", "%s is %s; want %s", l.signals[0], l.quantity, sheet.Listed(units))
		}
	case !c.doubtful(s.Place):
		c.wrong(at, unitHint(l.quantity, units),
			"nothing says what the number of %s means", l.signals[0])
	}
}

func unitHint(q desk.Quantity, units []string) string {
	hint := "write unit: " + sheet.Listed(units)
	if q == desk.Duration {
		return hint
	}
	return "write taper: NAME for a position, or" + strings.TrimPrefix(hint, "write")
}

// words compiles an enumeration.
func (c *checker) words(l *line, v *valuePart) {
	if len(v.Words) > 0 {
		l.meaning.words = []word{}
	}
	for _, e := range v.Words {
		w := word{text: strings.TrimSpace(e.Key), value: float64(e.Value.V)}
		if x, rest, ok := parseNumber([]byte(w.text)); ok && len(rest) == 0 {
			w.number, w.isNumber = x, true
		}
		for _, sig := range l.signals {
			if !sig.Holds(w.value) && l.quantity != desk.Words {
				lo, hi := sig.Range()
				c.wrong(e.Value.Place, "", "%v is no value of %s; want %v to %v", w.value, sig, lo, hi)
			}
		}
		l.meaning.words = append(l.meaning.words, w)
	}
}

// texts reserves room for the names of a signal.
func (c *checker) texts(l *line) (from int) {
	n := 1
	for _, t := range l.told {
		n = max(n, t.span.first+t.span.n, len(rosterNames(c.roster, t.strip)))
	}
	from = c.m.texts
	c.m.texts += n
	return from
}
