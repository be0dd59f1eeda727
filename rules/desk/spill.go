package desk

import "time"

// A microphone hears the neighbours too. What it hears of one of them it has learned once
// its level went up and down with that one's, well below it; from then on it is known
// at every moment what there is of theirs, and whatever is no louder is nobody's own. So
// several neighbours at once are told as well, of whom none is followed.
//
// A cue is heard in headphones alone, and what leaks from them lies well below it: who is nearer to it
// than that, and goes up and down with it, is a player who keeps its time.
const (
	spilt       = 2 * time.Second        // compared over this: shorter, and accents on the same beat are a copy
	learns      = 500 * time.Millisecond // and so often
	ratioRange  = 4                      // ratios apart by this, 6 dB, are no copy
	enoughBeats = 12                     // beats to compare, at least
	stirred     = 0.25                   // dB squared: what moves less is too steady to tell
)

var (
	wellBelow = Power(DB(12).Ratio()) // nearer than that, two may play alike
	below     = Power(DB(3).Ratio())  // and nearer than that, be one sound that is either's
	noMore    = Power(DB(3).Ratio())  // a room is not the same from word to word
)

// spill is what one microphone hears of another's player.
type spill struct {
	of    int
	share Power // of the level there; 0 for one that is not known
}

// spills are the neighbours of one input: the loudest that were found.
type spills [6]spill

// overhears settles for every input whether it has a sound of its own. All of this
// beat's levels must be folded.
func (m *Mix) overhears() {
	learning := m.beats%int(learns/Beat) == 0
	for i := range m.inputs {
		in := &m.inputs[i]
		if learning && in.spilled {
			m.boundSpills(in)
		}
		if !in.active {
			in.overhears = false
			continue
		}
		if learning {
			m.learnSpills(i)
		}
		in.overhears = in.spilled && in.mean(Syllable) <= m.spilledInto(in)*noMore
		in.sounding = in.sounding && !in.overhears
	}
}

// spilledInto is what an input hears of others at this moment, so far as it is known.
func (m *Mix) spilledInto(in *inputMeter) (p Power) {
	for _, s := range in.spills {
		if s.share > 0 {
			p += s.share * m.inputs[s.of].mean(Syllable)
		}
	}
	return p
}

// boundSpills holds an input to the least that it brought while its neighbours sounded: it hears
// no more of them. One that was silent beside them hears nothing to speak of, though both once went
// up and down together with a hall that claps.
func (m *Mix) boundSpills(in *inputMeter) {
	own := in.mean(spilt)
	for n := range in.spills {
		s := &in.spills[n]
		if of := &m.inputs[s.of]; s.share > 0 && of.active {
			s.share = min(s.share, own/of.mean(spilt))
		}
	}
}

// learnSpills looks for neighbours that an input follows.
func (m *Mix) learnSpills(i int) {
	in := &m.inputs[i]
	for k := range m.inputs {
		of := &m.inputs[k]
		if of.recent < in.recent*below || k == i || !of.active {
			continue
		}
		alike := copied
		if of.recent < in.recent*wellBelow {
			if m.roster.Inputs[k].Cue {
				continue
			}
			alike = exact
		}
		if share, copies := in.copies(of, alike); copies {
			in.spills.learn(k, share)
			in.spilled = true
		}
	}
}

// learn enters a neighbour in place of the least.
func (s *spills) learn(of int, share Power) {
	least := 0
	for n := range s {
		if s[n].share > 0 && s[n].of == of {
			s[n].share = share
			return
		}
		if s[n].share < s[least].share {
			least = n
		}
	}
	s[least] = spill{of, share}
}

// What part of the ups and downs of two may be otherwise in one that is the other's copy: in
// Lin's concordance (Biometrics 45, 1989) of the levels less their means 0.9 is a copy, and
// players who stress the same beats reach 0.8. Whoever is nearly as loud must be nearly the same.
const (
	copied = 0.1
	exact  = 0.02
)

// copies reports whether an input had another's ups and downs of late and no more of its own
// than that, and at what share of the level there.
func (in *inputMeter) copies(of *inputMeter, alike float64) (share Power, copies bool) {
	n := min(int(spilt/Beat), in.full, of.full)
	floor := max(in.gate, in.recent/8)
	low, high := Power(0), Power(0)
	for b := range n {
		if x := in.beat(b); x > floor {
			r := x / max(of.beat(b), inaudible)
			if low == 0 || r < low {
				low = r
			}
			if high = max(high, r); high > ratioRange*low {
				return 0, false
			}
		}
	}
	var own, theirs, apart variance
	for b := range n {
		if in.beat(b) > floor {
			mine, other := float64(in.level(b)), float64(max(of.level(b), inaudibleLevel))
			own.add(mine)
			theirs.add(other)
			apart.add(mine - other)
		}
	}
	stir := own.of() + theirs.of()
	return Power(DB(apart.mean).Ratio()), own.n >= enoughBeats && stir >= 2*stirred && apart.of() <= stir*alike
}
