package yardstick

import (
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"pawl/daemon/house"
	"pawl/daemon/practice"
	"pawl/daemon/practice/practicetest"
	"pawl/oscmap/wire"
	"pawl/rules"
	"pawl/rules/desk"
	"pawl/rules/words"
)

// remark is one thing that was said in a service: the opening of a finding, or its
// being said again because it has grown.
type remark struct {
	number int // of the finding
	words  []string
	about  []string // strips, in a script's words
	under  []string // the inputs that those of them carry which are DCAs and groups
	at     time.Duration
	until  time.Duration // when the finding ended, or the service
	weight rules.Weight
	shown  time.Duration // when it came to the screen, or never
	text   string
}

const never = time.Duration(-1)

// card reports whether it asks for more than a glance.
func (r remark) card() bool { return r.weight > rules.Whisper }

// trial is what was said of a service that was played to a judge in the harbour dialect, which alone tells of
// solos and of what feeds the main, and how true the judge's figures were.
type trial struct {
	said []remark
	errs figures
}

// try holds it, of the packets and of presses.
func (c *court) try(presses []pressed) trial {
	sit([]*court{c}, c.script, presses)
	return trial{remarks(c.script.Hall(), c.roster, c.entries, c.script.Length), c.errs}
}

// tried are the trials of the services as they are labelled, by name, with a witness: each is held once for all who ask.
var tried sync.Map

// asLabelled is what was said of a service while sound checks were pressed, and nothing else.
func asLabelled(t *testing.T, l practicetest.Labelled) trial {
	t.Helper()
	h := houseOf(t, l.Script)
	held, _ := tried.LoadOrStore(l.Name, sync.OnceValue(func() trial {
		c := newCourt(h, l.Script)
		c.truth = practice.Watch(l.Script, 0)
		return c.try(soundChecks(l.Labels.Parts))
	}))
	return held.(func() trial)()
}

// sit plays a service once, to some courts at the same time.
func sit(courts []*court, script *practice.Script, presses []pressed) {
	for at, packet := range practice.Play(script, practice.Harbour(), practice.Playing{}) {
		for len(presses) > 0 && presses[0].at <= at {
			for _, c := range courts {
				c.until(presses[0].at)
				if err := c.judge.Press(presses[0].Press); err != nil {
					panic(err) // no such kind of segment
				}
			}
			presses = presses[1:]
		}
		for _, c := range courts {
			c.until(at)
			c.packet(at, packet)
		}
	}
	for _, c := range courts {
		c.until(script.Length)
	}
}

// pressed is a press and when.
type pressed struct {
	rules.Press
	at time.Duration
}

// soundChecks are the presses of somebody who says when a sound check begins and when it
// is over, and nothing else: none in a service without one.
func soundChecks(parts []practicetest.Part) (presses []pressed) {
	checks := false
	for _, p := range parts {
		if is := p.Is == "sound check"; is != checks {
			presses = append(presses, pressed{rules.Press{Do: rules.NewSegment, Kind: partKinds[p.Is]}, p.From})
			checks = is
		}
	}
	return presses
}

// partKinds is what each of practicetest.PartKinds is to whoever presses.
var partKinds = map[string]desk.SegmentKind{
	"music": desk.Music, "speech": desk.Speech, "speech over music": desk.Speech, "quiet": desk.Quiet, "applause": desk.Quiet, "sound check": desk.SoundCheck,
}

// court is a judge, what turns packets into what it hears, and a witness, or nil.
type court struct {
	hear     func(dst []desk.Reading, at time.Duration, m *wire.Message) []desk.Reading
	judge    *rules.Judge
	script   *practice.Script
	roster   desk.Roster
	truth    *practice.Witness
	reader   wire.Reader
	readings []desk.Reading
	entries  []rules.Entry
	errs     figures
}

func newCourt(h *house.House, script *practice.Script) *court {
	return &court{
		hear:   h.Map.NewHearer().Hear,
		judge:  rules.NewJudge(h.Roster, h.Limits, rules.Options{Stale: h.Map.Link().StaleAfter, Steady: h.Map.TellsLevels(), Order: h.Order}),
		script: script, roster: h.Roster,
	}
}

