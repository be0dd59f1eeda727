package rules

import (
	"fmt"
	"time"

	"pawl/rules/desk"
)

func (l *ledger) said() Said {
	return Said{Rise: l.split.Total(), Faders: l.split.Faders, Stage: l.split.Stage}
}

// open says what happened, what it did, and the way back.
func (l *ledger) open() Said {
	s := l.said()
	about := l.about()
	s.Text = fmt.Sprintf("%s were raised in turns, %s over %s. %s %s", sentence(join(l.names(about))),
		l.byHowMuch(about), spell(l.last-l.start), sentence(l.split.inWords(l.at-l.start)), l.best(about))
	if l.mix.Basis() == OnFaders {
		s.Text += " No meters are heard, so every open input counts as equally loud."
	}
	back := l.wayBack()
	s.Try = l.try(back)
	s.Evidence = l.evidence(back)
	return s
}

// byHowMuch is the least and the most that anybody is up.
func (l *ledger) byHowMuch(about []desk.Mover) string {
	if len(about) == 0 {
		return "each a little"
	}
	least, most := l.net(about[0]), l.net(about[0])
	for _, m := range about[1:] {
		least, most = min(least, l.net(m)), max(most, l.net(m))
	}
	if shown(least) == shown(most) {
		return fmt.Sprintf("by %s each", most)
	}
	return fmt.Sprintf("by %s to %s each", desk.OneDecimal(float64(least)), most)
}

// inWords is the split as one would tell it, whichever way each part went: "the
// faders added 3.1 dB; the stage took away 1.1 dB: the total is 2.0 dB louder than
// 65 s ago."
func (s Split) inWords(since time.Duration) string {
	var added, took []string
	for _, part := range []struct {
		from, took string
		by         desk.DB
	}{
		{"the faders", "took away", s.Faders}, {"the stage", "took away", s.Stage},
		{"the groups", "took back", s.Groups}, {"the main", "took away", s.Main},
	} {
		switch {
		case part.by >= heard && len(added) == 0:
			added = append(added, fmt.Sprintf("%s added %s", part.from, part.by))
		case part.by >= heard:
			added = append(added, fmt.Sprintf("%s %s", part.from, part.by))
		case part.by <= -heard && len(took) == 0:
			took = append(took, fmt.Sprintf("%s %s %s", part.from, part.took, -part.by))
		case part.by <= -heard:
			took = append(took, fmt.Sprintf("%s %s", part.from, -part.by))
		}
	}
	text := join(added)
	if text != "" && len(took) > 0 {
		text += "; "
	}
	text += join(took)
	if text == "" {
		text = "nothing added to it"
	}
	than := "than"
	if abs(s.Total()) < heard {
		than = "as"
	}
	return fmt.Sprintf("%s: the total is %s %s %s ago.", text, louder(s.Total()), than, spell(since))
}

// heard is the least change that one decimal shows.
const heard = desk.DB(0.05)

// louder compares: "2.0 dB louder", "as loud".
func louder(d desk.DB) string {
	switch {
	case d >= heard:
		return fmt.Sprintf("%s louder", d)
	case d <= -heard:
		return fmt.Sprintf("%s quieter", -d)
	}
	return "as loud"
}

// best is what was bought: by everybody, if all went up alike, or else by the one
// that was raised most.
func (l *ledger) best(about []desk.Mover) string {
	if mean, same := l.sameBalance(); same {
		return fmt.Sprintf("It is the same balance, %s.", louder(mean))
	}
	var best desk.Mover
	for _, m := range about {
		if movesGains(m) && (best == desk.Mover{} || shown(l.net(m)) > shown(l.net(best))) {
			best = m
		}
	}
	if best == (desk.Mover{}) {
		return "No single input is clearer."
	}
	return l.bought(best)
}

// movesGains reports whether a mover's part in a rise is counted among the
// faders: a group's is counted among the groups, and the main is on its own.
func movesGains(m desk.Mover) bool { return m.Strip == desk.StripInput || m.Strip == desk.StripDCA }

// tookBack is what the groups of an input, if it feeds the main by groups alone,
// took of its raise: how much more their compressors hold it down.
func (l *ledger) tookBack(m desk.Mover) desk.DB {
	if m.Strip != desk.StripInput || l.mix.routes[m.Index].main {
		return 0
	}
	var was, is desk.Ratio
	for _, k := range l.mix.routes[m.Index].groups {
		was, is = was+l.base.squeeze[k], is+l.now.squeeze[k]
	}
	return dbOf(was).Above(dbOf(is))
}

