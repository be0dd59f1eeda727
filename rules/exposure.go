package rules

import (
	"math"
	"time"

	"pawl/rules/desk"
)

// exposure sums up what ears at one place have had. The zero value is nothing yet.
type exposure struct {
	energy float64 // of 10^(L/10) over seconds
	dose   float64 // share of a day's, 1 is all of it
}

// add takes a level that stood for a time. day is the level that may stand for eight
// hours.
func (e *exposure) add(l desk.SPL, d time.Duration, day desk.SPL) {
	e.energy += math.Pow(10, float64(l)/10) * d.Seconds()
	if l >= leastDose {
		e.dose += d.Seconds() / bearable(l, day)
	}
}

// leastDose is where the tables of NIOSH 98-126 begin: what is quieter counts as rest.
const leastDose = desk.SPL(80)

// bearable is for how many seconds of a day a level may stand, by NIOSH 98-126, 1.1: 3 dB
// more, half as long.
func bearable(l, day desk.SPL) float64 {
	return (8 * time.Hour).Seconds() / math.Exp2(float64(l-day)/3)
}

// level is the equal-energy level, as of all of it spread over a time.
func (e *exposure) level(over time.Duration) desk.SPL {
	return desk.SPL(10 * math.Log10(e.energy/over.Seconds()))
}

// pascals is the exposure in Pa²h, as Recommendation ITU-T H.870 counts it.
func (e *exposure) pascals() float64 {
	const reference = 20e-6 // Pa
	return e.energy * reference * reference / time.Hour.Seconds()
}

// aWeek is what H.870 allows an adult in seven days: 80 dB(A) for 40 h.
const aWeek = 1.6 // Pa²h

// quarter is the last fifteen minutes of a level, a second at a time.
type quarter struct {
	energy [900]float64
	next   int
	heard  int // seconds, to all of them
}

const quarterHour = 15 * time.Minute

func (q *quarter) add(l desk.SPL) {
	q.energy[q.next] = math.Pow(10, float64(l)/10)
	q.next = (q.next + 1) % len(q.energy)
	q.heard = min(q.heard+1, len(q.energy))
}

// level is LAeq of the last n seconds. What was not heard yet counts as silence, so that
// it is never more than it will turn out to be.
func (q *quarter) level(n int) desk.SPL {
	sum := 0.0
	for i := range n {
		sum += q.energy[(q.next-1-i+len(q.energy))%len(q.energy)]
	}
	return desk.SPL(10 * math.Log10(sum/float64(n)))
}