func (c *court) packet(at time.Duration, packet []byte) {
	c.judge.Alive(at)
	for c.reader.Reset(packet); c.reader.Next(); {
		c.readings = c.hear(c.readings[:0], at, c.reader.Message())
		for _, r := range c.readings {
			c.judge.Hear(r)
		}
	}
}

// until lets time pass one step of the judge's at a time, so that its figures are compared
// at the moment at which something is said.
func (c *court) until(at time.Duration) {
	for next := c.judge.Next(); next <= at; next = c.judge.Next() {
		c.judge.Advance(next)
		fresh := c.judge.Take(nil)
		c.entries = append(c.entries, fresh...)
		if c.truth != nil && (next%compareEvery == 0 || len(remarks(c.script.Hall(), c.roster, fresh, 0)) > 0) {
			c.compare(next)
		}
	}
}

const (
	leaves       = -60.0 // dBFS at the main: below, nothing does
	compareEvery = 10 * time.Second
	judgedOver   = 10 * time.Second // the judge's own levels
)

// compare holds the rise since the mark against what the desk truly did. While a hand is at
// work or nobody plays there is nothing to compare.
func (c *court) compare(at time.Duration) {
	p := c.judge.Picture()
	mark := time.Duration(p.Mark.T)
	if !p.Mark.Set || mark >= at || p.Playing == 0 || !c.truth.Steady(at, judgedOver) {
		return
	}
	now, then := c.truth.Main(at, judgedOver, c.truth.Mix(at)), c.truth.Main(mark, judgedOver, c.truth.Mix(mark))
	if min(now, then) < leaves {
		return
	}
	c.errs.take(float64(p.Rise), now-then, c.script.Name, at)
}

var english = words.Own().For("en")

// remarks makes a list of what was said of the entries of a service.
func remarks(in *practice.Hall, roster desk.Roster, entries []rules.Entry, length time.Duration) (all []remark) {
	for _, e := range entries {
		f, ok := e.(*rules.Finding)
		if !ok {
			continue
		}
		at := time.Duration(f.T)
		switch f.State {
		case rules.Open, rules.Grew:
			r := remark{number: f.Number, words: wordsOf(f), at: at, until: length, weight: f.Weight, shown: never}
			for _, who := range f.About {
				r.about = append(r.about, strip(in, who))
				r.under = append(r.under, under(in, roster, who)...)
			}
			if f.Shown {
				r.shown = at
			}
			r.text = f.Rule + ": " + strings.Join(english.Finding(f).Words.What, " ")
			all = append(all, r)
		case rules.Shown:
			for i := range all {
				if all[i].number == f.Number && all[i].shown == never {
					all[i].shown = at
				}
			}
		case rules.Eased:
			for i := range all {
				if all[i].number == f.Number {
					all[i].until = at
				}
			}
		}
	}
	return all
}

// strip names a mover as a script does, whatever the house calls it.
func strip(in *practice.Hall, who desk.Who) string {
	switch who.Strip {
	case desk.StripInput:
		return in.Strip(practice.Topic{Kind: practice.InputFader, Index: who.Index})
	case desk.StripDCA:
		return "dca " + in.Strip(practice.Topic{Kind: practice.DCAFader, Index: who.Index})
	case desk.StripGroup:
		return "group " + in.Strip(practice.Topic{Kind: practice.GroupFader, Index: who.Index})
	}
	return "main"
}

// under names the inputs that a DCA or a group carries.
func under(in *practice.Hall, roster desk.Roster, who desk.Who) (names []string) {
	for i, input := range roster.Inputs {
		if who.Strip == desk.StripDCA && slices.Contains(input.DCAs, who.Index) || who.Strip == desk.StripGroup && slices.Contains(input.Groups, who.Index) {
			names = append(names, in.Strip(practice.Topic{Kind: practice.InputFader, Index: i}))
		}
	}
	return names
}

func shareOne(a, b []string) bool {
	return slices.ContainsFunc(a, func(s string) bool { return slices.Contains(b, s) })
}
