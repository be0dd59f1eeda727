package rules

import (
	"cmp"
	"iter"
	"slices"
	"time"

	"pawl/rules/desk"
)

// creep finds a rise that nobody noticed, because it came by steps too small to be heard
// or too far apart to be one episode of the ratchet. It is the ratchet's own sum, the
// part of the total's rise that the faders made, measured from the mark that the
// operator set or else from where the segment began, and over no more than twenty
// minutes of music: what has stood for so long is what is meant. As with the ratchet, who
// was raised again after two others has gone round, and then less is plain.
//
// A lift of the whole is meant, but only while it lasts. What is left when a chorus is put back
// by less than it was lifted nobody decided on, and the next chorus leaves as much again.
//
// That small corrections mostly go up is common practice among those who teach mixing,
// with no published source; the limits are ours.
type creep struct {
	limits CreepLimits
	climb  RatchetLimits // for the way back, which is the same
	over   time.Duration // levels are mean power over this
	climbs *ratchet      // the rule itself: who has just been told of that is not told of this

	from      []creepMark   // the newest last; measured from the first
	spare     *desk.Balance // of one that is forgotten
	mark      time.Duration
	segment   int
	elsewhere time.Duration // how long the service was in segments of other kinds, also under the name of this one
	wait      bool          // for a mix to measure from
	stood     time.Duration // since when it has stood, as played
	asked     time.Duration // when it was last summed up: once in each second of music, whatever a hand did in another
	moves     []desk.Move   // raises, and lowers of DCAs, for rounds and lifts
	rise      episode       // what is summed up, as the next, in memory that is used again
	sums      ledger
	now       desk.Balance
	was       desk.Balance

	claimed bool
	way     wayBack // back, as last said
	moved   bool    // somebody moved a fader since it was last asked for
	key     int
	about   []desk.Mover
	say     func() Said
}

var creepKind = Kind{
	Name:    "creep",
	Summary: "a louder mix by moves too small or too slow to be noticed one by one",
	Needs:   []desk.Signal{desk.InputFader},
	Helped:  []desk.Signal{desk.InputLevel, desk.InputMute, desk.DCAFader, desk.GroupFader, desk.GroupReduction, desk.MainFader},
	Says: []string{
		"creep.up", "creep.louder", "creep.rose", "creep.why", "creep.eased", "creep.afresh",
		"ratchet.same", "ratchet.stands", "ratchet.try", "ratchet.try-back", "ratchet.try-back-also", "ratchet.try-whole", "ratchet.try-and-down", "ratchet.try-far", "ratchet.then", "ratchet.then-listen", "ratchet.then-whole", "ratchet.then-rest", "ratchet.totals", "ratchet.change",
		"ratchet.back", "ratchet.back-total", "ratchet.on-faders",
	},
	In:   []desk.SegmentKind{desk.Music},
	Grew: func(l Limits) desk.DB { return l.Creep.Grew },
	New: func(l Limits) Rule {
		c := &creep{limits: l.Creep, climb: l.Ratchet, over: l.Mix.JudgeOver, wait: true}
		c.say = func() Said { return c.said(&c.sums) }
		return c
	},
}

// CreepLimits say when a slow rise is worth a word.
type CreepLimits struct {
	Over   time.Duration `yaml:"over" doc:"measured from the mark or the segment's beginning, or over this much music if that is longer ago, at most 20m" from:"ours"`
	Movers int           `yaml:"movers" doc:"at least this many different movers" from:"ours: fewer are a ride"`
	Up     desk.DB       `yaml:"up" doc:"each up by this much" from:"ours: about the least raise that is heard in a mix"`
	Part   desk.DB       `yaml:"part" doc:"fader part of the total's rise" from:"ours"`
	Again  desk.DB       `yaml:"again" doc:"and when one of them was raised again after two others" from:"ours: the ratchet's"`
	Grew   desk.DB       `yaml:"grew" doc:"said again when it has grown by this" from:"ours"`
	Eased  desk.DB       `yaml:"eased" doc:"fader part below which it has eased" from:"ours"`
	After  time.Duration `yaml:"after" doc:"not said of the same for this much music after a ratchet was" from:"ours"`
}

func defaultCreepLimits() CreepLimits {
	return CreepLimits{Over: 20 * time.Minute, Movers: 3, Up: 1, Part: 3, Again: 2, Grew: 2, Eased: 1.5, After: 3 * time.Minute}
}

// Check finds limits that make no sense.
func (l CreepLimits) Check() (wrong []desk.WrongLimit) {
	if l.Up <= 0 {
		wrong = append(wrong, desk.WrongLimit{Name: "up", Text: "found " + l.Up.String() + "; want a rise above 0 dB"})
	}
	if least := min(l.Part, l.Again); l.Eased >= least {
		wrong = append(wrong, desk.WrongLimit{Name: "eased", Text: "eased is " + l.Eased.String() + " and the least of part and again " + least.String() + "; want it to open before it can ease"})
	}
	return wrong
}

// heed takes the rule that creep gives way to.
func (c *creep) heed(other Rule) {
	if r, ok := other.(*ratchet); ok {
		c.climbs = r
	}
}

