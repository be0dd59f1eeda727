package desk

import (
	"math"
	"time"
)

// inaudible is what no sound at all counts as beside one: an infinity has no mean.
const inaudible = Power(1e-12) // -120 dBFS

var inaudibleLevel = inaudible.Level()

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
		if a.beat(n) <= least {
			continue
		}
		x, y := a.level(n), max(b.level(n), inaudibleLevel)
		own.add(float64(x))
		apart.add(float64(y.Above(x)))
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
	most := (-below).Ratio()
	return v.explained(input, floor, d, func(int) Ratio { return most })
}

// BleedsOf is Bleeds where each of the others has a share of its own, at most.
func (v *View) BleedsOf(input int, shares []Ratio, floor DBFS, d time.Duration) bool {
	return v.explained(input, floor, d, func(other int) Ratio { return shares[other] })
}

func (v *View) explained(input int, floor DBFS, d time.Duration, share func(other int) Ratio) bool {
	m := v.mix
	f := &m.fit
	f.begin(&m.inputs[input].meter, floor.Power(), int(d/Beat))
	if len(f.own) < leastFollowed {
		return false
	}
	for k := range m.inputs {
		if k != input && m.inputs[k].heard && !m.roster.Inputs[k].Cue {
			f.offer(&m.inputs[k].meter, float64(share(k)))
		}
	}
	return f.explains()
}

// HeardOf is the share of another's level that an input can have heard at most, by all that it brought
// from ten seconds ago until so long ago, with room for how that changes from word to word. It is above 1 if
// the other was softer there, or silent.
func (v *View) HeardOf(input, other int, until time.Duration) Ratio {
	a, b := &v.mix.inputs[input].meter, &v.mix.inputs[other].meter
	most, n := Ratio(math.Inf(1)), int(spilt/Beat)
	for from := int(until / Beat); from+n <= min(a.full, b.full); from += n {
		var own, theirs Power
		for beat := from; beat < from+n; beat++ {
			own += a.beat(beat)
			theirs += b.beat(beat)
		}
		if theirs > 0 {
			most = min(most, Ratio(own/theirs*noMore))
		}
	}
	return most
}

// fit is one level as a sum of others, each of a share that is not negative and not
// more than it may be: the least squares, by coordinate descent, of what is left over of
// the level at each beat. Its memory is used again.
type fit struct {
	beats   []int     // before now
	own     []float64 // the level, as a power
	left    []float64 // what is not yet explained, as a part of it
	others  []float64 // a row of as many for each other: as parts of it, at most what they may be
	squares []float64 // of each row, summed
	shares  []float64
}

func (f *fit) begin(m *meter, least Power, beats int) {
	f.beats, f.own, f.left = f.beats[:0], f.own[:0], f.left[:0]
	f.others, f.squares, f.shares = f.others[:0], f.squares[:0], f.shares[:0]
	for n := range min(beats, m.full) {
		if x := m.beat(n); x > least {
			f.beats, f.own, f.left = append(f.beats, n), append(f.own, float64(x)), append(f.left, 1)
		}
	}
}

// slight is a part that explains nothing.
const slight = 0.01

func (f *fit) offer(m *meter, most float64) {
	from, loudest, square := len(f.others), 0.0, 0.0
	for i, n := range f.beats {
		y := 0.0
		if n < m.full {
			y = float64(m.beat(n)) * most / f.own[i]
		}
		f.others, loudest = append(f.others, y), max(loudest, y)
		square += y * y
	}
	if loudest < slight {
		f.others = f.others[:from]
		return
	}
	f.squares, f.shares = append(f.squares, square), append(f.shares, 0)
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
	left := f.left
	row := f.others[k*len(left):][:len(left)]
	by = min(max(f.shares[k]+dot(row, left)/f.squares[k], 0), 1) - f.shares[k]
	if by == 0 { // as of most, at one end or the other
		return 0
	}
	for i, y := range row {
		left[i] -= by * y
	}
	f.shares[k] += by
	return math.Abs(by)
}

// dot is the sum of the products of two rows, by four sums: in one, each addition would wait
// for the one before, and nearly all of the time goes here.
func dot(a, b []float64) float64 {
	var s, t, u, v float64
	n := 0
	for ; n+4 <= len(a); n += 4 {
		x, y := a[n:n+4], b[n:n+4]
		s += x[0] * y[0]
		t += x[1] * y[1]
		u += x[2] * y[2]
		v += x[3] * y[3]
	}
	for ; n < len(a); n++ {
		s += a[n] * b[n]
	}
	return s + t + u + v
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
