package survey

import (
	"math"
	"slices"

	"pawl/oscmap"
)

// A blob may hold the meters of the inputs and of the groups behind one another, in numbers of
// any size, behind a head and before a check. Its size alone leaves few ways in which it can be
// made up of as many strips as there are; and in the right one the values that fell with the
// first strip's fader stand where the first strip's are, and those of one strip go together.

// mostHead is how many bytes may stand before the values.
const mostHead = 8

// makeup is a way in which a blob may be made up.
type makeup struct {
	form
	sections []section
	behind   int // values for the main, or a check
}

// section is the values of one kind of strip in a blob.
type section struct {
	division
	from int
}

// firsts is where the values of the first strip stand in the blob.
func (s section) firsts() []int {
	all := s.division.firsts()
	for i := range all {
		all[i] += s.from
	}
	return all
}

// has reports whether a value is of the section.
func (s section) has(k int) bool { return k >= s.from && k < s.from+s.per*s.n }

// families are the numbers that differ in nothing but their sign.
var families = [][2]oscmap.Layout{
	{oscmap.Float32BE, oscmap.Float32BE}, {oscmap.Float32LE, oscmap.Float32LE}, {oscmap.Uint32BE, oscmap.Int32BE}, {oscmap.Uint32LE, oscmap.Int32LE},
	{oscmap.Uint16BE, oscmap.Int16BE}, {oscmap.Uint16LE, oscmap.Int16LE}, {oscmap.Uint8, oscmap.Int8},
}

// unsigned reports whether numbers are never below 0.
func unsigned(l oscmap.Layout) bool {
	return slices.ContainsFunc(families, func(f [2]oscmap.Layout) bool { return f[0] == l && f[1] != l })
}

// makeups are all the ways in which a blob can be made up of what is known.
func (d *drafter) makeups(t *slot) (all []makeup) {
	for skip := range min(mostHead+1, t.most) {
		if !t.blob.headed(skip) {
			continue
		}
		for _, f := range families {
			size := f[0].Size()
			if skip%min(size, 2) != 0 || (t.most-skip)%size != 0 {
				continue
			}
			one := form{layout: f[0], skip: skip, n: (t.most - skip) / size}
			if one.n > mostCourses || one.n < fewestInRow {
				continue
			}
			if one.layout = t.blob.signed(one, f); !t.blob.smooth(one) {
				continue
			}
			for _, kinds := range [][]strip{{inputStrip}, {groupStrip}, {inputStrip, groupStrip}, {groupStrip, inputStrip}} {
				all = d.arrange(all, makeup{form: one}, kinds)
			}
		}
	}
	return all
}

// arrange adds the ways in which the kinds of strips that are left can follow one another.
func (d *drafter) arrange(all []makeup, m makeup, kinds []strip) []makeup {
	from := 0
	for _, s := range m.sections {
		from = s.from + s.per*s.n
	}
	if len(kinds) == 0 {
		if m.behind = m.n - from; m.behind > mostBehind {
			return all
		}
		return append(all, m)
	}
	n := d.known[kinds[0]].place.n
	if !d.known[kinds[0]].ok || n < 2 {
		return all
	}
	for per := 1; per <= mostPerStrip && from+per*n <= m.n; per++ {
		for _, together := range []bool{true, false}[:min(per, 2)] {
			one := m
			one.sections = append(slices.Clone(m.sections), section{division{kinds[0], n, per, together, 0}, from})
			all = d.arrange(all, one, kinds[1:])
		}
	}
	return all
}

// headed reports whether the first bytes are a head: parts of it stay, and parts of it count.
func (b *blobs) headed(n int) bool {
	can := make([]bool, n+1)
	can[0] = true
	for to := 1; to <= n; to++ {
		for _, size := range []int{1, 2, 4} {
			can[to] = can[to] || to >= size && can[to-size] && (size == 1 && b.stays(to-1) || b.steps(to-size, size))
		}
	}
	return can[n]
}

