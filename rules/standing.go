package rules

import (
	"math"
	"slices"
	"time"

	"pawl/rules/desk"
)

// standing is how one party stands against another in the mix, and for how long. Both
// are powers at the main, a beat at a time, and only beats in which there is something
// to compare count: a mean over a singer's breaths would say that the singer is soft. The
// zero value has compared nothing.
type standing struct {
	lasting
	strict       bool // patience does not run through a breath either
	ours, theirs [desk.LongestBeats / desk.Beat]desk.Power
	next, full   int
	counted      time.Duration // how long has counted in all, with breaths
	idle         time.Duration // since it last did
}

// forgotten is after how long with nothing to compare what was so before says nothing
// any more: a line's gap is not so long, and a verse without the singer is.
const forgotten = 20 * time.Second

// phraseLong is about a line of a song: who is silent for longer has left.
const phraseLong = 8 * time.Second

// breath is a pause after which somebody has not stopped.
const breath = 2 * time.Second

// beat takes one beat, if it counts.
func (s *standing) beat(counts bool, ours, theirs desk.Power) {
	if !counts {
		if s.idle += desk.Beat; s.idle >= forgotten && s.counted > 0 {
			*s = standing{strict: s.strict, idle: s.idle}
		}
		return
	}
	if s.idle <= breath && !s.strict {
		s.counted += s.idle // who breathes has not stopped
	}
	s.idle = 0
	s.counted += desk.Beat
	s.ours[s.next], s.theirs[s.next] = ours, theirs
	s.next = (s.next + 1) % len(s.ours)
	s.full = min(s.full+1, len(s.ours))
}

// above is how far we stood above them over the last d that counted, at most
// desk.LongestBeats, or over as much as there was.
func (s *standing) above(d time.Duration) desk.DB {
	ours, theirs := s.means(d)
	return desk.DB(ours.Level().Above(theirs.Level()))
}

// means are both parties' over the same time.
func (s *standing) means(d time.Duration) (ours, theirs desk.Power) {
	n := min(int(d/desk.Beat), s.full)
	for i := range n {
		at := (s.next - 1 - i + len(s.ours)) % len(s.ours)
		ours, theirs = ours+s.ours[at], theirs+s.theirs[at]
	}
	return ours / desk.Power(max(n, 1)), theirs / desk.Power(max(n, 1))
}

// keeps is lasting.over in the time that counts. It is asked at every beat, and while
// nothing counts it stays as it is.
func (s *standing) keeps(value, on, off desk.DB, begin, end time.Duration) bool {
	if s.idle > 0 {
		return s.on
	}
	return s.over(s.counted, value, on, off, begin, end)
}

// beats tells a rule when a beat has fallen: it is shown views between them as well.
type beats struct{ last time.Duration }

// fell reports whether there was a beat since it last did. A desk that is away has none.
func (b *beats) fell(v *desk.View) bool {
	if v.Watched-b.last < desk.Beat {
		return false
	}
	b.last = v.Watched
	return true
}

// sum is what these inputs put into the mix at this moment.
func sum(v *desk.View, inputs []int) (p desk.Power) {
	for _, i := range inputs {
		p += v.Moment().Share(i)
	}
	return p
}

// inputsOf is the inputs of which something is so, in the desk's order, in the memory of dst.
func inputsOf(dst []int, v *desk.View, so func(input int) bool) []int {
	dst = dst[:0]
	for i := range v.Inputs() {
		if so(i) {
			dst = append(dst, i)
		}
	}
	return dst
}

// stillAbout is inputs as movers, and some more last: the list that there was, while it is of just
// these. Whoever took a claim keeps its list, which is therefore never written anew.
func stillAbout(was []desk.Mover, inputs []int, last ...int) []desk.Mover {
	same := func(m desk.Mover, i int) bool { return m == inputMover(i) }
	if n := len(inputs); len(was) == n+len(last) && slices.EqualFunc(was[:n], inputs, same) && slices.EqualFunc(was[n:], last, same) {
		return was
	}
	return append(moversOf(inputs), moversOf(last)...)
}

// moversOf is inputs as movers.
func moversOf(inputs []int) []desk.Mover {
	m := make([]desk.Mover, len(inputs))
	for n, i := range inputs {
		m[n] = inputMover(i)
	}
	return m
}

// plays reports whether an input is known to play, breaths bridged, and not just to
// hear others.
func plays(v *desk.View, input int) bool {
	return v.Metered(input) && v.Playing(input) && !v.Overhears(input)
}

// leading finds the lead inputs that sound at this moment.
func leading(dst []int, v *desk.View) []int {
	return inputsOf(dst, v, func(i int) bool { return v.Element(i) == desk.Lead && v.Sounds(i) })
}

// loudest is the one of these that puts most into the mix. There must be one.
func loudest(v *desk.View, inputs []int) int {
	most := inputs[0]
	for _, i := range inputs {
		if v.Moment().Share(i) > v.Moment().Share(most) {
			most = i
		}
	}
	return most
}

// downBy is by how much to move something that is over, or behind, by this: to half a decibel,
// which a hand can do, and no more than 6 dB before listening again.
func downBy(over desk.DB) desk.DB {
	return min(max(upToHalf(over.Shown()), 1), 6)
}

// upToHalf rounds up to half a decibel.
func upToHalf(by desk.DB) desk.DB { return desk.DB(math.Ceil(float64(by)*2) / 2) }
