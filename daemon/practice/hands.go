package practice

import (
	"slices"
	"time"
)

// handled is an action of the hand on the desk. Players and the desk's own power
// are none of its business.
type handled interface {
	action

	// left is the same action without what it does to inputs and DCAs, or nil if
	// nothing is left of it.
	left() action
}

// HandsOff is the same service with nobody at the inputs and DCAs from a moment on:
// a fader that is on its way then stays where it is. What is done to groups, to the
// main and to compressors is done all the same, because a judgement of who made it louder counts those
// as other causes. Nothing is expected of it.
func (s *Script) HandsOff(from time.Duration) *Script {
	out := *s
	out.Expect, out.Loops, out.cues = nil, false, nil
	for _, c := range s.cues {
		if h, ok := c.act.(handled); ok && c.at >= from {
			if c.act = h.left(); c.act == nil {
				continue
			}
		}
		out.cues = append(out.cues, c)
	}
	out.insert(cue{at: from, act: leaving{}})
	return &out
}

// Lowering is the same service in which one strip is lowered as well, at a moment and
// in so much time. by is in dB above 0. Nothing is expected of it. A strip that the
// desk lacks is a fault of the caller's, and panics when the service is played.
func (s *Script) Lowering(of Bank, strip int, by float64, at, over time.Duration) *Script {
	out := *s
	out.Expect, out.Loops, out.cues = nil, false, slices.Clone(s.cues)
	out.insert(cue{at: at, act: &shifting{[]knob{{of, strip}}, gain(-by), manner{over: over}}})
	return &out
}

// insert puts a cue before those that come later, and after those of its own time.
func (s *Script) insert(c cue) {
	i := slices.IndexFunc(s.cues, func(d cue) bool { return d.at > c.at })
	if i < 0 {
		i = len(s.cues)
	}
	s.cues = slices.Insert(s.cues, i, c)
}

// leaving is the hand going away from inputs and DCAs, whatever it was about.
type leaving struct{}

func (leaving) do(p *performance) error {
	p.hands = slices.DeleteFunc(p.hands, func(h hand) bool { return followed(h.knob) })
	for b := range p.board[:Groups] {
		for i := range p.board[b] {
			// A later hand starts from where this one let go.
			p.board[b][i].wanted = stepGain(p.board[b][i].step)
		}
	}
	return nil
}

// followed reports whether a judgement counts what is done to a strip among the faders.
func followed(k knob) bool { return k.bank == Inputs || k.bank == DCAs }

func unfollowed(which []knob) []knob { return slices.DeleteFunc(slices.Clone(which), followed) }

func (a *shifting) left() action {
	if which := unfollowed(a.which); len(which) > 0 {
		return &shifting{which, a.by, a.how}
	}
	return nil
}

func (a *moving) left() action {
	if which := unfollowed(a.which); len(which) > 0 {
		return &moving{which, a.to, a.how}
	}
	return nil
}

func (a *switching) left() action {
	if which := unfollowed(a.which); len(which) > 0 {
		return &switching{which, a.muted}
	}
	return nil
}

func (a *scene) left() action {
	out := &scene{}
	for i, k := range a.which {
		if !followed(k) {
			out.which, out.to = append(out.which, k), append(out.to, a.to[i])
		}
	}
	if len(out.which) == 0 {
		return nil
	}
	return out
}
