package rules

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"pawl/daemon/practice/practicetest"
	"pawl/rules/desk"
)

// telling is how entries are compared: in another service, told later by so long, on meters
// that show so much more, and, if it may be told in another order, with everything sorted
// that stands in the order of the desk's strips; or findings alone.
type telling struct {
	later    time.Duration
	by       float64
	sorted   bool
	findings bool
}

// of is all entries of a judged service, a line each, to a ten-thousandth of a decibel. Of
// equals the screen takes the first, so of another order it is no part.
func (c telling) of(s *Script) (lines []string) {
	j := NewJudge(s.Roster, s.Limits, Options{})
	s.Play(j)
	for _, e := range j.Take(nil) {
		at := time.Duration(e.Head().T) - c.later
		if c.findings && e.Head().Entry != FindingEntry {
			continue
		}
		switch e := e.(type) {
		case *Finding:
			if !c.sorted || e.State != Shown && e.State != Held {
				lines = append(lines, fmt.Sprint(at, " ", c.finding(e)))
			}
		case *Moved:
			lines = append(lines, fmt.Sprint(at, " ", e.Who.Name, e.Kind, time.Duration(e.Began)-c.later, time.Duration(e.Ended)-c.later, e.From, e.To))
		case *Marked:
			lines = append(lines, fmt.Sprint(at, " mark ", e.How, c.number(float64(e.Total)-c.by)))
		case *Second:
			lines = append(lines, fmt.Sprint(at, " ", e.Playing, c.number(float64(e.Total)-c.by), c.number(float64(e.Split.Faders)), c.number(float64(e.Split.Stage)),
				c.number(float64(e.Split.Groups)), c.number(float64(e.Split.Main))))
		case *Parted:
			lines = append(lines, fmt.Sprint(at, " segment ", e.Number, e.Kind, e.How))
		}
	}
	if c.sorted {
		slices.Sort(lines)
	}
	return lines
}

func (c telling) number(v float64) string { return fmt.Sprintf(" %.4f", v+1e-9) } // no -0.0000

func (c telling) finding(f *Finding) string {
	line := fmt.Sprint(f.State, " ", f.Rule, " ", f.Weight, f.Accepted, c.names(f.Inputs), c.figures(f.Figures))
	for _, p := range append(slices.Clone(f.What), f.Try, f.Then) {
		line += c.phrase(p)
	}
	var facts []string
	for _, x := range f.Facts {
		facts = append(facts, fmt.Sprint(time.Duration(x.T)-c.later, c.phrase(x.Phrase)))
	}
	if c.sorted {
		slices.Sort(facts)
	} else {
		line += fmt.Sprint(" number ", f.Number, " shown ", f.Shown)
	}
	return line + "\n    " + strings.Join(facts, "\n    ")
}

func (c telling) phrase(p Phrase) string {
	line := " " + p.ID + c.figures(p.Figures)
	var names []string
	for _, who := range p.Who {
		for _, w := range who {
			names = append(names, w.Name)
		}
	}
	slices.Sort(names)
	return line + fmt.Sprint(names)
}

func (c telling) names(of []string) string {
	of = slices.Clone(of)
	if c.sorted {
		slices.Sort(of)
	}
	return fmt.Sprint(of)
}

func (c telling) figures(all Figures) (text string) {
	for _, g := range all {
		switch {
		case g.Unit == FullScale:
			g.Value -= c.by
		case g.Name == "offset": // of the room's microphone
			g.Value += c.by
		}
		text += fmt.Sprintf(" %s=%s", g.Name, c.number(g.Value))
	}
	return text
}

// nothingChanges checks that a change of a service changes nothing of what is said, and that every
// rule but those left out has spoken in some service that was drawn. Where it is changed, what it is
// changed from may be so too. A desk that is drawn never goes quiet, so that quiet-desk is left out.
func nothingChanges(t *testing.T, without []string, change func(t *rapid.T, from, s *Script) telling) {
	practicetest.SkipRaced(t)
	spoke := map[string]int{}
	rapid.Check(t, func(t *rapid.T) {
		s := anyEvening(t, without...)
		changed := s
		changed.Roster, changed.Readings, changed.Presses = s.Roster.Clone(), slices.Clone(s.Readings), slices.Clone(s.Presses)
		c := change(t, &s, &changed)
		want, got := telling{sorted: c.sorted, findings: c.findings}.of(&s), c.of(&changed)
		for _, line := range want {
			if f := strings.Fields(line); f[1] == "open" {
				spoke[f[2]]++
			}
		}
		if diff := unlike(want, got); diff != "" {
			t.Fatal(diff)
		}
	})
	for _, k := range Kinds {
		if spoke[k.Name] == 0 && k.Name != "quiet-desk" && !slices.Contains(without, k.Name) {
			t.Errorf("no drawn service made %s speak: the test proves nothing of it", k.Name)
		}
	}
	t.Log(spoke)
}

// unlike is where two tellings part.
func unlike(a, b []string) string {
	for i := range max(len(a), len(b)) {
		switch {
		case i >= len(a):
			return "besides\n" + b[i]
		case i >= len(b):
			return "not\n" + a[i]
		case a[i] != b[i]:
			return a[i] + "\n  and\n" + b[i]
		}
	}
	return ""
}

