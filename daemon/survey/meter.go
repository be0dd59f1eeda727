package survey

import (
	"fmt"
	"math"
	"slices"
)

// meter is a place where something moves by itself. Of a blob, the tally is of the
// values in it.
type meter struct {
	place
	form   form    // of a blob; otherwise it has no layout
	rivals []form  // that make sense of the blob nearly as well
	rate   float64 // messages a second of one strip

	// Where several meters lie in one another or behind one another, this is one of them:
	// first is its first value, and stride how many there are from one to the next. A stride
	// of 0 is all of them.
	first, stride int
	of            strip  // whose it then is
	apart         string // how that is known
	doubtful      bool   // it is not, for certain

	asked *slot // that of the strip asked about, if its number is not its fader's

	banks  []bank // of a meter of inputs in banks, their messages
	inBank banked
}

func (m *meter) isBlob() bool { return m.form.n > 0 }

// meters finds all that moves by itself, as meters do, but for what is taken.
func (s *Survey) meters(shapes []*shape, taken func(*slot) bool) (all []meter) {
	for _, sh := range shapes {
		if !sh.writable() {
			continue
		}
		columns := sh.columns()
		if len(sh.vars) > 0 {
			columns = sh.singles() // the strips are not counted twice
		}
		for c := range columns {
			some := []column{c}
			if c.row && slices.ContainsFunc(c.slots, taken) {
				// A row of which something is known is a record of different things.
				some = nil
				for _, t := range c.slots {
					one := c.with([]*slot{t})
					one.arg, one.row = t.arg, false
					some = append(some, one)
				}
			}
			for _, c := range some {
				if m, ok := s.meter(c); ok && !slices.ContainsFunc(m.slots, taken) && !slices.ContainsFunc(m.slots, (*slot).onlyRose) {
					all = append(all, m)
				}
			}
		}
	}
	return all
}

// restless is how many changes a second a meter has at least, when it has
// something to show.
const restless = 0.5

func (s *Survey) meter(c column) (m meter, ok bool) {
	m.place = placed(c, c.shape.lowest().at)
	if m.index >= 0 {
		m.count(never)
	}
	over := (s.last - s.first).Seconds()
	if len(m.slots) == 0 || over <= 0 {
		return m, false
	}
	m.rate = float64(m.slots[0].count) / over
	// Of blobs with an index in the address nothing would tell which strip has which value.
	if b := m.slots[0].blob; b != nil {
		if m.form, m.rivals, ok = m.slots[0].forms(); ok {
			m.n = m.form.n
			m.tally, ok = b.tally(m.form)
		}
		return m, ok && m.index < 0
	}
	liveliest := slices.MaxFunc(m.slots, func(a, b *slot) int { return int(a.changes) - int(b.changes) })
	return m, float64(liveliest.changes)/over >= restless && m.numeric()
}

// rival says what other kind of strip a blob may be of, "" if of none.
func (m *meter) rival(d *drafter) string {
	for _, f := range m.rivals {
		for s, other := range d.known {
			if other.ok && f.n == other.place.n && f.n != m.n {
				return fmt.Sprintf("But as %s it would be %s, as many as there are %s.", f.layout, plural(f.n, "value"), strip(s).several())
			}
		}
	}
	return ""
}

// share is the part of all values that so many are.
func (m *meter) share(n uint64) float64 { return float64(n) / float64(m.numbers+m.off) }

// reduces reports whether the numbers look like gain reduction: nothing much of
// the time, never far from nothing, and on one side of it.
func (m *meter) reduces() bool {
	// No compressor takes off more than 40 dB for long, and each rests between phrases.
	// Whole numbers may be 256ths.
	per := 1.0
	if m.whole && !m.isText() {
		per = 256
	}
	oneSided := m.hi <= 0.001 && m.lo >= -40*per || m.lo >= 0 && m.hi <= 40*per
	return m.off == 0 && oneSided && m.share(m.zeros) > 0.02
}

// sort is how the numbers lie, for telling which meters speak alike.
func (m *meter) sort() string {
	switch {
	case m.isBlob():
		return m.form.layout.String()
	case m.isText():
		return "text"
	}
	return m.slots[0].tags
}

// precision is how many bits the numbers have, 0 for texts.
func (m *meter) precision() int {
	switch sort := m.sort(); {
	case m.isBlob():
		return 8 * m.form.layout.Size()
	case sort == "text":
		return 0
	case sort == "d" || sort == "h":
		return 64
	}
	return 32
}

// slotOf is what shows the strip asked about at a place: the slot of the same number
// or name, or the first of a row.
func (m *meter) slotOf(who *place) *slot {
	if m.asked != nil {
		return m.asked
	}
	for _, mem := range m.shape.members {
		if t := mem.slotAt(m.arg); t != nil && m.index >= 0 && who.index >= 0 && mem.at[m.index] == who.at[who.index] {
			return t
		}
	}
	return m.slots[0]
}

// mean is the mean of a strip during the move to where it stood so, once the hand
// was at rest. Not a number if nothing was heard of it.
func (m *meter) mean(c control, a act, who *place) float64 {
	st, _ := c.when(a)
	return m.meanIn(st, who)
}

