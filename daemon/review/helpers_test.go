package review

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
)

// evening is when the services of these tests begin.
var evening = time.Date(2026, 3, 1, 18, 30, 0, 0, time.UTC)

// practised judges a service of the practice desk and records it, begun by hand so that
// all of it is one service.
func practised(t testing.TB, path, name string, began time.Time) {
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
	record(t, path, store.Run{
		Zero: began, House: h.Name, HousePrint: "h1", MapPrint: "m1", Pawl: "1.2.3",
		Strips: store.Strips{Inputs: h.Roster.Inputs, Groups: h.Roster.Groups},
	}, j.Take(nil), j.TakeLevels(nil))
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
