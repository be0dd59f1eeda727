package timeline

import (
	"path/filepath"
	"testing"
	"time"

	"pawl/daemon/house"
	"pawl/daemon/practice"
	"pawl/daemon/practice/practicetest"
	"pawl/daemon/store"
	"pawl/oscmap/wire"
	"pawl/rules"
	"pawl/rules/desk"
	"pawl/rules/words"
)

// evening is when the services of these tests begin.
var evening = time.Date(2026, 3, 1, 18, 30, 0, 0, time.UTC)

var english = words.Own().For("en")

// practised writes a service of the practice desk into a record, and gives its path.
func practised(t testing.TB, name string) (path string) {
	t.Helper()
	const file = "harbour-hall.house.yaml"
	h, faults := house.Files{file: string(practice.House()), "harbour-hall.map.yaml": string(practice.MapFile())}.Load(file)
	if h == nil {
		t.Fatal(faults)
	}
	script, err := practicetest.Service(name)
	if err != nil {
		t.Fatal(err)
	}
	hearer := h.Map.NewHearer()
	j := rules.NewJudge(h.Roster, h.Limits, rules.Options{Stale: h.Map.Link().StaleAfter, Order: h.Order, Levels: true})
	var reader wire.Reader
	var readings []desk.Reading
	for at, packet := range practice.Play(script, practicetest.Dialects()[0], practice.Playing{}) {
		j.Alive(at)
		for reader.Reset(packet); reader.Next(); {
			readings = hearer.Hear(readings[:0], at, reader.Message())
			for _, r := range readings {
				j.Hear(r)
			}
		}
	}
	j.Advance(script.Length)
	run := store.Run{Zero: evening, House: h.Name, HousePrint: "h", HouseText: h.Text(), Strips: store.Strips{Inputs: h.Roster.Inputs, Groups: h.Roster.Groups}}
	return recorded(t, run, j.Take(nil), j.TakeLevels(nil))
}

// recorded writes one service into a new record.
func recorded(t testing.TB, run store.Run, entries []rules.Entry, levels []rules.Levels) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "record.pawl")
	add(t, path, run, entries, levels)
	return path
}

// add writes one more service, ended by hand.
func add(t testing.TB, path string, run store.Run, entries []rules.Entry, levels []rules.Levels) {
	t.Helper()
	r := store.NewRecorder(path, store.Options{Bytes: 1 << 30})
	r.Begin(run)
	r.BeginService(time.Duration(run.At))
	r.Put(entries, levels)
	r.EndService(time.Duration(max(entries[len(entries)-1].Head().T, levels[len(levels)-1].T) + 1))
	if err := r.Close(); err != nil {
		t.Fatal(err)
	}
}

// reading is a Reader of a record that is closed at the end of the test.
func reading(t testing.TB, path string) *Reader {
	t.Helper()
	r := NewReader(path)
	t.Cleanup(func() { r.Close() })
	return r
}

// long is a service of so many minutes and inputs: a second and levels each second,
// four moves and a finding a minute.
func long(minutes, inputs int) (run store.Run, entries []rules.Entry, levels []rules.Levels) {
	run = store.Run{Zero: evening, House: "Harbour Hall", HousePrint: "made", HouseText: "house: Harbour Hall\n"}
	for i := range inputs {
		run.Strips.Inputs = append(run.Strips.Inputs, desk.Input{Name: "input " + string(rune('A'+i%26))})
	}
	run.Strips.Groups = []string{"band", "brass", "voices", "speech"}
	say := func(e rules.Entry, at float64, kind rules.EntryKind) {
		*e.Head() = rules.Stamp{N: uint64(len(entries) + 1), T: rules.Moment(at * 1e9), Entry: kind}
		entries = append(entries, e)
	}
	say(&rules.Marked{How: desk.ByHand, Total: -18}, 0, rules.MarkEntry)
	for i := range minutes * 60 {
		at := float64(i)
		rise := desk.DB(i%60) / 10
		l := rules.Levels{T: rules.Moment(at * 1e9), Heard: true, Playing: inputs, Total: -18, Split: desk.Split{Faders: rise - 1, Stage: 1}}
		for range inputs {
			l.Inputs = append(l.Inputs, rules.InputLevels{Gain: -6, Level: -20, Share: -26})
		}
		for k := range run.Strips.Groups {
			l.Groups = append(l.Groups, rules.GroupLevels{Known: true, Low: 1, Median: desk.DB(1 + k), High: 6})
		}
		levels = append(levels, l)
		say(&rules.Second{Playing: inputs, Total: -18, Rise: rise, Split: l.Split}, at, rules.SecondEntry)
		if i%240 == 0 {
			say(&rules.Parted{Number: i/240 + 1, Kind: []desk.SegmentKind{desk.Music, desk.Speech}[i/240%2], How: desk.Overheard}, at, rules.SegmentEntry)
		}
		if i%15 == 7 {
			who := desk.Who{Strip: desk.StripInput, Index: i / 15 % inputs, Name: run.Strips.Inputs[i/15%inputs].Name}
			say(&rules.Moved{Who: who, Kind: desk.Raise, Began: rules.Moment((at - 2) * 1e9), Ended: rules.Moment((at - 1) * 1e9), From: -8, To: -6, By: 2}, at, rules.MoveEntry)
		}
		for state, when := range map[rules.State]int{rules.Open: 10, rules.Grew: 25, rules.Eased: 50} {
			if i%60 == when {
				f := &rules.Finding{Number: i/60 + 1, Rule: "ratchet", State: state, Weight: rules.Nudge, Shown: i%120 < 60}
				f.What = []rules.Phrase{rules.Say("ratchet.same", rules.DB("by", 2.1))}
				f.Facts = []rules.Fact{{T: rules.Moment((at - 3) * 1e9), Phrase: rules.Say("ratchet.same", rules.DB("by", 2.1))}}
				say(f, at, rules.FindingEntry)
			}
		}
	}
	return run, entries, levels
}
