package survey

import (
	"fmt"
	"math"
	"slices"

	"pawl/oscmap"
)

// The most values that a strip has in one row of meters (level, peak, after the fader,
// reduction), and that follow behind all strips for the main.
const (
	mostPerStrip = 4
	mostBehind   = 2
)

// width is how many values a row or a blob has.
func (m *meter) width() int {
	if m.isBlob() {
		return m.form.n
	}
	return len(m.slots)
}

// takeApart makes meters of their own of rows and blobs that hold several values of each
// strip, one strip after another or one sort after another, and perhaps the main's behind
// them. Which it is the guided part tells: what fell with input 1's fader is input 1's.
func (d *drafter) takeApart(all []meter) (out []meter) {
	for i := range all {
		m := &all[i]
		if n := m.width(); m.index >= 0 || !m.isBlob() && !m.row || n < 2 || n == d.known[inputStrip].place.n || n == d.known[groupStrip].place.n {
			out = append(out, *m)
			continue
		}
		if parts := d.parts(m); parts != nil {
			out = append(out, parts...)
			continue
		}
		out = append(out, *m)
	}
	return out
}

// division is a way in which a row may be made up.
type division struct {
	strip    strip
	n, per   int
	together bool // the values of a strip stand together
	behind   int  // values for the main
}

// said is the division in words.
func (v division) said() string {
	how := "of each one after another"
	if v.together {
		how = "of each together"
	}
	text := fmt.Sprintf("The values of %s lie %s, %d of each", plural(v.n, v.strip.String()), how, v.per)
	if v.per == 1 {
		text = fmt.Sprintf("The values of %s", plural(v.n, v.strip.String()))
	}
	if v.behind > 0 {
		text += fmt.Sprintf(", and %d more behind them", v.behind)
	}
	return text
}

// divisions are all ways in which a row of so many values may be made up of what is known.
func (d *drafter) divisions(count int) (all []division) {
	for _, s := range []strip{inputStrip, groupStrip} {
		n := d.known[s].place.n
		if !d.known[s].ok || n < 2 {
			continue
		}
		for per := 1; per <= mostPerStrip; per++ {
			behind := count - per*n
			if behind < 0 || behind > mostBehind || per == 1 && behind == 0 {
				continue
			}
			all = append(all, division{s, n, per, true, behind})
			if per > 1 {
				all = append(all, division{s, n, per, false, behind})
			}
		}
	}
	return all
}

// parts are the meters in a row, nil if it is made up of no strips that are known.
func (d *drafter) parts(m *meter) []meter {
	ways := d.divisions(m.width())
	if len(ways) == 0 {
		return nil
	}
	// In the right way values of the first strip fell with its fader, and no others did; and
	// the values of each strip rise and fall together, as those of different ones do not.
	fallen := map[strip][]int{} // the values that fell with the first strip's fader
	for _, v := range ways {
		if _, done := fallen[v.strip]; !done {
			fallen[v.strip] = d.fallen(m, v.strip)
		}
	}
	fits := func(v division) (n int) {
		if alike, ok := m.alike(v); ok && alike < unlike || m.mixed(v, 0) {
			return -1
		}
		for _, k := range fallen[v.strip] {
			switch {
			case k >= v.per*v.n: // behind them
			case !slices.Contains(v.firsts(), k):
				return -1
			default:
				n++
			}
		}
		return n
	}
	best, score, others := ways[0], math.MinInt, 0
	for _, v := range ways {
		switch got := fits(v); {
		case got > score:
			best, score, others = v, got, 0
		case got == score:
			others++
		}
	}
	sure := score > 0 && others == 0
	why := best.said() + ": only what stands where they would stand for the first fell with its fader."
	switch {
	case score > 0 && others > 0:
		why = best.said() + ", perhaps; it could be made up otherwise as well."
	case score <= 0:
		why = best.said() + ", perhaps: none of them fell with the fader of the first, which would tell."
	}
	if best.per == 1 {
		sure, why = others == 0, best.said()+"."
	}
	var out []meter
	stride := 1
	if best.together {
		stride = best.per
	}
	for _, first := range best.firsts() {
		p := m.part(best.strip, first, stride, best.n)
		p.apart, p.doubtful = why, !sure
		out = append(out, p)
	}
	for k := range best.behind {
		p := m.part(mainStrip, best.per*best.n+k, 1, 1)
		p.apart, p.doubtful = "It stands behind those of the strips.", false
		out = append(out, p)
	}
	return out
}

// fallen is which values of a row fell with the fader of a kind of strip's first.
func (d *drafter) fallen(m *meter, s strip) (all []int) {
	f := &d.known[s]
	for k := range m.width() {
		if one := m.part(s, k, 1, 1); one.judged(d.guide, s, f.fader, &f.place) == fell {
			all = append(all, k)
		}
	}
	return all
}

// unlike is how little the values of one strip may go together, as a correlation. Those of
// different players are near 0, and those of one player nearly always above a half.
const unlike = 0.35

// alike is how much the values of each strip go together in a division, as the mean of the
// correlations of neighbours; false if that cannot be told.
func (m *meter) alike(v division) (mean float64, ok bool) { return m.alikeFrom(v, 0) }

