package rules

import (
	"slices"
	"time"

	"pawl/rules/desk"
)

// episode is a run of raises with less than limits.Quiet between them.
type episode struct {
	key         int
	start, last time.Duration // of the first raise; end of the last
	known       time.Duration // when the first raise had ended, and base was taken
	kept        time.Duration // end of the last raise, in the time of music
	base        desk.Balance  // the mix before the first raise
	heard       desk.Balance  // its sources as last heard while anything that was raised was playing
	changed     []change      // who had just stopped or begun when it began
	gone        []leaver      // who played then, and had just stopped at a later raise
	risen       desk.DB       // the faders' part when it was last summed up
	playedOn    []change      // who played on then, and how loud each was a while before
	away        bool          // one who had stopped still rests
	unsure      bool          // somebody may have stopped, of whom no meter tells
	moves       []desk.Move   // raises, lowers and returns, by when they ended
	back        []desk.Mover  // who was put back up shortly before it began
	waits       bool          // it is one if it stands
	waited      Weight        // and how heavy it was when that began
	claimed     bool
	about       []desk.Mover // whom the last claim was about
	split       desk.Split   // when it was made
	way         wayBack      // back, as last said
}

// change is an input that had just stopped when an episode began, and how loud it was
// until then, or one that had just begun.
type change struct {
	input   int
	stopped bool
	level   desk.DBFS
}

// changes finds who stopped or began of late, in the same piece.
func changes(v *desk.View) (of []change) {
	for i := range v.Inputs() {
		stopped := v.StoppedFor(i)
		switch {
		case !v.Metered(i) || !v.Open(inputMover(i)):
		case stopped > 0 && stopped <= rests:
			share := desk.Power(2*rests) / desk.Power(2*rests-stopped)
			of = append(of, change{i, true, (v.Level(i, 2*rests).Power() * share).Level()})
		case v.PausedFor(i) == 0 && v.PlayingFor(i) <= rests:
			of = append(of, change{input: i})
		}
	}
	return of
}

// playedOn finds who has been playing for longer than that, and how loud each was until then.
func playedOn(v *desk.View) (of []change) {
	for i := range v.Inputs() {
		over := min(v.PlayingFor(i), 2*rests)
		if !v.Metered(i) || over < rests+rests/2 {
			continue
		}
		all, late := v.Level(i, over).Power()*desk.Power(over), v.Level(i, rests).Power()*desk.Power(rests)
		of = append(of, change{input: i, level: ((all - late) / desk.Power(over-rests)).Level()})
	}
	return of
}

// leaver is an input that stopped while the episode went on.
type leaver struct {
	input int
	risen desk.DB       // the faders' part by then: what was raised before is nothing that is done for it
	back  time.Duration // since when it plays again, as played; 0 while it does not
}

// leaves enters who has stopped of late, at a raise, but for who was raised with others: that
// is a part of the round, and no gap that they fill. What one alone was raised by has
// left with it.
func (e *episode) leaves(v *desk.View, raise desk.Move) {
	for i := range v.Inputs() {
		m, risen := inputMover(i), e.risen
		if e.moved(m) {
			if slices.ContainsFunc(e.moves, func(o desk.Move) bool { return o.Mover != m && o != raise }) {
				continue
			}
			risen = 0
		}
		stopped := v.StoppedFor(i)
		if stopped > 0 && stopped <= rests && v.Metered(i) && v.Open(m) && e.base.Share(i) > 0 &&
			!slices.ContainsFunc(e.gone, func(g leaver) bool { return g.input == i }) {
			e.gone = append(e.gone, leaver{input: i, risen: risen})
		}
	}
}

