package review

import (
	"os"
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
)

// evening is when the services of these tests begin.
var evening = time.Date(2026, 3, 1, 18, 30, 0, 0, time.UTC)

// press is something pressed at a time of a service.
type press struct {
	at time.Duration
	rules.Press
}

// hall is the practice desk's house.
func hall(t testing.TB) *house.House {
	t.Helper()
	const file = "harbour-hall.house.yaml"
	h, faults := house.Files{file: string(practice.House()), "harbour-hall.map.yaml": string(practice.MapFile())}.Load(file)
	if h == nil {
		t.Fatal(faults)
	}
	return h
}

// play judges a service of the practice desk, with what is pressed at it, and records it,
// begun by hand so that all of it is one service.
func play(t testing.TB, path string, script *practice.Script, began time.Time, presses ...press) {
	t.Helper()
	h := hall(t)
	hearer := h.Map.NewHearer()
	j := rules.NewJudge(h.Roster, h.Limits, rules.Options{Stale: h.Map.Link().StaleAfter, Order: h.Order, Levels: true})
	var reader wire.Reader
	var readings []desk.Reading
	for at, packet := range practice.Play(script, practicetest.Dialects()[0], practice.Playing{}) {
		for len(presses) > 0 && presses[0].at <= at {
			j.Advance(presses[0].at)
			if err := j.Press(presses[0].Press); err != nil {
				t.Fatalf("%s at %v: %v", presses[0].Do, presses[0].at, err)
			}
			presses = presses[1:]
		}
		j.Alive(at)
		for reader.Reset(packet); reader.Next(); {
			readings = hearer.Hear(readings[:0], at, reader.Message())
			for _, r := range readings {
				j.Hear(r)
			}
		}
	}
	j.Advance(script.Length)
	record(t, path, store.Run{
		Zero: began, House: h.Name, HousePrint: "h1", MapPrint: "m1", Pawl: "1.2.3",
		Strips: store.Strips{Inputs: h.Roster.Inputs, Groups: h.Roster.Groups}, HouseText: h.Text(), MapText: h.MapText(),
	}, j.Take(nil), j.TakeLevels(nil))
}

// practised is a service of the practice desk that has a name.
func practised(t testing.TB, path, name string, began time.Time) {
	t.Helper()
	script, err := practicetest.Service(name)
	if err != nil {
		t.Fatal(err)
	}
	play(t, path, script, began)
}

// golden is the evening of testdata/evening.txt in a record, with a name and who mixed.
func golden(t testing.TB) (path string) {
	t.Helper()
	src, err := os.ReadFile("testdata/evening.txt")
	if err != nil {
		t.Fatal(err)
	}
	script, err := practice.ParseScript("evening.txt", src)
	if err != nil {
		t.Fatal(err)
	}
	path = inFolder(t)
	play(t, path, script, evening,
		press{30 * time.Second, rules.Press{Do: rules.NewSegment, Kind: desk.Music, Text: "first song"}},
		press{150 * time.Second, rules.Press{Do: rules.Seen, Number: 1}},
		press{12 * time.Minute, rules.Press{Do: rules.Note, Text: "=the fiddle is out of tune"}},
	)
	s := opened(t, path)
	if err := s.Rename(1, "Harvest evening"); err != nil {
		t.Fatal(err)
	}
	if err := s.Label(1, "second team"); err != nil {
		t.Fatal(err)
	}
	if _, err := s.AddNote(1, evening.Add(21*time.Minute), "Ask the mandolin what it heard", evening.Add(40*time.Hour)); err != nil {
		t.Fatal(err)
	}
	return path
}

// record writes one service, with its end.
func record(t testing.TB, path string, run store.Run, entries []rules.Entry, levels []rules.Levels) {
	t.Helper()
	r := store.NewRecorder(path, store.Options{Bytes: 1 << 30})
	r.Begin(run)
	r.BeginService(0)
	r.Put(entries, levels)
	if n := len(entries); n > 0 {
		r.EndService(time.Duration(entries[n-1].Head().T) + time.Second)
	}
	if err := r.Close(); err != nil {
		t.Fatal(err)
	}
}

func opened(t testing.TB, path string) *store.Store {
	t.Helper()
	s, err := store.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

// material reads all services of a record, the newest first.
func material(t testing.TB, s *store.Store) (all []Material) {
	t.Helper()
	services, err := s.Services()
	if err != nil {
		t.Fatal(err)
	}
	for _, one := range services {
		m, err := Load(s, one)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, m)
	}
	return all
}

func inFolder(t testing.TB) string { return filepath.Join(t.TempDir(), "hall.record") }
