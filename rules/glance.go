package rules

import (
	"fmt"
	"strings"
	"time"

	"pawl/rules/desk"
)

// Glance is what one look at the page should answer: am I louder than I meant to
// be, and is it me?
type Glance struct {
	At        time.Duration
	Basis     Basis
	Explained bool // false while the map does not account for the desk's own main level

	Playing int // how many inputs are in the mix now

	Total desk.DBFS // modelled, at the main's output, mean power over ten seconds

	// The mark is what the split is measured from. Until Marked, the others are zero.
	Marked    bool
	MarkedAt  time.Duration
	MarkedHow string
	MarkTotal desk.DBFS
	Split     Split

	Squeezes []Squeeze
	Parts    []Part
}

// Part is one element of the mix and who leads it now.
type Part struct {
	Element desk.Element
	Present bool
	Primary string // the loudest input of the element; "" when none is present
}

// Glance looks at the mix as it stands.
func (j *Judge) Glance() Glance {
	now := &j.scratch
	j.mix.balance(now, j.limits.Mix.JudgeOver)
	g := Glance{
		At: j.at, Basis: j.mix.Basis(), Explained: j.mix.mismatch.wander() <= j.limits.Mix.Unexplained,
		Playing: j.mix.playing(), Total: now.total(j.mix.routes), Parts: j.mix.parts(now),
		Marked: j.mark.set, MarkedAt: j.mark.at, MarkedHow: j.mark.how, MarkTotal: j.mark.total,
	}
	if j.mark.set {
		g.Split = attribute(j.mix.routes, &j.mark.base, now)
	}
	for k := range j.roster.Groups {
		g.Squeezes = append(g.Squeezes, j.mix.Squeeze(k))
	}
	return g
}

// Sentence is the split in words: "+2.6 dB since the mark: 2.1 from the faders,
// 0.5 from the stage." Before there is a mark it says what is being waited for.
func (g Glance) Sentence() string {
	if !g.Marked {
		if g.Basis == NoBasis {
			return "No fader is open yet."
		}
		return "Listening for a mix to measure from."
	}
	if g.Playing == 0 {
		return "Nothing is playing now."
	}
	var parts []string
	for _, p := range []struct {
		by   desk.DB
		from string
	}{{g.Split.Faders, "the faders"}, {g.Split.Stage, "the stage"}, {g.Split.Groups, "the groups"}, {g.Split.Main, "the main"}} {
		if abs(p.by) >= 0.05 {
			parts = append(parts, fmt.Sprintf("%s from %s", desk.OneDecimal(float64(p.by)), p.from))
		}
	}
	if len(parts) == 0 {
		return "Just as at the mark."
	}
	return fmt.Sprintf("%s since the mark: %s.", g.Split.Total().Signed(), strings.Join(parts, ", "))
}

func (m *Mix) parts(b *Balance) []Part {
	parts := make([]Part, 0, desk.Fill)
	for e := desk.Foundation; e <= desk.Fill; e++ {
		p := Part{Element: e}
		var most desk.Power
		for i, in := range m.roster.Inputs {
			power := b.stage[i] * desk.Power(b.gain[i]*through(m.routes[i], b.group))
			if in.Element == e && m.inputActive(i) && power > most {
				p.Present, p.Primary, most = true, in.Name, power
			}
		}
		parts = append(parts, p)
	}
	return parts
}

// Step is a raise or a lower, for the page to draw on the tide.
type Step struct {
	At  time.Duration
	Who string
	By  desk.DB // upwards positive
}

// mostSteps bounds what waits for Steps when nobody asks, as in a replay.
const mostSteps = 256

// Steps gives the raises and lowers since the last call; of very many, the first 256.
func (j *Judge) Steps() []Step {
	var steps []Step
	for _, m := range j.recent {
		steps = append(steps, Step{At: m.End, Who: j.roster.Name(m.Mover), By: m.Net()})
	}
	j.recent = j.recent[:0]
	return steps
}