// bought is what a mover's raise did for it: how much it gained on the mix, and
// how much went to sheer volume.
func (l *ledger) bought(m desk.Mover) string {
	name, raised := sentence(l.roster.Name(m)), l.net(m)
	if !movesGains(m) {
		return fmt.Sprintf("%s went up %s.", name, raised)
	}
	// Clearer is taken from what is shown, so that the numbers in a sentence add up.
	clearer := shown(raised) - shown(l.split.Faders)
	switch {
	case clearer <= -heard:
		return fmt.Sprintf("%s went up %s, less than the whole did, and is %s less clear than before.", name, raised, -clearer)
	case clearer < heard:
		return fmt.Sprintf("%s went up %s and is no clearer: all of it went to volume.", name, raised)
	}
	return fmt.Sprintf("%s went up %s and is %s clearer; the other %s went to volume.", name, raised, clearer, l.split.Faders)
}

// try proposes the way back, and says where it leads.
func (l *ledger) try(w wayBack) string {
	if len(w.trims) == 0 {
		return "Bring each of them down by the same small amount: the balance between them stays, and the total comes down."
	}
	each, stays := "", "the balance within it stays"+l.alongside(w.trims[0].who)
	if len(w.trims) > 1 {
		each, stays = " each", "the balance between them stays"
	}
	if l.split.Stage <= -heard && l.split.Total() < l.limits.Eased {
		return fmt.Sprintf("The stage is quieter, so nothing need come down yet. When it comes back, bring %s down by as much, at most %s%s.",
			join(l.withThe(w.trims)), w.trims[0].by, each)
	}
	down := fmt.Sprintf("Bring %s down %s%s: %s, and the total comes down by", join(l.withThe(w.trims)), w.trims[0].by, each, stays)
	by := w.total.now.Above(w.total.then)
	if l.split.Groups <= -heard {
		return fmt.Sprintf("%s at most %s, because the groups' compressors then let more through.", down, by)
	}
	return fmt.Sprintf("%s %s, to %s.", down, by, l.landing(w))
}

// alongside names what comes down with a DCA though it was not raised.
func (l *ledger) alongside(m desk.Mover) string {
	var names []string
	l.eachPlaying(func(i int, _ desk.Power) {
		if m.Strip == desk.StripDCA && l.mix.routes[i].dcas.has(m.Index) && !l.gained(i).Reaches(l.limits.Up) {
			names = append(names, l.roster.Inputs[i].Name)
		}
	})
	switch len(names) {
	case 0:
		return ""
	case 1:
		return fmt.Sprintf(" (%s comes down with it)", names[0])
	}
	return fmt.Sprintf(" (%s come down with it)", join(names))
}

// landing is the predicted total beside the one where the episode began.
func (l *ledger) landing(w wayBack) string {
	switch d := w.total.then.Above(l.base.total(l.mix.routes)); {
	case d >= heard:
		return fmt.Sprintf("%s above where this began", d)
	case d <= -heard:
		return fmt.Sprintf("%s below where this began", -d)
	}
	return "where this began"
}

// withThe puts an article before each, as one would say it.
func (l *ledger) withThe(ts []trim) []string {
	var names []string
	for _, t := range ts {
		names = append(names, "the "+l.roster.Name(t.who))
	}
	return names
}

// eased says that the faders no longer add anything that matters. It does not say
// why: an input that stopped playing eases the whole as well as one taken back.
func (l *ledger) eased() Said {
	s := l.said()
	switch d := l.split.Faders; {
	case d >= heard:
		s.Text = fmt.Sprintf("By the faders it is now only %s above where this began.", d)
	case d <= -heard:
		s.Text = fmt.Sprintf("By the faders it is now %s below where this began.", -d)
	default:
		s.Text = "By the faders it is back where this began."
	}
	s.Evidence = l.moveEvidence()
	return s
}

// accepted says that the new level stands.
func (l *ledger) accepted() Said {
	s := l.said()
	s.Accepted = true
	s.Text = fmt.Sprintf("No raise for %s: this level, to which the faders added %s, is now the one to measure from.",
		spell(l.limits.Accepted), l.split.Faders)
	s.Evidence = l.moveEvidence()
	return s
}

// elsewhere says that the mix has become another one.
func (e *episode) elsewhere() Said {
	return Said{
		Rise: e.split.Total(), Faders: e.split.Faders, Stage: e.split.Stage,
		Text: "The desk went to another scene or routing: the count begins afresh.",
	}
}

func (l *ledger) names(of []desk.Mover) []string {
	var names []string
	for _, m := range of {
		names = append(names, l.roster.Name(m))
	}
	return names
}
