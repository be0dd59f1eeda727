package desk

import (
	"math"
	"time"
)

// inaudible is what no sound at all counts as beside one: an infinity has no mean.
const inaudible = Power(1e-12) // -120 dBFS

// leastFollowed is the fewest beats that ups and downs can be told by.
const leastFollowed = 5

// Follows reports whether an input's level went up and down with another's in the
// beats of the last d, to ten seconds, in which it lay above a floor; below is how far
// it lay below that one in the mean. What is spoken into one microphone is heard by
// the next one too: there it has the same ups and downs, and is quieter.
func (v *View) Follows(input, other int, floor DBFS, d time.Duration) (below DB, follows bool) {
	a, b := &v.mix.inputs[input].meter, &v.mix.inputs[other].meter
	var own, apart variance
	least := floor.Power()
	for n := range min(int(d/Beat), a.full, b.full) {
		x, y := a.beat(n), max(b.beat(n), inaudible)
		if x <= least {
			continue
		}
		own.add(float64(x.Level()))
		apart.add(float64(y.Level().Above(x.Level())))
	}
	if own.n < leastFollowed {
		return 0, false
	}
	// A quarter of the ups and downs may be its own, because every microphone hears
	// something besides; and within 1 dB two steady sounds cannot be told apart at all.
	return DB(apart.mean), apart.of() <= own.of()/4+1
}

// Bleeds reports whether what an input heard in the beats of the last d, to ten seconds,
// in which it lay above a floor may be what the others heard, each of them as far below
// its own level there or further. A closed microphone hears the whole stage, and that sum
// goes up and down like none of them alone. Cues are heard by nobody else.
func (v *View) Bleeds(input int, below DB, floor DBFS, d time.Duration) bool {
	m := v.mix
	f := &m.fit
	f.begin(&m.inputs[input].meter, floor.Power(), int(d/Beat))
	if len(f.own) < leastFollowed {
		return false
	}
	for k := range m.inputs {
		if k != input && m.inputs[k].heard && !m.roster.Inputs[k].Cue {
			f.offer(&m.inputs[k].meter, float64((-below).Ratio()))
		}
	}
	return f.explains()
}

// fit is one level as a sum of others, each of a share that is not negative and not
// more than it may be: the least squares, by coordinate descent, of what is left over of
// the level at each beat. Its memory is used again.
type fit struct {
	beats  []int     // before now
	own    []float64 // the level, as a power
	left   []float64 // what is not yet explained, as a part of it
	others []float64 // a row of as many for each other: as parts of it, at most what they may be
	shares []float64
}

func (f *fit) begin(m *meter, least Power, beats int) {
	f.beats, f.own, f.left, f.others, f.shares = f.beats[:0], f.own[:0], f.left[:0], f.others[:0], f.shares[:0]
	for n := range min(beats, m.full) {
		if x := m.beat(n); x > least {
			f.beats, f.own, f.left = append(f.beats, n), append(f.own, float64(x)), append(f.left, 1)
		}
	}
}

// slight is a part that explains nothing.
const slight = 0.01

func (f *fit) offer(m *meter, most float64) {
	from, loudest := len(f.others), 0.0
	for i, n := range f.beats {
		y := 0.0
		if n < m.full {
			y = float64(m.beat(n)) * most / f.own[i]
		}
		f.others, loudest = append(f.others, y), max(loudest, y)
	}
	if loudest < slight {
		f.others = f.others[:from]
		return
	}
	f.shares = append(f.shares, 0)
}

// sweeps is the most that are made; most often fewer change nothing any more.
const sweeps = 30

func (f *fit) explains() bool {
	for n, most := 0, 1.0; n < sweeps && most > slight; n++ {
		most = 0
		for k := range f.shares {
			most = max(most, f.improve(k))
		}
	}
	var own, apart variance
	explained := 0.0
	for i, left := range f.left {
		part := max(1-left, slight)
		explained += part
		own.add(float64(Power(f.own[i]).Level()))
		apart.add(float64(Power(part).Level()))
	}
	// The same measure as of a single one that is followed, and a quarter of it left over at most.
	return explained >= 0.75*float64(len(f.left)) && apart.of() <= own.of()/4+1
}

// improve gives one of the others the share that is best beside the shares of the rest,
// and gives by how much that changed.
func (f *fit) improve(k int) (by float64) {
	row := f.others[k*len(f.left) : (k+1)*len(f.left)]
	var with, square float64
	for i, y := range row {
		with += y * f.left[i]
		square += y * y
	}
	by = min(max(f.shares[k]+with/square, 0), 1) - f.shares[k]
	for i, y := range row {
		f.left[i] -= by * y
	}
	f.shares[k] += by
	return math.Abs(by)
}

// variance is running, by Welford's recurrence (Technometrics 4, 1962), in dB squared.
type variance struct {
	n          int
	mean, sums float64
}

func (s *variance) add(x float64) {
	s.n++
	off := x - s.mean
	s.mean += off / float64(s.n)
	s.sums += off * (x - s.mean)
}

func (s *variance) of() float64 { return s.sums / float64(s.n) }