// stays reports whether a byte is the same in every sample.
func (b *blobs) stays(at int) bool {
	return !slices.ContainsFunc(b.spread, func(d []byte) bool { return d[at] != b.spread[0][at] })
}

// steps reports whether a number rises each time, and begins again at 0: by as much each time,
// or if it has two bytes and more by a little, as where other messages are counted with it.
func (b *blobs) steps(at, size int) bool {
	if b.recent.len() < 10 {
		return false
	}
	for _, l := range []oscmap.Layout{oscmap.Uint8, oscmap.Uint16BE, oscmap.Uint16LE, oscmap.Uint32BE, oscmap.Uint32LE} {
		if l.Size() != size {
			continue
		}
		step := func(i int) float64 {
			by := l.Read(b.recent.back(i).data[at:]) - l.Read(b.recent.back(i + 1).data[at:])
			return math.Mod(by+math.Ldexp(1, 8*size), math.Ldexp(1, 8*size))
		}
		ok := step(0) > 0
		for i := 1; i < b.recent.len()-1 && ok; i++ {
			ok = step(i) == step(0) || size > 1 && step(i) > 0 && max(step(i), step(0)) <= mostStep
		}
		if ok {
			return true
		}
	}
	return false
}

// mostStep is how many messages may come between two of one kind, that are counted with them.
const mostStep = 64

// signed chooses between numbers with a sign and without: in the wrong one what goes by
// nothing leaps through the whole range.
func (b *blobs) signed(f form, of [2]oscmap.Layout) oscmap.Layout {
	if of[0] == of[1] {
		return of[0]
	}
	half := math.Ldexp(1, 8*of[0].Size()-1)
	f.layout = of[0]
	var leaps, above, below, full float64
	for k := range f.n {
		before := math.NaN()
		for i := range b.recent.all {
			v := f.at(b.recent.all[i].data, k)
			if math.Abs(v-before) > half {
				leaps++
			}
			switch before = v; {
			case v == 2*half-1:
				full++
			case v >= half:
				above++
			case v > 0:
				below++
			}
		}
	}
	// What rests at the most there is, is a factor of what is let through.
	if leaps == 0 && (full > above || above <= below) {
		return of[0]
	}
	return of[1]
}

// roughest is how much of their range the values of a meter may go through from one blob to
// the next, on the mean: noise goes through a third.
const roughest = 0.25

// smooth reports whether the values move as meters do, and are some that meters can be.
func (b *blobs) smooth(f form) bool {
	moved, width := 0.0, 0.0
	for k := range f.n {
		lo, hi, before := math.Inf(1), math.Inf(-1), math.NaN()
		for i := b.recent.len() - 1; i >= 0; i-- {
			v := f.at(b.recent.back(i).data, k)
			if math.IsInf(v, -1) {
				before = math.NaN()
				continue
			}
			if v != v || f.layout.Float() && !f.plausible(v) {
				return false
			}
			if lo, hi = min(lo, v), max(hi, v); before == before {
				moved += math.Abs(v - before)
			}
			before = v
		}
		if hi > lo {
			width += (hi - lo) * float64(b.recent.len()-1)
		}
	}
	return width > 0 && moved < roughest*width
}

// fits is how many sections hold a value of the first strip that fell with its fader, -1 if
// values fell that would be another's, and how well those of one strip go together.
func (d *drafter) fits(m *meter, w makeup, fallen map[strip][]int) (sections int, alike float64) {
	alike = 1
	for _, s := range w.sections {
		if m.mixed(s.division, s.from) {
			return -1, 0
		}
		mine := false
		for _, k := range fallen[s.strip] {
			switch {
			case slices.Contains(s.firsts(), k):
				mine = true
			case s.has(k):
				return -1, 0
			case s.strip == groupStrip && k < w.n-w.behind:
				return -1, 0 // no input falls with a group
			}
		}
		if mine {
			sections++
		}
		if got, ok := m.alikeFrom(s.division, s.from); ok {
			if alike = min(alike, got); got < unlike {
				return -1, 0
			}
		}
	}
	return sections, alike
}

