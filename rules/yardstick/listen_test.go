package yardstick

import (
	"slices"
	"strings"
	"time"

	"pawl/daemon/house"
	"pawl/daemon/practice"
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
	at     time.Duration
	until  time.Duration // when the finding ended, or the service
	weight rules.Weight
	shown  time.Duration // when it came to the screen, or never
	text   string
}

const never = time.Duration(-1)

// card reports whether it asks for more than a glance.
func (r remark) card() bool { return r.weight > rules.Whisper }

// judge plays a service to a judge in the harbour dialect, which alone tells of solos and
// of what feeds the main, and gives what was said. Nobody presses anything.
func judge(script *practice.Script, h *house.House) []remark {
	c := newCourt(h)
	for at, packet := range practice.Play(script, practice.Harbour(), practice.Playing{}) {
		c.packet(at, packet)
	}
	c.judge.Advance(script.Length)
	return remarks(c.take(), script.Length)
}

// court is a judge, and what turns packets into what it hears.
type court struct {
	reader   wire.Reader
	hear     func(dst []desk.Reading, at time.Duration, m *wire.Message) []desk.Reading
	judge    *rules.Judge
	readings []desk.Reading
	entries  []rules.Entry
}

func newCourt(h *house.House) *court {
	return &court{
		hear:  h.Map.NewHearer().Hear,
		judge: rules.NewJudge(h.Roster, h.Limits, rules.Options{Stale: h.Map.Link().StaleAfter, Order: h.Order}),
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

func (c *court) take() []rules.Entry {
	return c.judge.Take(nil)
}

var english = words.Own().For("en")

// remarks makes a list of what was said of the entries of a service.
func remarks(entries []rules.Entry, length time.Duration) (all []remark) {
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
				r.about = append(r.about, strip(who))
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
func strip(who desk.Who) string {
	switch who.Strip {
	case desk.StripInput:
		return practice.Topic{Kind: practice.InputFader, Index: who.Index}.Strip()
	case desk.StripDCA:
		return "dca " + practice.Topic{Kind: practice.DCAFader, Index: who.Index}.Strip()
	case desk.StripGroup:
		return "group " + practice.Topic{Kind: practice.GroupFader, Index: who.Index}.Strip()
	}
	return "main"
}

func shareOne(a, b []string) bool {
	return slices.ContainsFunc(a, func(s string) bool { return slices.Contains(b, s) })
}
