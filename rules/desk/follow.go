package desk

import "time"

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
