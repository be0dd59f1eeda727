package rules

import "pawl/rules/desk"

// pushedOver hears somebody pushed over the first of the foundation while the lead sings, as one
// drum over the drum that keeps the time. Players of different parts are seldom as loud as one another, and
// who stands over whom is the song's; so here only a hand tells: who did not stand over the
// first, and was raised until that was to be heard twice as far as it takes. While nobody sings a
// player is lifted to carry the tune; and who carries the rhythm is second to nobody. All of it is ours.
type pushedOver struct {
	limits SecondOverFirstLimits
	first  int
	inputs []pushed
	leads  []int // scratch
}

// pushed is one input against the first.
type pushed struct {
	standing
	rest  rest
	under desk.DB // its gain when it last was not over the first, the hands at rest
	known bool    // it ever was
	was   bool    // it was so at the beat before
	claim standingClaim
}

// raised is by how much somebody was pushed, at least.
func (r *pushedOver) raised() desk.DB { return 2 * r.limits.Over }

// count takes a beat, and reports whether it began to measure against another first.
func (r *pushedOver) count(v *desk.View) (began bool) {
	first, ok := v.Primary(desk.Foundation)
	if !ok {
		r.inputs = nil
		return false
	}
	if began = r.inputs == nil || first != r.first; began {
		r.first, r.inputs = first, make([]pushed, v.Inputs())
	}
	r.leads = leading(r.leads, v)
	carries, rhythm := v.Primary(desk.Rhythm)
	for i := range r.inputs {
		e := v.Element(i)
		second := i != first && (e == desk.Foundation || e == desk.Rhythm) && !(rhythm && i == carries)
		r.take(v, i, second && plays(v, i) && v.Sounds(first), len(r.leads) > 0)
	}
	return began
}

// over is how far an input stands over the first.
func (r *pushedOver) over(i int) desk.DB { return r.inputs[i].above(r.limits.Means) }

// covers reports whether an input was pushed over the first.
func (r *pushedOver) covers(i int) bool { return i < len(r.inputs) && r.inputs[i].on }

// take takes a beat of one input, which may count against the first or not, and in which somebody
// may sing.
func (r *pushedOver) take(v *desk.View, i int, counts, sings bool) {
	p := &r.inputs[i]
	p.was = p.on
	if !counts {
		p.beat(false, 0, 0)
		return
	}
	p.beat(true, v.Moment().Share(i), v.Moment().Share(r.first))
	still := p.rest.take(v.Watched, v.Gain(i)) >= r.limits.Means
	over := r.over(i)
	if still && !over.Reaches(r.limits.Over) {
		p.under, p.known = v.Gain(i), true
	}
	if !still && !p.on || !sings {
		p.begun = false
		return
	}
	if !p.known || !v.Gain(i).Above(p.under).Reaches(r.raised()) {
		over = desk.Off
	}
	p.keeps(over, r.limits.Over, r.limits.Over-1, r.limits.For, 3*r.limits.Means)
}
