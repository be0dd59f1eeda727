package rules

import (
	"fmt"

	"pawl/rules/desk"
)

// evidence is the whole arithmetic of a finding: the moves in their order, what
// each raise bought, the change of the total and its split, what the groups took
// back, why it weighs what it does, and the way back.
func (l *ledger) evidence(back wayBack) []Evidence {
	out := l.moveEvidence()
	for _, m := range l.ups {
		what := l.bought(m)
		if back := l.tookBack(m); back >= heard {
			what += fmt.Sprintf(" Of what it gained, its group took back %s.", back)
		}
		out = append(out, Evidence{
			At: l.at, Who: l.roster.Name(m), From: l.base.faders.At(m), To: l.now.faders.At(m), What: what,
		})
	}
	out = append(out, l.fact("%s: faders %s, stage %s, groups %s, main %s.", l.fromTo(),
		l.split.Faders.Signed(), l.split.Stage.Signed(), l.split.Groups.Signed(), l.split.Main.Signed()))
	out = append(out, l.groupEvidence()...)
	out = append(out, l.fact("%s", l.why()))
	switch l.mix.Basis() {
	case OnFaders:
		out = append(out, l.fact("No input meter is heard: every open input counts as equally loud."))
	case Partly:
		out = append(out, l.fact("Some inputs have no meter: they count as loud as the mean of those that have."))
	}
	return append(out, l.backEvidence(back)...)
}

// fromTo is the total at both ends. Without meters there is a change and no level.
func (l *ledger) fromTo() string {
	if l.mix.Basis() == OnFaders {
		return fmt.Sprintf("The total changed by %s", l.split.Total().Signed())
	}
	return fmt.Sprintf("Total %s at the start, %s now", l.base.total(l.mix.routes), l.now.total(l.mix.routes))
}

// fact is a piece of evidence about nobody in particular, as of now.
func (l *ledger) fact(format string, args ...any) Evidence {
	return Evidence{At: l.at, What: fmt.Sprintf(format, args...)}
}

func (l *ledger) moveEvidence() []Evidence {
	var out []Evidence
	for _, m := range l.moves {
		what := fmt.Sprintf("%s up %s, to %s", l.roster.Name(m.Mover), m.Net(), m.To)
		switch m.Kind {
		case Lower:
			what = fmt.Sprintf("%s down %s, to %s", l.roster.Name(m.Mover), -m.Net(), m.To)
		case Return:
			what = fmt.Sprintf("%s back up %s, to %s", l.roster.Name(m.Mover), m.Net(), m.To)
		}
		out = append(out, Evidence{At: m.End, Who: l.roster.Name(m.Mover), From: m.From, To: m.To, What: what})
	}
	return out
}

// groupEvidence is what each group's compressor did about the raises.
func (l *ledger) groupEvidence() []Evidence {
	var out []Evidence
	for k := range l.now.squeeze {
		back := dbOf(l.base.squeeze[k]).Above(dbOf(l.now.squeeze[k]))
		name := l.roster.Name(desk.Mover{Strip: desk.StripGroup, Index: k})
		switch {
		case back >= heard:
			out = append(out, l.fact("The %s took back %s: its compressor holds down that much more than at the start.", name, back))
		case back <= -heard:
			out = append(out, l.fact("The %s gave %s: its compressor holds down that much less than at the start.", name, -back))
		}
	}
	return out
}

// why is the limit that gave the finding its weight.
func (l *ledger) why() string {
	raised, lowered := l.tally()
	text := fmt.Sprintf("%d faders are up by %s or more; raises %s, lowers %s; the faders' part is %s", len(l.ups), l.limits.Up,
		raised, lowered, l.split.Faders)
	switch again := l.reRaised(); {
	case l.split.Faders.Reaches(l.limits.Nudge):
		return fmt.Sprintf("%s, at or over %s.", text, l.limits.Nudge)
	case again != desk.Mover{} && l.split.Faders.Reaches(l.limits.ReRaise):
		return fmt.Sprintf("%s, at or over %s with %s raised again after two others.", text, l.limits.ReRaise, l.roster.Name(again))
	}
	return fmt.Sprintf("%s, at or over %s.", text, l.limits.Whisper)
}

func (l *ledger) backEvidence(w wayBack) []Evidence {
	var out []Evidence
	for _, t := range w.trims {
		from := l.now.faders.At(t.who)
		out = append(out, Evidence{
			At: l.at, Who: l.roster.Name(t.who), From: from, To: from - t.by,
			What: fmt.Sprintf("The way back: %s down %s, to %s", l.roster.Name(t.who), t.by, from-t.by),
		})
	}
	if len(w.trims) > 0 {
		out = append(out, l.fact("With that the faders' part would be %s and the total %s lower than now, if the groups went on holding down as much.",
			w.part.Signed(), w.total.now.Above(w.total.then)))
	}
	return out
}