// Judge implements Rule. It holds at most one claim at a time.
func (c *creep) Judge(v *desk.View, claim func(Claim)) {
	for _, m := range v.Moves {
		c.take(v, m)
	}
	c.moved = c.moved || len(v.Moves) > 0
	fresh := c.keep(v)
	switch {
	case c.claimed && (fresh || len(c.from) == 0):
		c.claimed = false
		claim(Claim{Key: c.key, Eased: true, Say: c.afresh})
	case v.Moving || v.Untold() || v.Played/time.Second == c.asked/time.Second || len(c.from) == 0 || !v.Music():
		if c.claimed {
			claim(Claim{Key: c.key})
		}
	default:
		c.asked = v.Played
		c.judge(v, claim)
	}
}

// judge sums up what has come of it since.
func (c *creep) judge(v *desk.View, claim func(Claim)) {
	if c.sums.ups = c.up(c.sums.ups, v, c.from[0].mix); !c.claimed && len(c.sums.ups) < c.limits.Movers {
		return // most of the time, and nothing was summed up for it
	}
	l := c.ledger(v)
	up := len(l.ups) >= c.limits.Movers
	switch {
	case !c.claimed && (!up || !l.split.Faders.Reaches(c.least(l)) || c.told(v, l.ups)):
		return
	case c.claimed && !l.split.Faders.Reaches(c.limits.Eased):
		c.claimed = false
		claim(Claim{Key: c.key, Eased: true, Say: func() Said { return c.eased(l) }})
		return
	case !c.claimed:
		c.key++
		c.claimed, c.moved = true, false
	case c.told(v, l.ups) || !up:
		claim(Claim{Key: c.key, Anew: len(l.ups) > 0 && c.elseBack(l), Say: c.say}) // nothing has grown
		return
	}
	anew := c.elseBack(l)
	if !slices.Equal(c.about, l.ups) {
		c.about = slices.Clone(l.ups) // whoever took the claim keeps the one before
	}
	claim(Claim{Key: c.key, About: c.about, Weight: Whisper, Size: l.split.Faders, Anew: anew, Say: c.say})
}

// elseBack reports whether the way back has become another by what was moved since it was last asked.
func (c *creep) elseBack(l *ledger) bool {
	moved := c.moved
	c.moved = false
	return moved && !c.way.same(l.wayBack())
}

// up is the inputs and DCAs that play and stand higher than they did, the highest first, in
// the memory of dst.
func (c *creep) up(dst []desk.Mover, v *desk.View, than *desk.Balance) []desk.Mover {
	ups := dst[:0]
	rise := func(m desk.Mover) desk.DB { return v.Stands(m).Above(than.Fader(m)) }
	for m := range faders(v) {
		if rise(m).Reaches(c.limits.Up) && v.Active(m) {
			ups = append(ups, m)
		}
	}
	// By what is shown: a desk that rounds its faders tells the same movers in the same order.
	slices.SortStableFunc(ups, func(a, b desk.Mover) int { return cmp.Compare(rise(b).Shown(), rise(a).Shown()) })
	return ups
}

// faders is every input and DCA.
func faders(v *desk.View) iter.Seq[desk.Mover] {
	return func(yield func(desk.Mover) bool) {
		for i := range v.Inputs() {
			if !yield(inputMover(i)) {
				return
			}
		}
		for k := range v.DCAs() {
			if !yield(dcaMover(k)) {
				return
			}
		}
	}
}

// least is the fader part that is worth a word: less, once it has gone round.
func (c *creep) least(l *ledger) desk.DB {
	if l.wentRound() {
		return c.limits.Again
	}
	return c.limits.Part
}

// ledger sums up the rise, but for what is lifted as a whole: that is meant. Its moves are
// those of who is up.
func (c *creep) ledger(v *desk.View) *ledger {
	e, l := &c.rise, &c.sums
	own := e.moves[:0]
	*e = episode{base: e.base, start: c.from[0].at, last: v.At, moves: c.moves, about: c.about}
	e.base.CopyFrom(c.from[0].mix)
	*l = ledger{episode: e, View: v, limits: c.climb, now: &c.now, was: &c.was, ups: l.ups, lifts: l.lifts}
	v.Balance(l.now, c.over)
	for k := range v.DCAs() {
		if dca := (dcaMover(k)); l.net(dca) > 0 && l.pushesWhole(dca) {
			e.base.SetFader(dca, e.base.Fader(dca)+min(l.lifted(dca), l.net(dca)))
		}
	}
	l.ups = c.up(l.ups, v, &e.base)
	l.split = desk.Attribute(&e.base, l.now)
	for _, m := range c.moves {
		if slices.Contains(l.ups, m.Mover) {
			own = append(own, m)
		}
	}
	e.moves = own
	return l
}

// lifted is how much of what a mover was raised has not been put back. A lowering by half of it
// or more ends a lift; by less it is the hand that corrects itself.
func (e *episode) lifted(who desk.Mover) (by desk.DB) {
	for _, m := range e.moves {
		switch {
		case m.Mover != who:
		case m.Kind == desk.Lower && -m.Net() >= by/2:
			by = 0
		default:
			by += m.Net()
		}
	}
	return by
}

// told reports whether the ratchet speaks of any of these, just has, or may be about to.
func (c *creep) told(v *desk.View, of []desk.Mover) bool {
	if c.climbs.climbing() {
		return true
	}
	about, ended, now := c.climbs.lastSaid()
	if !now && (about == nil || v.Played-ended > c.limits.After) {
		return false
	}
	return slices.ContainsFunc(of, func(m desk.Mover) bool { return slices.Contains(about, m) })
}