// alikeFrom is alike of a division that begins at a value.
func (m *meter) alikeFrom(v division, from int) (mean float64, ok bool) {
	if v.per == 1 {
		return 0, false
	}
	sum, n := 0.0, 0.0
	for i := range v.n {
		for j := 1; j < v.per; j++ {
			a, b := i*v.per+j-1, i*v.per+j
			if !v.together {
				a, b = (j-1)*v.n+i, j*v.n+i
			}
			if r := correlation(upright(m.series(from+a)), upright(m.series(from+b))); !math.IsNaN(r) {
				sum, n = sum+r, n+1
			}
		}
	}
	return sum / n, n > 0
}

// upright turns what is counted downwards from nothing, as reduction may be, the other way.
func upright(all []float64) []float64 {
	if reducing(all) && slices.Min(all) < 0 {
		for i := range all {
			all[i] = -all[i]
		}
	}
	return all
}

// reducing reports whether numbers rest at nothing now and then, and are else on one side of it.
func reducing(all []float64) bool {
	return slices.Contains(all, 0) && (slices.Max(all) <= 0 || slices.Min(all) >= 0)
}

// mixed reports whether of the values that would be of one sort some rest at nothing, as
// reduction does, and others never do. Of levels that are factors nothing is silence.
func (m *meter) mixed(v division, from int) bool {
	if m.lo >= 0 {
		return false
	}
	for _, first := range v.firsts() {
		rests, least, highest := false, 0.0, 0.0
		for k := range v.n {
			switch all := m.series(from + first + k*v.stride()); {
			case len(all) == 0:
			case reducing(all):
				rests, least = true, min(least, slices.Min(all))
			case slices.Min(all) < slices.Max(all):
				highest = min(highest, slices.Max(all)) // of the lowest
			}
		}
		// A reduction may be at work all the time, but is never so far from nothing.
		if rests && highest < min(least, m.lo/5) {
			return true
		}
	}
	return false
}

// series is one value of a row as it came lately, the oldest first.
func (m *meter) series(k int) (all []float64) {
	if b := m.slots[0].blob; m.isBlob() && b != nil {
		for i := b.recent.len() - 1; i >= 0; i-- {
			all = append(all, m.form.at(b.recent.back(i).data, k))
		}
		return all
	}
	t := m.slots[k]
	for i := t.recent.len() - 1; i >= 0; i-- {
		all = append(all, t.recent.back(i).v)
	}
	return all
}

// correlation is Pearson's, of as many pairs as there are; not a number if either stood still
// or was nothing at all.
func correlation(a, b []float64) float64 {
	n := min(len(a), len(b))
	if n < 10 {
		return math.NaN()
	}
	return pearson(a[len(a)-n:], b[len(b)-n:])
}

// pearson is the correlation of as many pairs as there are.
func pearson(a, b []float64) float64 {
	n := len(a)
	var sa, sb float64
	for i := range n {
		sa, sb = sa+a[i], sb+b[i]
	}
	sa, sb = sa/float64(n), sb/float64(n)
	var aa, bb, ab float64
	for i := range n {
		x, y := a[i]-sa, b[i]-sb
		aa, bb, ab = aa+x*x, bb+y*y, ab+x*y
	}
	return ab / math.Sqrt(aa*bb)
}

// firsts is where the values of the first strip stand.
func (v division) firsts() (all []int) {
	for j := range v.per {
		if v.together {
			all = append(all, j)
		} else {
			all = append(all, j*v.n)
		}
	}
	return all
}

// part is some of a row's values: n, from the first on, each so many after the last.
func (m *meter) part(of strip, first, stride, n int) meter {
	p := *m
	p.of, p.first, p.stride, p.n = of, first, stride, n
	if !m.isBlob() {
		var slots []*slot
		for k := range n {
			slots = append(slots, m.slots[first+k*stride])
		}
		p.column = p.with(slots)
		return p
	}
	// What all of its values were.
	b := m.slots[0].blob
	add := func(data []byte) {
		for k := range n {
			p.tally.addNumber(p.form.at(data, p.first+k*p.stride))
		}
	}
	p.narrow()
	p.tally = tally{tags: m.tags, count: m.tally.count, changes: m.tally.changes}
	for _, data := range b.spread {
		add(data)
	}
	for _, s := range b.recent.all {
		add(s.data)
	}
	p.tally.whole = !p.form.layout.Float()
	return p
}

// narrow makes bytes of numbers of two of which the lower byte is nothing, or something else.
func (p *meter) narrow() {
	l, b := p.form.layout, p.slots[0].blob
	if l.Size() != 2 || b == nil {
		return
	}
	lower := map[oscmap.Layout]int{oscmap.Int16BE: 1, oscmap.Uint16BE: 1}[l]
	moves, low := [2]bool{}, false
	for k := range p.n {
		at := p.form.skip + 2*(p.first+k*max(p.stride, 1))
		for _, d := range b.spread {
			moves[0] = moves[0] || d[at+1-lower] != b.spread[0][at+1-lower]
			moves[1] = moves[1] || d[at+lower] != 0
			low = low || d[at+1-lower] > 0 && d[at+1-lower] < 128
		}
	}
	if !moves[0] || moves[1] {
		return
	}
	p.form.layout = map[bool]oscmap.Layout{true: oscmap.Uint8, false: oscmap.Int8}[low]
	p.form.n = 2 * p.form.n
	p.first, p.stride = 2*p.first+1-lower, 2*max(p.stride, 1)
}