// TestWhereAStripIsPluggedInChangesNothing: what is said follows from what an input plays, and
// not from its number, as long as the first to play an element is the first; nor from
// the number of a DCA.
func TestWhereAStripIsPluggedInChangesNothing(t *testing.T) {
	nothingChanges(t, nil, func(t *rapid.T, _, s *Script) telling {
		r := &s.Roster
		inputs := rapid.Permutation(upTo(len(r.Inputs))).Draw(t, "inputs")
		dcas := rapid.Permutation(upTo(len(r.DCAs))).Draw(t, "DCAs")
		for e := desk.Foundation; e <= desk.Fill; e++ {
			firstStays(r.Inputs, e, inputs)
		}
		was := r.Clone()
		for i, in := range was.Inputs {
			for k, dca := range in.DCAs {
				in.DCAs = append(slices.Clone(in.DCAs[:k]), dcas[dca]) // of one DCA at the most
			}
			r.Inputs[inputs[i]] = in
		}
		for k, name := range was.DCAs {
			r.DCAs[dcas[k]] = name
		}
		for k := range s.Readings {
			switch x := &s.Readings[k]; x.Signal.Of() {
			case desk.StripInput:
				x.Index = inputs[x.Index]
			case desk.StripDCA:
				x.Index = dcas[x.Index]
			}
		}
		return telling{sorted: true}
	})
}

func upTo(n int) (all []int) {
	for i := range n {
		all = append(all, i)
	}
	return all
}

// firstStays changes places so that who is the first of an element still is.
func firstStays(inputs []desk.Input, e desk.Element, to []int) {
	first := slices.IndexFunc(inputs, func(in desk.Input) bool { return in.Element == e })
	for i, in := range inputs {
		if in.Element == e && to[i] < to[first] {
			to[i], to[first] = to[first], to[i]
		}
	}
}

// TestHowADeskIsCalibratedChangesNothing: a constant on every meter is the desk's own
// business, and so is what is read off the same meters, gates and what the room's microphone
// is told to be beside. But how far it is to full scale is no such thing (hot-input and
// hot-main), nor is what a desk shows when nothing leaves it (quiet-main), nor is it to a compressor,
// whose threshold stays where it is (squeezed-group: none compresses here).
func TestHowADeskIsCalibratedChangesNothing(t *testing.T) {
	nothingChanges(t, []string{"hot-input", "hot-main", "quiet-main", "squeezed-group"}, func(t *rapid.T, _, s *Script) telling {
		by := float64(rapid.IntRange(-80, 80).Draw(t, "by")) / 10
		for k := range s.Readings {
			switch r := &s.Readings[k]; r.Signal {
			case desk.InputLevel, desk.InputPeak, desk.MainLevel, desk.MainPeak, desk.RoomLevel:
				r.Value += by
			}
		}
		for i := range s.Roster.Inputs {
			s.Roster.Inputs[i].Gate = s.Limits.Mix.Gate + desk.DBFS(by)
		}
		s.Limits.RoomLoud.Offset -= desk.DB(by)
		return telling{by: by}
	})
}

// TestLaterIsTheSame: whenever a service begins, in whole seconds, for it is by these that a
// second's levels are summed up.
func TestLaterIsTheSame(t *testing.T) {
	nothingChanges(t, nil, func(t *rapid.T, _, s *Script) telling {
		later := time.Duration(rapid.IntRange(1, 300).Draw(t, "later")) * time.Second
		s.delay(0, later)
		return telling{later: later}
	})
}

// delay has everything from a time on happen so much later.
func (s *Script) delay(from, by time.Duration) {
	s.At += by
	for k := range s.Readings {
		if r := &s.Readings[k]; r.At >= from {
			r.At += by
		}
	}
	for k := range s.Presses {
		if p := &s.Presses[k]; p.At >= from {
			p.At += by
		}
	}
}

// TestRaisedAndReturnedChangesNothing: whatever is said of a service, somebody who was raised and
// put back a while before has no part in it, as long as nobody raises that one again, for that is judged by
// how far it goes above where it stood before it was put back; nor was it somebody who plays into a group,
// for by that one learns how its compressor answers.
func TestRaisedAndReturnedChangesNothing(t *testing.T) {
	nothingChanges(t, nil, func(t *rapid.T, from, s *Script) telling {
		const begins = 12 * time.Second // there is a mark by then
		from.delay(begins, minute)
		s.delay(begins, minute)
		who := rapid.SampledFrom(notRaised(s)).Draw(t, "who")
		at, by := begins, desk.DB(rapid.IntRange(1, 8).Draw(t, "half dB"))/2
		var hand []desk.Reading
		for _, to := range []desk.DB{by, -by} {
			took := time.Duration(rapid.IntRange(1, 40).Draw(t, "tenths of a second"))
			for range took {
				at += 100 * ms
				who.Value += float64(to) / float64(took)
				who.At = at
				hand = append(hand, who)
			}
			at += time.Duration(rapid.IntRange(1, 40).Draw(t, "held")) * 100 * ms
		}
		s.Readings = append(s.Readings, hand...)
		slices.SortStableFunc(s.Readings, func(a, b desk.Reading) int { return cmp.Compare(a.At, b.At) })
		return telling{findings: true}
	})
}

// notRaised is where those faders stand that are never higher than they were at first, but for
// those of inputs that feed a group.
func notRaised(s *Script) (all []desk.Reading) {
	for i, r := range s.Readings {
		if r.Signal == desk.InputFader && len(s.Roster.Inputs[r.Index].Groups) > 0 {
			continue
		}
		fader := r.Signal == desk.InputFader || r.Signal == desk.DCAFader || r.Signal == desk.GroupFader || r.Signal == desk.MainFader
		same := func(o desk.Reading) bool { return o.Signal == r.Signal && o.Index == r.Index }
		if fader && r.At == 0 && !slices.ContainsFunc(s.Readings[i:], func(o desk.Reading) bool { return same(o) && o.Value > r.Value }) {
			all = append(all, r)
		}
	}
	return all
}
