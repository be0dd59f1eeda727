package survey

import (
	"fmt"
	"math"

	"pawl/oscmap"
)

// A blob may hold a record of each strip: its fader, and before or behind that its level and
// more. Where the faders lie a hand has shown, so it is known how long a record is; where it
// begins is not, but what fell with the first strip's fader is the first strip's.

// inRecords are the meters in the blobs that hold faders.
func (d *drafter) inRecords() (all []meter) {
	for _, s := range []strip{mainStrip, inputStrip, groupStrip} {
		f := &d.known[s]
		if t := f.fader.slot; f.ok && t != nil && d.guide.lively(t) && f.place.doubt == "" && len(f.place.banked) == 0 && (s == mainStrip || f.place.stride > 0) {
			all = append(all, d.record(s, f)...)
		}
	}
	return all
}

// record is what moves by itself beside a strip's fader in its record.
func (d *drafter) record(s strip, f *family) (all []meter) {
	t := f.fader.slot
	reach, stride := f.place.stride, f.place.stride
	if s == mainStrip {
		reach, stride = mostPerStrip*levelSize+t.layout.Size(), levelSize
	}
	l := oscmap.Int16LE
	if bigEndian[t.layout] {
		l = oscmap.Int16BE
	}
	var sank, others []meter
	for at := max(t.at-reach+levelSize, 0); at < min(t.at+reach, t.in.most-levelSize+1); at++ {
		if (at-t.at)%levelSize != 0 || stride%levelSize != 0 || !d.moves(t, at) || !d.free(t, s, at, stride, f.place.n) {
			continue
		}
		m := meter{place: f.place, form: form{layout: l, skip: at % levelSize, n: (t.in.most - at%levelSize) / levelSize}}
		m.place.cell, m.place.stride, m.place.row = nil, 0, false
		m.place.column = m.with([]*slot{t.in})
		m.index, m.rate = -1, float64(t.in.count)/max((d.survey.last-d.survey.first).Seconds(), 1)
		m = m.part(s, at/levelSize, stride/levelSize, max(f.place.n, 1))
		m.apart = fmt.Sprintf("It stands in one record with %s's fader.", s.first())
		switch down := m.judged(d.guide, s, f.fader, &f.place) == fell; {
		case !m.steady():
			continue
		case down && !d.inUnit(&m, s, f):
			m.doubtful, m.apart = true, m.apart+" But by how far it fell it is in no unit that is likely: perhaps it lies otherwise."
			sank = append(sank, m)
		case down:
			sank = append(sank, m)
		default:
			others = append(others, m)
		}
	}
	// What stands between the fader and what fell with it is of the same strip.
	for _, m := range others {
		at := m.begins()
		for _, o := range sank {
			if from := o.begins(); s != mainStrip && (from < at) == (at < t.at) {
				all = append(all, m)
				break
			}
		}
	}
	return append(sank, all...)
}

// levelSize is how many bytes a level in a record has.
const levelSize = 2

// moves reports whether a byte of a level in the blob of a fader moves by itself.
func (d *drafter) moves(t *slot, at int) bool {
	for _, o := range t.in.cells {
		if o.layout == oscmap.Uint8 && o.at >= at && o.at < at+levelSize && !o.inCounter() && o.changes > 0 && !d.guide.stood(o) {
			return true
		}
	}
	return false
}

// free reports whether none of the values that would be the strips' is in a fader or mute.
func (d *drafter) free(t *slot, s strip, at, stride, n int) bool {
	if at+(max(n, 1)-1)*stride+levelSize > t.in.most {
		return false
	}
	for o := inputStrip; o <= mainStrip; o++ {
		for _, a := range []act{zero, mute} {
			c, ok := d.guide.control(o, a, d.refused)
			if !ok || !c.slot.isCell() || c.slot.in != t.in {
				continue
			}
			p := &d.known[o].place
			for k := range max(p.n, 1) {
				for j := range max(n, 1) {
					if x, y := c.slot.at+k*p.stride, at+j*stride; x < y+levelSize && y < x+c.slot.layout.Size() {
						return false
					}
				}
			}
		}
	}
	return true
}

// begins is the byte of a blob at which the first value is.
func (m *meter) begins() int { return m.form.skip + m.first*m.form.layout.Size() }

// inUnit reports whether the numbers of a level fell by as many for a dB as those of a unit do,
// or if no marks were given for its fader, as another's of the blob did.
func (d *drafter) inUnit(m *meter, s strip, f *family) bool {
	who := &f.place
	if s == mainStrip {
		who = &place{index: -1}
	}
	to, ok := f.fader.telling()
	if !ok {
		return d.inRecord
	}
	ok = m.lo < 0 && nearestUnit((m.mean(f.fader, zero, who)-m.meanIn(to, who))/-to.db) != ""
	d.inRecord = d.inRecord || ok
	return ok
}

// steady reports whether the values of a meter in a record are such numbers as they are read as:
// others leap through the whole range, or are floats of which this is a half.
func (m *meter) steady() bool {
	b, l, size := m.slots[0].blob, oscmap.Float32LE, levelSize
	if m.form.layout == oscmap.Int16BE {
		l, size = oscmap.Float32BE, 0
	}
	floats := 0
	for k := range m.n {
		at := m.begins() + k*max(m.stride, 1)*m.form.layout.Size()
		before := math.NaN()
		for i := range b.recent.len() {
			data := b.recent.back(i).data
			v := m.form.layout.Read(data[at:])
			if math.Abs(v-before) > 1<<15 {
				return false
			}
			before = v
			if from := at - size; m.form.layout.Size() == levelSize && from >= 0 && from+4 <= len(data) {
				if x := l.Read(data[from:]); x == x && math.Abs(x) > leastFloat && math.Abs(x) < 400 {
					floats++
				}
			}
		}
	}
	return 2*floats < b.recent.len()*m.n
}
