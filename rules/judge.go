package rules

import (
	"math"
	"slices"
	"time"

	"pawl/rules/desk"
)

// Judge listens to a service and says what it finds. Feed it readings with Hear
// in order of time, let time pass with Advance, and take what it said with Said.
// The same readings at the same times give the same findings, live or replayed.
// It is used from one goroutine.
type Judge struct {
	roster desk.Roster
	limits Limits
	mix    *Mix
	moves  *moves
	rules  []*holder
	calm   *calm

	at     time.Duration
	heard  time.Duration // when the last reading was
	beat   time.Duration // when the next beat falls
	beats  int
	ended  []Move
	said   []Finding
	mark   mark
	recent []Move // raises and lowers since the last call of Steps

	strips  []stripHeard // in the order of Faders
	told    map[told]desk.Reading
	scratch Balance
}

// idle is how long after the last reading nothing is judged any more, until the
// next one. A capture may hold years between two packets, where a clock was set.
const idle = time.Hour

// endOfTime bounds what a capture may say the time is, so that no sum overflows.
const endOfTime = time.Duration(math.MaxInt64 / 2)

// NewJudge makes a judge of a desk that nothing has been heard of. An input of a
// DCA or group that is not in the roster is a fault of the caller's, and panics.
func NewJudge(r desk.Roster, l Limits) *Judge {
	r = r.Clone() // the desk may name strips as it goes
	j := &Judge{roster: r, limits: l, mix: NewMix(r, l.Mix), calm: newCalm(l.Calm), beat: Beat}
	j.told = map[told]desk.Reading{}
	j.strips = make([]stripHeard, j.mix.faders.Len())
	j.mark.next = MarkedStart
	j.moves = newMoves(l.Moves, &j.mix.faders)
	for _, k := range Kinds {
		j.rules = append(j.rules, &holder{kind: k, rule: k.New(r, l), grew: k.Grew(l)})
	}
	return j
}

// Hear takes a reading. Its time must not be before the last one's; one that is
// counts as now. A reading for a strip that the roster lacks is ignored.
func (j *Judge) Hear(r desk.Reading) {
	if r.At > j.at {
		j.Advance(r.At)
	}
	j.heard = j.at
	j.note(&r)
	what, who := j.mix.apply(&r)
	switch what {
	case moved:
		j.moves.fader(j.at, who, r.Gain())
	case switched:
		j.moves.mute(j.at, who, r.On())
	case rerouted:
		j.moves.rerouted(j.at, who)
	case newScene:
		j.moves.recalled(j.at)
	case named:
		j.roster.Rename(who, r.Text)
	}
}

// Next is the next time at which something may have to be said though nothing is
// heard: call Advance then.
func (j *Judge) Next() time.Duration {
	if at, ok := j.moves.due(); ok && at < j.beat {
		return at
	}
	return j.beat
}

// Advance lets time pass to at: moves come to rest, beats fall, rules are asked.
// How often it is called between two readings makes no difference; but a reading
// from before at, heard afterwards, counts as of at.
func (j *Judge) Advance(at time.Duration) {
	at = min(at, endOfTime)
	for next := j.Next(); next <= at; next = j.Next() {
		j.at = max(next, j.at)
		beat := next == j.beat
		if beat && next-j.heard > idle {
			j.skip(at)
			continue
		}
		if beat {
			j.mix.fold()
			j.beat += Beat
			j.beats++
		}
		j.settle()
		if beat || len(j.ended) > 0 {
			j.observe()
		}
		if beat {
			j.keepMark()
			j.compareMain()
		}
	}
	j.at = max(at, j.at)
}

// skip lets the beats up to at fall without judging anything.
func (j *Judge) skip(at time.Duration) {
	n := (at-j.beat)/Beat + 1
	j.beat += n * Beat
	j.beats += int(n)
}

func (j *Judge) settle() {
	j.ended = j.moves.settle(j.at, j.ended)
	for _, m := range j.ended {
		switch m.Kind {
		case Scene:
			j.wantMark(MarkedScene)
		case Reroute:
			j.wantMark(MarkedReroute)
		case Raise, Lower, Return:
			if len(j.recent) < mostSteps {
				j.recent = append(j.recent, m)
			}
		}
	}
}

func (j *Judge) observe() {
	f := Frame{At: j.at, Mix: j.mix, Moves: j.ended, Moving: len(j.moves.moving) > 0}
	for _, h := range j.rules {
		h.observe(f, j.calm, j.say)
	}
}

func (j *Judge) say(f Finding) {
	for _, m := range f.Movers {
		f.Inputs = append(f.Inputs, j.roster.Name(m))
	}
	f.Movers = slices.Clone(f.Movers)
	if f.Accepted {
		j.accept()
	}
	j.said = append(j.said, f)
}

// Said gives what has been said since the last call.
func (j *Judge) Said() []Finding {
	said := j.said
	j.said = nil
	return said
}

// Seen takes a finding off the operator's screen.
func (j *Judge) Seen(number int) { j.calm.close(j.at, number) }

// NotNow takes a finding off the operator's screen and keeps its rule quiet for
// limits.calm.not-now, or until the next mark.
func (j *Judge) NotNow(f Finding) {
	j.calm.close(j.at, f.Number)
	j.calm.silence(f.Rule, j.at+j.limits.Calm.NotNow)
}

// Visible reports whether a finding belongs on the operator's screen now.
func (j *Judge) Visible(number int) bool { return j.calm.visible(number) }