// returned reports whether those who had stopped all play again, when they first do; of those
// who stopped while the episode went on, when they have done so for long enough for a hand to take
// back what it had lifted for them.
func (e *episode) returned(v *desk.View, settled time.Duration) bool {
	was := e.away
	for n := range e.gone {
		switch g := &e.gone[n]; {
		case !v.Playing(g.input):
			g.back = 0
		case g.back == 0:
			g.back = v.Played
		}
	}
	e.gone = slices.DeleteFunc(e.gone, func(g leaver) bool { return g.back > 0 && v.Played-g.back >= settled })
	e.away = len(e.gone) > 0 || slices.ContainsFunc(e.changed, func(c change) bool { return c.stopped && !v.Playing(c.input) })
	return was && !e.away
}

// enter adds a move. One that had begun before base was taken is in base half done,
// and is put back to where it started; but not where a mute is in the way, for that was
// there at both ends. Ground that is gained again counts for nothing: what the episode
// lost of it is no longer lost, and what was lost before is taken as never lost.
func (e *episode) enter(v *desk.View, m desk.Move) {
	closed := e.base.Fader(m.Mover) == desk.Off
	if m.Start <= e.known && !closed {
		e.base.SetFader(m.Mover, m.From)
	}
	if before := m.Net() - m.Adds - e.lost(m.Mover); m.Kind != desk.Lower && before > 0 && !closed {
		e.base.SetFader(m.Mover, e.base.Fader(m.Mover)+before)
	}
	e.moves = append(e.moves, m)
	slices.SortStableFunc(e.moves, desk.ByEnd)
	if m.Kind == desk.Raise {
		e.leaves(v, m)
		e.last, e.waits = max(e.last, m.End), false
		e.kept = v.PlayedAt(e.last)
	}
}

// stands reports, once, that what waited for it has stood for long enough, of music.
func (e *episode) stands(quiet, least time.Duration) bool {
	if !e.waits || quiet < least {
		return false
	}
	e.waits = false
	return true
}

// lost is how far a mover is lower by what was done to it in the episode and was not
// gained again, counted upwards.
func (e *episode) lost(who desk.Mover) (lost desk.DB) {
	for _, m := range e.moves {
		if m.Mover != who {
			continue
		}
		if m.Kind == desk.Lower {
			lost -= m.Net()
			continue
		}
		lost = max(lost-(m.Net()-m.Adds), 0)
	}
	return lost
}

// regain takes that an input's gain was set right: what its fader did about that is no
// move of the episode.
func (e *episode) regain(m desk.Move) {
	e.base.Regain(m.Mover.Index, m.Gain)
	e.heard.Regain(m.Mover.Index, m.Gain)
	e.moves = slices.DeleteFunc(e.moves, func(o desk.Move) bool { return o.Mover == m.Mover && o.Start >= m.Start })
}

// forget measures a mover from where it now is: a cue is no climb, and neither
// is a lowering to closed.
func (e *episode) forget(v *desk.View, who desk.Mover) {
	e.base.SetFader(who, v.Stands(who))
	e.moves = slices.DeleteFunc(e.moves, func(m desk.Move) bool { return m.Mover == who })
}

// moved reports whether a mover has a part in the episode.
func (e *episode) moved(who desk.Mover) bool {
	return slices.ContainsFunc(e.moves, func(m desk.Move) bool { return m.Mover == who })
}

// concerns reports whether a mover moves an input that was moved in the episode.
func (e *episode) concerns(v *desk.View, who desk.Mover) bool {
	return slices.ContainsFunc(e.moves, func(m desk.Move) bool {
		for i := range v.Inputs() {
			if v.Drives(who, i) && v.Drives(m.Mover, i) {
				return true
			}
		}
		return false
	})
}

// tally adds up what all raises added, and all lowers that were not taken back, counted
// upwards.
func (e *episode) tally() (raised, lowered desk.DB) {
	var movers []desk.Mover
	for _, m := range e.moves {
		if m.Kind == desk.Raise {
			raised += m.Adds
		}
		if !slices.Contains(movers, m.Mover) {
			movers = append(movers, m.Mover)
			lowered += e.lost(m.Mover)
		}
	}
	return raised, lowered
}