// meanIn is the mean of a strip in a move.
func (m *meter) meanIn(st step, who *place) float64 {
	at, is := m.courseIn(st, who), st.seen[m.slotOf(who)].is
	switch {
	case st.seen == nil:
		return math.NaN()
	case !at.none():
		return at.mean
	case !m.isBlob() && is.isNum:
		return is.num // it is told at changes only, so it still is what it was
	}
	return math.NaN()
}

// judged tells what closing the strip's fader did to the meter: after the fader it fell,
// before it it stayed.
func (m *meter) judged(all steps, s strip, c control, who *place) verdict {
	by := m.closing(all, c, bottom, zero, top, who)
	v := by.judge()
	if v != fell {
		return v
	}
	if mutes, ok := all.control(s, mute, nil); ok {
		// A mute closes what lies after the fader too. A meter that fell with the fader and
		// not with the mute may have fallen because nobody played just then.
		by := m.closing(all, mutes, mute, unmute, unmute, who)
		// Where the fader was too low for a mute to tell anything, the marks must tell.
		if by.judge() != fell && !(by.quiet() && m.follows(c, who)) {
			return unclear
		}
	}
	return v
}

// How many marks of a fader a meter has to follow at least to be after it, and how well, as a
// correlation.
const (
	fewestFollowed = 4
	followed       = 0.9
)

// follows reports whether the meter was the lower, the lower the mark that the fader stood at.
func (m *meter) follows(c control, who *place) bool {
	var marks, means []float64
	for _, st := range c.moves {
		at := m.courseIn(st, who)
		if at.none() || math.IsNaN(st.db) || math.IsInf(st.db, 0) || math.IsInf(at.mean, 0) {
			continue
		}
		mean := at.mean
		if m.lo >= 0 {
			mean = math.Log10(max(mean, m.hi*1e-8))
		}
		marks, means = append(marks, st.db), append(means, mean)
	}
	return len(marks) >= fewestFollowed && pearson(marks, means) > followed
}

// closing is how the meter went when the strip was closed by one act, and open by others.
func (m *meter) closing(all steps, c control, shut, open, alsoOpen act, who *place) closing {
	scale := func(x float64) float64 { return x }
	if m.lo >= 0 { // a factor, of which only the logarithm wanders evenly
		scale = func(x float64) float64 { return math.Log10(max(x, m.hi*1e-8)) }
	}
	course := func(st step) course { return m.courseIn(st, who).on(scale) }
	out := closing{floor: scale(m.lo), ceiling: scale(m.hi)}
	for _, st := range all {
		if st.act == calm {
			out.open = append(out.open, course(st))
		}
	}
	closed := false
	for _, st := range c.moves {
		switch st.act {
		case open, alsoOpen:
			out.open = append(out.open, course(st))
		case shut:
			out.closed = course(st)
		}
		if closed && out.again.none() {
			out.again = course(st)
		}
		closed = closed || st.act == shut
	}
	return out
}

// courseIn is how the strip asked about went at rest in a step; none if that is not known.
// The values of a row are slots of their own, and those of a blob are in one.
func (m *meter) courseIn(st step, who *place) course {
	s := st.seen[m.slotOf(who)]
	if !m.isBlob() {
		return s.course
	}
	if s.window == nil {
		return course{}
	}
	all := s.window.courses(m.form)
	if m.first >= len(all) {
		return course{}
	}
	return all[m.first]
}

// where is the beginning of an entry's value.
func (m *meter) where(s strip) string {
	switch {
	case !m.isBlob() && m.stride > 0 && s == mainStrip:
		return fmt.Sprintf("arg: %d", m.arg+m.first)
	case !m.isBlob() && m.stride > 0:
		text := fmt.Sprintf("args: %d, each: %s:1-%d", m.arg+m.first, s, m.n)
		if m.stride > 1 {
			text += fmt.Sprintf(", stride: %d", m.stride)
		}
		return text
	case !m.isBlob():
		return m.place.where(s)
	}
	text := fmt.Sprintf("blob: %d, of: %s", m.arg, m.form.layout)
	if skip := m.form.skip + m.first*m.form.layout.Size(); skip > 0 {
		text += fmt.Sprintf(", skip: %d", skip)
	}
	if m.stride > 1 {
		text += fmt.Sprintf(", stride: %d", m.stride*m.form.layout.Size())
	}
	if s != mainStrip {
		text += fmt.Sprintf(", each: %s:1-%d", s, m.n)
	}
	return text
}

// said is the meter in words.
func (m *meter) said() string {
	what := "numbers of " + figures(m.lo, m.hi, m.whole)
	switch {
	case m.stride > 0:
		what = fmt.Sprintf("%s of %s", plural(m.n, "value"), figures(m.lo, m.hi, m.whole))
	case m.isBlob():
		what = fmt.Sprintf("a blob with %s of %s as %s", plural(m.n, "value"), figures(m.lo, m.hi, m.whole), m.form.layout)
		if m.form.skip > 0 {
			what += fmt.Sprintf(" after %d bytes", m.form.skip)
		}
		if m.form.counted {
			what += " that say how many"
		}
	case m.row:
		what = fmt.Sprintf("%d arguments of %s", m.n, figures(m.lo, m.hi, m.whole))
	case m.isText():
		what = "texts of " + figures(m.lo, m.hi, m.whole) + " dB"
	}
	if m.off > 0 {
		what += ", and nothing at all"
	}
	return fmt.Sprintf("%s, %s", what, perSecond(m.rate))
}
