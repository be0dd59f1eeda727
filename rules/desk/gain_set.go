package desk

import (
	"slices"
	"time"
)

// pairing is what was lately done to one input's source gain and to its fader. Who
// turns the gain up and the fader down by as much has set a gain right and has not
// ridden the input: strokes against each other are one move of their sum.
type pairing []stroke

// stroke is one motion of the gain or of the fader.
type stroke struct {
	ofGain     bool
	start, end time.Duration
	net        DB
	told       bool // of a gain: it has been part of a GainSet
}

// gain takes where an input's source gain stands now.
func (m *moves) gain(at time.Duration, input int, db DB) {
	slot := m.faders.Len() + input
	if t := &m.tracks[slot]; !t.heard {
		*t = track{heard: true, value: db, rest: db, restAt: atRest}
		return
	}
	m.follow(at, slot, db)
}

// endGain brings a source gain to rest.
func (m *moves) endGain(input int, t *track, into []Move) []Move {
	s := stroke{ofGain: true, start: t.start, end: t.last, net: t.value.Above(t.rest)}
	scene := t.scene
	t.moving, t.scene, t.rest, t.restAt = false, false, t.value, atRest
	if scene || s.net == 0 {
		return into
	}
	m.stroke(input, s)
	return m.set(input, into)
}

// pair takes a motion of a fader that has ended, and appends what it was: itself, or
// with the gain's that it was made against their sum.
func (m *moves) pair(mv Move, counts bool, into []Move) []Move {
	if mv.Mover.Strip != StripInput {
		return plain(mv, counts, into)
	}
	i := mv.Mover.Index
	switch mv.Kind {
	case Scene, BringIn, TakeOut:
		m.gains[i] = m.gains[i][:0]
		return plain(mv, counts, into)
	}
	m.stroke(i, stroke{start: mv.Start, end: mv.End, net: mv.Net()})
	if out := m.set(i, into); len(out) > len(into) {
		return out
	}
	return plain(mv, counts, into)
}

func plain(mv Move, counts bool, into []Move) []Move {
	if !counts {
		return into
	}
	return append(into, mv)
}

// stroke enters one, and forgets those that are too old to be one move with it.
func (m *moves) stroke(input int, s stroke) {
	m.gains[input] = append(slices.DeleteFunc(m.gains[input], func(o stroke) bool { return s.start-o.end > m.limits.GainIn }), s)
}

// set appends the GainSet that an input's strokes make if they are against each other,
// and the move that is their sum if it counts.
func (m *moves) set(input int, into []Move) []Move {
	p := m.gains[input]
	var gain, untold, fader DB
	for _, s := range p {
		if s.ofGain {
			gain += s.net
			if !s.told {
				untold += s.net
			}
		} else {
			fader += s.net
		}
	}
	if gain*fader >= 0 {
		return into
	}
	who := Mover{StripInput, input}
	stands := m.tracks[m.faders.slot(who)].value
	mv := Move{Mover: who, Kind: GainSet, Start: p[0].start, End: p[0].end, From: stands, To: stands, Gain: untold}
	for i := range p {
		p[i].told = true
		mv.Start, mv.End = min(mv.Start, p[i].start), max(mv.End, p[i].end)
	}
	t := &m.tracks[m.faders.slot(who)]
	t.lowered.From -= untold
	into = append(into, mv)
	sum := mv
	sum.Gain, sum.From = 0, stands-gain-fader
	switch net := sum.Net(); {
	case net.Reaches(m.limits.Count):
		sum.Kind, sum.Adds = Raise, net
	case (-net).Reaches(m.limits.Count):
		sum.Kind = Lower
	default:
		return into
	}
	return append(into, sum)
}

// sceneGains forgets what a scene did to source gains, and has what it is doing be its own.
func (m *moves) sceneGains(at time.Duration) {
	for i := range m.gains {
		m.gains[i] = m.gains[i][:0]
		if t := &m.tracks[m.faders.Len()+i]; t.moving && at-t.start <= m.limits.SceneIn {
			t.scene = true
		}
	}
}
