package review

import (
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"pawl/daemon/store"
	"pawl/rules"
	"pawl/rules/desk"
)

// busy is a service as it would be of a desk of so many inputs: levels of every strip and
// a second entry each second, four moves a minute, a segment every four, and as many
// findings as the usual budget of cards shows: two in ten minutes.
func busy(minutes, inputs int) (store.Strips, []rules.Entry, []rules.Levels) {
	var strips store.Strips
	for i := range inputs {
		strips.Inputs = append(strips.Inputs, desk.Input{Name: fmt.Sprintf("input %d", i+1), Groups: []int{i % 4}, DCAs: []int{i % 8}, Gate: -50})
	}
	strips.Groups = []string{"rhythm", "band", "brass", "voices"}
	s := newMade(time.Duration(minutes) * time.Minute)
	var levels []rules.Levels
	for i := range minutes * 60 {
		at := float64(i)
		l := rules.Levels{T: rules.Moment(i) * second, Heard: true, Playing: inputs, Total: -18, Split: desk.Split{Faders: 1.2, Stage: 1.1, Groups: -0.1, Main: 0.5}}
		for k := range inputs {
			l.Inputs = append(l.Inputs, rules.InputLevels{Gain: desk.DB(-k % 9), Level: desk.DBFS(-20 - (i+k)%7), Share: desk.DBFS(-30 - (i+k)%7)})
		}
		for range strips.Groups {
			l.Groups = append(l.Groups, rules.GroupLevels{Known: true, Low: 1, Median: desk.DB(i%50) / 10, High: 6})
		}
		levels = append(levels, l)
		s.say(at, rules.SecondEntry, &rules.Second{Playing: inputs, Total: -18.123, Rise: 2.345, Split: l.Split})
		if i%240 == 0 {
			s.part(at, i/240+1, []desk.SegmentKind{desk.Music, desk.Speech}[i/240%2])
		}
		who := desk.Who{Strip: desk.StripInput, Index: i % inputs, Name: strips.Inputs[i%inputs].Name}
		if i%15 == 7 {
			s.move(at, who, []desk.MoveKind{desk.Raise, desk.Raise, desk.Lower}[i%3], 2)
		}
		for _, life := range []struct {
			state rules.State
			when  int
		}{{rules.Open, 10}, {rules.Grew, 25}, {rules.Eased, 50}} {
			if i%300 != life.when {
				continue
			}
			f := s.find(at, i/300+1, []string{"ratchet", "lead-behind", "solo-raise", "creep"}[i/300%4], life.state, rules.Nudge, i/300%3 > 0, 3, who)
			f.What = []rules.Phrase{rules.Say("crowded.five", rules.Time("for", time.Minute)), rules.Say("crowded.eased")}
			for range 12 {
				f.Facts = append(f.Facts, rules.Fact{T: rules.Moment(i) * second, About: &who, Phrase: rules.Say("move.raise", rules.DB("by", 2), rules.DB("to", -3)).Naming("who", who)})
			}
		}
	}
	return strips, s.m.Stretches[0].Entries, levels
}

func recordBusy(b *testing.B, path string, services, minutes, inputs int) *store.Store {
	b.Helper()
	strips, entries, levels := busy(minutes, inputs)
	for week := range services {
		record(b, path, store.Run{Zero: evening.AddDate(0, 0, 7*week), House: "Harbour Hall", Strips: strips}, entries, levels)
	}
	return opened(b, path)
}

// BenchmarkSummary is a service of 90 minutes and 32 inputs, from the file to the report;
// HTML is what writing it as a page takes.
func BenchmarkSummary(b *testing.B) {
	s := recordBusy(b, filepath.Join(b.TempDir(), "x"), 1, 90, 32)
	services, err := s.Services()
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		m, err := Load(s, services[0])
		if err != nil {
			b.Fatal(err)
		}
		if r := Summarise(m, Options{}); r.Heading.Findings != 18 || r.Heading.Moves != 360 {
			b.Fatal(r.Heading)
		}
	}
}

// BenchmarkYear is the figures, trends and one thing of 52 services of 90 minutes and 16
// inputs.
func BenchmarkYear(b *testing.B) {
	s := recordBusy(b, filepath.Join(b.TempDir(), "x"), 52, 90, 16)
	services, err := s.Services()
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		listed, err := LoadList(s, services, Options{})
		if err != nil || len(listed) != 52 {
			b.Fatal(len(listed), err)
		}
		if o := Overlook(listed, Options{}); len(o.Trends) == 0 {
			b.Fatal("no trends")
		}
	}
}

// BenchmarkPage is the page of the same service as BenchmarkSummary's.
func BenchmarkPage(b *testing.B) {
	s := recordBusy(b, filepath.Join(b.TempDir(), "x"), 1, 90, 32)
	services, _ := s.Services()
	m, err := Load(s, services[0])
	if err != nil {
		b.Fatal(err)
	}
	r := Summarise(m, Options{})
	for b.Loop() {
		if err := r.HTML(new(discard)); err != nil {
			b.Fatal(err)
		}
	}
}

type discard struct{}

func (*discard) Write(p []byte) (int, error) { return len(p), nil }
