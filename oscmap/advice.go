package oscmap

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"pawl/oscmap/sheet"
	"pawl/rules/desk"
)

// Need says what a rule lives on, so that Load can tell which rules a map
// leaves silent.
type Need struct {
	Rule string // as people know it

	// Signals are what the rule needs, all of them.
	Signals []desk.Signal

	// Or are other sets, each of which would do as well.
	Or [][]desk.Signal

	Helped   []desk.Signal // and what it judges better with
	Compares bool          // it is silent while an input without a meter may sound

	// Why is a sentence on what they are for. It may be empty.
	Why string
}

// ways are all the sets of signals of which each would do.
func (n Need) ways() [][]desk.Signal { return append([][]desk.Signal{n.Signals}, n.Or...) }

// speaks reports whether a rule has what it needs.
func (c *checker) speaks(n Need) bool {
	return slices.ContainsFunc(n.ways(), func(w []desk.Signal) bool { return len(c.missing(w)) == 0 })
}

// needs advises on what the rules will have nothing to go by, once for all the rules
// that miss the same.
func (c *checker) needs(needs []Need) {
	silent := map[string][]Need{}
	for _, n := range needs {
		if c.speaks(n) {
			continue
		}
		missing := strings.Join(c.least(n.ways()), ", or else ")
		silent[missing] = append(silent[missing], n)
	}
	for _, missing := range slices.Sorted(maps.Keys(silent)) {
		c.silent(missing, silent[missing])
	}
}

// unmetered advises on inputs of the roster whose level no line hears, where another's is heard:
// what the rules then do not know of them.
func (c *checker) unmetered(needs []Need) {
	heard := map[int]bool{}
	for _, l := range c.m.lines {
		if !slices.ContainsFunc(l.signals, ofLevel) {
			continue
		}
		for _, t := range l.told {
			for i := t.span.first; i < t.end(c.roster); i++ {
				heard[i] = true
			}
		}
	}
	without := c.namesWithout(desk.StripInput, heard)
	if len(heard) == 0 || len(without) == 0 {
		return
	}
	var compare, need, suppose []string
	for _, n := range needs {
		switch {
		case !c.speaks(n):
		case n.Compares:
			compare = append(compare, n.Rule)
		case !slices.ContainsFunc(n.ways(), func(w []desk.Signal) bool { return !slices.ContainsFunc(w, ofLevel) }):
			need = append(need, n.Rule)
		case slices.Contains(n.Helped, desk.InputLevel):
			suppose = append(suppose, n.Rule)
		}
	}
	at, hint := c.file.Signals.Place, "hear input.level or input.peak of them too, if the desk tells it"
	c.advise(at, hint, "no address carries the level of %s, though others' are heard", strings.Join(without, ", "))
	for _, w := range []struct {
		rules []string
		text  string
	}{
		{compare, "while one of them is open and may sound, these rules are silent: %s"},
		{need, "these rules know nothing of them: %s"},
		{suppose, "these rules leave them out, or take them to be as loud as the others in the mean: %s"},
	} {
		if len(w.rules) > 0 {
			c.advise(at, hint, "of the inputs without a level: "+w.text, strings.Join(w.rules, ", "))
		}
	}
}

// ofLevel reports whether a signal is what an input's meter shows.
func ofLevel(s desk.Signal) bool { return s == desk.InputLevel || s == desk.InputPeak }

func (c *checker) silent(missing string, rules []Need) {
	if len(rules) == 1 {
		c.advise(c.file.Signals.Place, rules[0].Why, "the rule %s will be silent: no address carries %s", rules[0].Rule, missing)
		return
	}
	var names []string
	for _, n := range rules {
		names = append(names, n.Rule)
	}
	c.advise(c.file.Signals.Place, "what each of them notices, pawl check --limits tells",
		"%d rules will be silent: no address carries %s: %s", len(rules), missing, strings.Join(names, ", "))
}

// least is what would have to come for each way, but for ways that want all of another's
// and more.
func (c *checker) least(ways [][]desk.Signal) (words []string) {
	for _, w := range ways {
		missing := c.missing(w)
		more := slices.ContainsFunc(ways, func(o []desk.Signal) bool {
			less := c.missing(o)
			return len(less) < len(missing) && !slices.ContainsFunc(less, func(s string) bool { return !slices.Contains(missing, s) })
		})
		if word := strings.Join(missing, " and "); !more && !slices.Contains(words, word) {
			words = append(words, word)
		}
	}
	return words
}

func (c *checker) missing(signals []desk.Signal) (words []string) {
	for _, s := range signals {
		if !c.m.Judges(s) {
			words = append(words, s.String())
		}
	}
	return words
}

// reach advises if the desk can say positions that a taper leaves out, and the map
// does not say that it knows. Fractions are taken to go from 0 to 1, and anything
// that cannot be negative to begin at 0.
func (c *checker) reach(l *line, v *valuePart) {
	m, t := &l.meaning, l.meaning.taper
	if t == nil || v.Outside.Written() {
		return
	}
	var short []string
	if t.bottom > t.slack() && !m.closes(0) {
		short = append(short, fmt.Sprintf("below %v", t.bottom))
	}
	if t.bottom >= 0 && t.top < 1-t.slack() && !m.closes(1) {
		short = append(short, fmt.Sprintf("above %v", t.top))
	}
	if len(short) == 0 {
		return
	}
	advice := v.Taper.Place.Advise("give it points at 0 and 1, or write outside: clamp or outside: refuse beside it if that is meant",
		"the taper \"%s\" has no points for positions %s, which will be refused", t.name, strings.Join(short, " and "))
	if !slices.ContainsFunc(c.faults, func(f sheet.Fault) bool { return f.Text == advice.Text }) {
		c.faults = append(c.faults, advice)
	}
}

// closes reports whether a number that comes to this position means minus infinity.
func (m *meaning) closes(position float64) bool {
	raw := (position - m.offset) / m.scale
	return slices.ContainsFunc(m.nothing, func(b bound) bool { return b.holds(raw) })
}

// taps advises where the same level of the same input is heard before the fader and
// after it. The first is what the stage does, whatever the hand does; the second
// would have to be worked back through a fader that may be closed.
func (c *checker) taps() {
	for _, after := range c.m.lines {
		for _, before := range c.m.lines {
			if after.post && !before.post && slices.Equal(after.signals, before.signals) && after.sharesInput(before) {
				c.advise(after.place, "leave this one out, or the other if the desk does not send it",
					"%s is also heard before the fader, on line %d: that one is judged by, and this one is not", after.signals[0], before.place.Line)
				break
			}
		}
	}
}

// sharesInput reports whether both lines can speak of one input. A line that tells
// inputs by name can speak of any.
func (l *line) sharesInput(o *line) bool {
	for _, a := range l.told {
		for _, b := range o.told {
			if a.strip == desk.StripInput && b.strip == desk.StripInput &&
				(a.span.byName || b.span.byName || a.span.first < b.span.first+b.span.n && b.span.first < a.span.first+a.span.n) {
				return true
			}
		}
	}
	return false
}
