package rules

import (
	"cmp"
	"slices"
	"time"

	"pawl/rules/desk"
)

// Ledger is what was done to each input since the mark, and what it came to.
type Ledger struct {
	T      Moment      `json:"t"`
	Since  Moment      `json:"since"` // the mark; there are no rows without one
	Step   float64     `json:"step"`  // seconds from one point of a curve to the next; the last is now
	Basis  desk.Basis  `json:"basis"`
	Inputs []LedgerRow `json:"inputs"` // first those that moved, the farthest up first
}

// LedgerRow is one input's line in the Ledger. Its gain is the effective one, of its fader
// and its DCAs.
type LedgerRow struct {
	Who    desk.Who `json:"who"`
	Moved  bool     `json:"moved"` // since the mark, though it may be back where it was
	Change Change   `json:"change"`
	Gain   desk.DB  `json:"gain_db"`   // now
	Raised desk.DB  `json:"raised_db"` // above the mark's; null between closed and not

	// Clearer is how far it stands out more against everything else by the faders alone, the
	// stage as it is now, and Swallowed the rest of Raised. Neither means anything unless Known:
	// of an input that does not play nobody can say.
	Known     bool    `json:"known"`
	Swallowed desk.DB `json:"swallowed_db"`
	Clearer   desk.DB `json:"clearer_db"`

	Curve []desk.DB `json:"curve_db"` // its gain since the mark; none of an input that did not move
}

// Change is what was done to an input.
type Change string

// The changes of an input since the mark.
const (
	Unchanged Change = "same"
	Upwards   Change = "up"
	Downwards Change = "down"
	Opened    Change = "opened"
	Closed    Change = "closed"
	Shut      Change = "shut" // closed then as now
)

// Ledger looks at the inputs as they stand.
func (j *Judge) Ledger() *Ledger {
	v := j.view()
	l := &Ledger{T: Moment(j.at), Basis: v.Basis(), Inputs: []LedgerRow{}}
	if !v.Mark.Set {
		return l
	}
	l.Since, l.Step = Moment(v.Mark.At), j.gains.stride.Seconds()
	var now, was desk.Balance
	v.Balance(&now, j.limits.Mix.JudgeOver)
	was.CopyFrom(&now)
	was.TakeFaders(v.Mark.Base)
	for i := range v.Inputs() {
		l.Inputs = append(l.Inputs, j.ledgerRow(&v, i, &was, &now))
	}
	slices.SortStableFunc(l.Inputs, func(a, b LedgerRow) int {
		if a.Moved != b.Moved {
			return cmp.Compare(oneIf(b.Moved), oneIf(a.Moved))
		}
		return cmp.Compare(b.rank(), a.rank())
	})
	return l
}

func (j *Judge) ledgerRow(v *desk.View, i int, was, now *desk.Balance) LedgerRow {
	r := LedgerRow{Who: v.Who(inputMover(i)), Gain: now.Gain(i), Curve: []desk.DB{}}
	before := v.Mark.Base.Gain(i)
	r.Raised, r.Change = r.Gain.Above(before), changeOf(before, r.Gain)
	if r.Moved = j.gains.moved(i, r.Gain, j.limits.Moves.Count); r.Moved {
		r.Curve = append(slices.Clone(j.gains.of[i].points), r.Gain)
	}
	if r.Change == Upwards || r.Change == Downwards || r.Change == Unchanged {
		r.Clearer, r.Known = standsOutBy(inputMover(i), was, now)
		r.Known = r.Known && v.Playing(i)
	}
	if r.Known {
		r.Swallowed = r.Raised.Shown() - r.Clearer.Shown() // of what is shown, so that they add up
	} else {
		r.Clearer = 0
	}
	return r
}

func changeOf(before, now desk.DB) Change {
	switch {
	case before == desk.Off && now == desk.Off:
		return Shut
	case before == desk.Off:
		return Opened
	case now == desk.Off:
		return Closed
	case (now - before).Shown() > 0:
		return Upwards
	case (now - before).Shown() < 0:
		return Downwards
	}
	return Unchanged
}

// rank orders rows by what was done to them: opened above all, closed below.
func (r *LedgerRow) rank() desk.DB {
	if r.Change == Shut {
		return desk.Off
	}
	return r.Raised.Shown()
}

// oneIf is 1 for true.
func oneIf(b bool) int {
	if b {
		return 1
	}
	return 0
}

// gains are the effective gains of all inputs since the mark, in few points however long
// ago that is. The zero value begins at the next beat.
type gains struct {
	of      []gainCurve
	stride  time.Duration // from one point to the next
	elapsed time.Duration // since the newest
}

// gainCurve is one input's.
type gainCurve struct {
	points      []desk.DB
	least, most desk.DB
}

// mostPoints is what a curve as wide as a word can show.
const mostPoints = 60

// keepGains takes the gains at a beat, while there is a mark and the desk is heard.
func (j *Judge) keepGains() {
	if !j.marked.Set || j.link.gone {
		return
	}
	g, v := &j.gains, j.mix.View()
	if g.of == nil {
		g.of, g.stride = make([]gainCurve, v.Inputs()), time.Second
		for i := range g.of {
			at := j.marked.Base.Gain(i)
			g.of[i] = gainCurve{append(make([]desk.DB, 0, mostPoints+1), at), at, at} // which never grows
		}
	}
	g.elapsed += desk.Beat
	due := g.elapsed >= g.stride
	for i := range g.of {
		c, at := &g.of[i], v.Gain(i)
		c.least, c.most = min(c.least, at), max(c.most, at)
		if due {
			c.points = append(c.points, at)
		}
	}
	if due {
		g.elapsed = 0
		g.thin()
	}
}

// thin leaves every other point, once there are too many.
func (g *gains) thin() {
	if len(g.of) == 0 || len(g.of[0].points) <= mostPoints {
		return
	}
	for i := range g.of {
		p := g.of[i].points
		for n := range (len(p) + 1) / 2 {
			p[n] = p[2*n]
		}
		g.of[i].points = p[:(len(p)+1)/2]
	}
	g.stride *= 2
}

// moved reports whether an input was anywhere else since the mark.
func (g *gains) moved(input int, now, by desk.DB) bool {
	if g.of == nil {
		return false
	}
	c := &g.of[input]
	return max(c.most, now).Above(min(c.least, now)).Reaches(by)
}

// regain takes that an input's source gain went up by this and its fader is to be compared
// across that.
func (g *gains) regain(input int, by desk.DB) {
	if g.of == nil {
		return
	}
	c := &g.of[input]
	c.least, c.most = c.least-by, c.most-by
	for n := range c.points {
		c.points[n] -= by
	}
}
