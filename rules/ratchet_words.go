package rules

import (
	"fmt"
	"strings"
	"time"
)

func (l *ledger) said() Said {
	return Said{Rise: l.split.Total(), Faders: l.split.Faders, Stage: l.split.Stage}
}

// open says what happened, what it did, and the way back.
func (l *ledger) open() Said {
	s := l.said()
	s.Text = fmt.Sprintf("%s were raised in turns, by %s between them over %s. %s", sentence(l.names()),
		l.raised, spell(l.last-l.start), l.cost())
	back := l.wayBack()
	s.Try = l.try(back)
	s.Evidence = l.evidence()
	return s
}

// cost is what the raises did to the whole, and what they bought.
func (l *ledger) cost() string {
	rise := l.split.Total()
	text := fmt.Sprintf("The total is %s %s: %.1f from the faders, %.1f from the stage",
		amount(rise), louder(rise), float64(l.split.Faders), float64(l.split.Stage))
	if g := l.split.Groups; abs(g) >= 0.1 {
		text += fmt.Sprintf(", %.1f from the groups", float64(g))
	}
	if m := l.split.Main; abs(m) >= 0.1 {
		text += fmt.Sprintf(", %.1f from the main", float64(m))
	}
	if mean, same := l.sameBalance(); same {
		return fmt.Sprintf("%s. It is the same balance, %s louder.", text, mean)
	}
	best := l.ups[0]
	for _, m := range l.ups {
		if l.net(m) > l.net(best) {
			best = m
		}
	}
	return fmt.Sprintf("%s. %s", text, l.bought(best))
}

// bought is what a mover's raise did for it: how much it gained on the mix, and
// how much went to sheer volume.
func (l *ledger) bought(m Mover) string {
	raised, spent := l.net(m), l.split.Faders
	return fmt.Sprintf("%s went up %s and is %s clearer; the other %s went to volume.",
		sentence(l.roster.Name(m)), raised, max(raised-spent, 0), min(spent, raised))
}

func (l *ledger) try(w wayBack) string {
	var names []string
	for _, t := range w.trims {
		names = append(names, l.roster.Name(t.who))
	}
	each := ""
	if len(names) > 1 {
		each = " each"
	}
	return fmt.Sprintf("Bring %s down %s%s: the balance stays, and the total goes to about %s.",
		withThe(w.trims, join(names)), w.trims[0].by, each, w.total)
}

// withThe puts an article before a single mover, as one would say it.
func withThe(ts []trim, names string) string {
	if len(ts) == 1 {
		return "the " + names
	}
	return names
}

// eased says that the way back was taken.
func (l *ledger) eased() Said {
	s := l.said()
	s.Text = "Back again: the faders add nothing to where this began."
	if l.split.Faders >= 0.1 {
		s.Text = fmt.Sprintf("Back again: the faders add no more than %s to where this began.", l.split.Faders)
	}
	return s
}

// accepted says that the new level stands.
func (l *ledger) accepted() Said {
	s := l.said()
	s.Accepted = true
	s.Text = fmt.Sprintf("No raise for %s: this level, %s above where it began by the faders, is now the one to measure from.",
		spell(l.limits.Accepted), l.split.Faders)
	return s
}

// evidence is the moves in their order, and then what each raise bought.
func (l *ledger) evidence() []Evidence {
	var out []Evidence
	for _, m := range l.moves {
		out = append(out, Evidence{
			At: m.End, Who: l.roster.Name(m.Mover), From: m.From, To: m.To,
			What: fmt.Sprintf("%s %s %s, to %s", l.roster.Name(m.Mover), upOrDown(m.Net()), abs(m.Net()), m.To),
		})
	}
	for _, m := range l.ups {
		out = append(out, Evidence{
			At: l.last, Who: l.roster.Name(m), From: l.base.faders.At(m), To: l.now.faders.At(m), What: l.bought(m),
		})
	}
	return out
}

func (l *ledger) names() string {
	var names []string
	for _, m := range l.ups {
		names = append(names, l.roster.Name(m))
	}
	return join(names)
}

// join lists names as a sentence would: "piano, fiddle and accordion".
func join(names []string) string {
	if n := len(names); n > 1 {
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	}
	return strings.Join(names, "")
}

// sentence gives a text the capital that begins a sentence.
func sentence(s string) string {
	for i, r := range s {
		return strings.ToUpper(string(r)) + s[i+len(string(r)):]
	}
	return s
}

// spell writes a length of time as one would say it: "65 s", "3 min", "2 min 30 s".
func spell(d time.Duration) string {
	s := int(d.Round(time.Second) / time.Second)
	switch {
	case s < 100:
		return fmt.Sprintf("%d s", s)
	case s%60 == 0:
		return fmt.Sprintf("%d min", s/60)
	}
	return fmt.Sprintf("%d min %d s", s/60, s%60)
}

func amount(d DB) string { return abs(d).String() }

func louder(d DB) string {
	if d < 0 {
		return "quieter"
	}
	return "louder"
}

func upOrDown(d DB) string {
	if d < 0 {
		return "down"
	}
	return "up"
}