// madeUp puts the meters in blobs in the place of the blobs, where a hand has shown how they are
// made up.
func (d *drafter) madeUp(all []meter) []meter {
	for _, sh := range d.shapes {
		for c := range sh.singles() {
			t := c.slots[0]
			if len(sh.vars) > 0 || !sh.writable() || t.blob == nil || d.isClaimed(t) || t.least != t.most || t.most > maxBlobBytes || t.blob.recent.len() < 10 || len(t.blob.spread) < 2 {
				continue
			}
			if i := slices.IndexFunc(all, func(m meter) bool { return slices.Contains(m.slots, t) }); i >= 0 && d.isPlain(&all[i]) {
				continue
			}
			if parts := d.made(c, t); parts != nil {
				all = slices.DeleteFunc(all, func(m meter) bool { return slices.Contains(m.slots, t) })
				all = append(all, parts...)
			}
		}
	}
	return all
}

// isPlain reports whether a blob is all of one kind of strip, or is taken apart for certain.
func (d *drafter) isPlain(m *meter) bool {
	if n := m.width(); n == d.known[inputStrip].place.n || n == d.known[groupStrip].place.n {
		return true
	}
	parts := d.parts(m)
	return len(parts) > 0 && !slices.ContainsFunc(parts, func(p meter) bool { return p.doubtful })
}

// made is the meters in a blob, nil if nothing shows how it is made up.
func (d *drafter) made(c column, t *slot) (parts []meter) {
	var of meter
	var ways []makeup // that explain as much
	score, near := 0, 0.0
	forms := map[form]map[strip][]int{}
	for _, w := range d.makeups(t) {
		m := meter{place: placed(c, c.shape.lowest().at), form: w.form}
		m.n, m.rate = w.form.n, float64(t.count)/max((d.survey.last-d.survey.first).Seconds(), 1)
		m.tally, _ = t.blob.tally(w.form)
		if forms[w.form] == nil {
			forms[w.form] = map[strip][]int{inputStrip: d.fallen(&m, inputStrip), groupStrip: d.fallen(&m, groupStrip)}
		}
		got, alike := d.fits(&m, w, forms[w.form])
		switch {
		case got <= 0 || got < score || got == score && alike < near-0.1:
		// The head is as long as it can be.
		case got > score || alike > near+0.1 || w.skip > of.form.skip && w.layout == of.form.layout:
			of, ways = m, []makeup{w}
			score, near = got, alike
		case w.skip == of.form.skip || w.layout != of.form.layout:
			ways = append(ways, w)
		}
	}
	if len(ways) == 0 {
		return nil
	}
	best := ways[0]
	for _, s := range best.sections {
		for j, first := range s.firsts() {
			p := of.part(s.strip, first, s.stride(), s.n)
			p.apart = s.said() + ": what fell with the fader of a first stands where its values then are."
			for _, w := range ways[1:] {
				if p.doubtful = p.doubtful || !w.holds(best.form, s, j); p.doubtful {
					p.apart = s.said() + ", perhaps; it could be made up otherwise as well."
				}
			}
			parts = append(parts, p)
		}
	}
	for k := range best.behind {
		p := of.part(mainStrip, best.n-best.behind+k, 1, 1)
		p.apart, p.doubtful = "It stands behind those of the strips.", len(ways) > 1
		parts = append(parts, p)
	}
	return parts
}

// stride is how far the values of one strip are from those of the next.
func (v division) stride() int {
	if v.together {
		return v.per
	}
	return 1
}

// holds reports whether a makeup has the same values for the strips of a section.
func (w makeup) holds(f form, s section, j int) bool {
	return w.form == f && slices.ContainsFunc(w.sections, func(o section) bool {
		return o.strip == s.strip && o.stride() == s.stride() && slices.Contains(o.firsts(), s.firsts()[j])
	})
}
