package store

import (
	"fmt"
	"testing"
	"time"

	"pawl/rules"
	"pawl/rules/desk"
)

// busy is a service as it would be said of a desk of so many inputs: a second entry and
// levels each second, four moves and a finding with its life each minute, a segment every
// four.
func busy(minutes, inputs int, zero time.Time) said {
	s := said{run: testRun(zero)}
	n := uint64(0)
	stamp := func(at float64, kind rules.EntryKind) rules.Stamp {
		n++
		return rules.Stamp{N: n, T: rules.Moment(at * float64(time.Second)), Entry: kind}
	}
	for i := range minutes * 60 {
		at := float64(i)
		s.levels = append(s.levels, wide(i, inputs))
		s.entries = append(s.entries, &rules.Second{Stamp: stamp(at, rules.SecondEntry), Playing: inputs, Total: -18.123, Rise: 2.345,
			Split: desk.Split{Faders: 1.234, Stage: 1.111, Groups: -0.123, Main: 0.5}})
		if i%240 == 0 {
			kind := []desk.SegmentKind{desk.Music, desk.Speech}[i/240%2]
			s.entries = append(s.entries, &rules.Parted{Stamp: stamp(at, rules.SegmentEntry), Number: i/240 + 1, Kind: kind, How: desk.Overheard})
		}
		if i%15 == 7 {
			s.entries = append(s.entries, move(0, at))
			*s.entries[len(s.entries)-1].Head() = stamp(at, rules.MoveEntry)
		}
		for state, when := range map[rules.State]int{rules.Open: 10, rules.Grew: 25, rules.Eased: 50} {
			if i%60 == when {
				f := finding(i/60+1, state)
				f.Stamp = stamp(at, rules.FindingEntry)
				s.entries = append(s.entries, f)
			}
		}
	}
	return s
}

// finding is about as much as a ratchet says.
func finding(number int, state rules.State) *rules.Finding {
	names := []string{"piano", "fiddle", "accordion", "upright bass"}
	f := &rules.Finding{Number: number, Rule: rules.Kinds[number%len(rules.Kinds)].Name, State: state, Weight: rules.Nudge, Shown: number%3 > 0}
	for i, name := range names {
		who := desk.Who{Strip: desk.StripInput, Index: i, Name: name}
		f.About, f.Inputs = append(f.About, who), append(f.Inputs, name)
		f.Facts = append(f.Facts, rules.Fact{T: rules.Moment(number) * 1e9, About: &who, Phrase: rules.Say("ratchet.raise", rules.DB("by", 1.234), rules.DB("total", 0.456)).Naming("mover", who)})
	}
	f.Figures = rules.Figures{rules.DB("rise", 3.2), rules.DB("faders", 2.7), rules.DB("stage", 0.5), rules.DB("groups", 0), rules.DB("main", 0)}
	f.What = []rules.Phrase{rules.Say("ratchet.turns", f.Figures...), rules.Say("ratchet.split", f.Figures...)}
	f.Try, f.Then = rules.Say("ratchet.try", rules.DB("down", -2)).Naming("movers", f.About...), rules.Say("ratchet.then", rules.DB("down", -2.2))
	return f
}

// TestSize holds a service of 90 minutes and 32 inputs, with all of its entries, to 25 MB.
func TestSize(t *testing.T) {
	const most = 25e6
	live := busy(90, 32, evening)
	s, _ := recorded(t, live)
	size, err := s.Bytes()
	if err != nil || size > most {
		t.Errorf("%d bytes (%v), want at most %.0f", size, err, most)
	}
	t.Logf("%d bytes: %d entries and %d seconds of 32 inputs", size, len(live.entries), len(live.levels))
	same(t, read(t, s, 1)[0].Entries, live.entries)
}

// BenchmarkInsert is what a second of a service of 64 inputs costs the writer and the
// caller, of which core-share is the share of a core that runs in real time.
func BenchmarkInsert(b *testing.B) {
	live := busy(10, 64, evening)
	b.ResetTimer()
	for range b.N {
		b.StopTimer()
		r := NewRecorder(in(b), Options{Every: time.Hour})
		r.Begin(live.run)
		r.BeginService(0)
		b.StartTimer()
		e := live.entries
		for i, l := range live.levels { // a transaction a second, as it is live
			n := 0
			for n < len(e) && e[n].Head().T <= l.T {
				n++
			}
			r.Put(e[:n], live.levels[i:i+1])
			e = e[n:]
			if err := r.Flush(); err != nil {
				b.Fatal(err)
			}
		}
		b.StopTimer()
		r.Close()
		b.StartTimer()
	}
	perSecond := b.Elapsed().Seconds() / float64(b.N*len(live.levels))
	b.ReportMetric(perSecond*1e6, "µs/second")
	b.ReportMetric(perSecond*100, "%core")
}

// many is a record of 200 services.
func many(b *testing.B, minutes int) *Store {
	b.Helper()
	path := in(b)
	r := NewRecorder(path, Options{Bytes: 1 << 30})
	for week := range 200 {
		live := busy(minutes, 8, evening.AddDate(0, 0, 7*week))
		r.Begin(live.run)
		r.BeginService(0)
		r.Put(live.entries, live.levels)
		r.EndService(time.Duration(minutes) * time.Minute)
		if err := r.Flush(); err != nil {
			b.Fatal(err)
		}
	}
	if err := r.Close(); err != nil {
		b.Fatal(err)
	}
	return opened(b, path)
}

func BenchmarkList200(b *testing.B) {
	s := many(b, 45)
	for b.Loop() {
		if all, err := s.Services(); err != nil || len(all) != 200 {
			b.Fatal(len(all), err)
		}
	}
}

func BenchmarkYearOfTrends(b *testing.B) {
	s := many(b, 45)
	for b.Loop() {
		if all, err := s.Trends(evening, evening.AddDate(1, 0, 0)); err != nil || len(all) != 53 {
			b.Fatal(len(all), err)
		}
	}
}

// BenchmarkRead is a service of 90 minutes and 32 inputs, all of it.
func BenchmarkRead(b *testing.B) {
	s, _ := recorded(b, busy(90, 32, evening))
	for b.Loop() {
		if _, err := s.Read(1); err != nil {
			b.Fatal(err)
		}
	}
}

// TestTrends wants what a service was made of.
func TestTrends(t *testing.T) {
	s, _ := recorded(t, busy(16, 4, evening))
	all, err := s.Trends(evening, evening.Add(time.Hour))
	if err != nil || len(all) != 1 {
		t.Fatalf("%+v, %v", all, err)
	}
	got := all[0]
	opened, shown, open := 0, 0, time.Duration(0)
	for _, r := range got.Rules {
		opened, shown, open = opened+r.Opened, shown+r.Shown, open+r.Open
	}
	have := fmt.Sprint(got.Length, got.Music, got.Moves, opened, shown, open)
	if want := fmt.Sprint(15*time.Minute+59*time.Second, 8*time.Minute, 64, 16, 11, 16*40*time.Second); have != want {
		t.Errorf("length, music, moves, opened, shown, open: %s, want %s", have, want)
	}
	if none, err := s.Trends(evening.Add(time.Hour), evening.Add(2*time.Hour)); err != nil || len(none) != 0 {
		t.Errorf("%+v, %v, want none", none, err)
	}
}
