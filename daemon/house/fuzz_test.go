package house

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"pawl/daemon/practice"
	"pawl/rules"
)

// FuzzHouse loads any house file with any map beside it: there is a house, or a fault that
// says where; and what is a house can be judged by.
func FuzzHouse(f *testing.F) {
	f.Add(string(practice.House()), string(practice.MapFile()))
	for _, pattern := range []string{"../../testdata/houses/*.house.yaml", "../../testdata/faults/*.yaml", "../../testdata/halls/*.house.yaml"} {
		files, err := filepath.Glob(pattern)
		if err != nil || len(files) == 0 {
			f.Fatalf("%s: %v, %v", pattern, files, err)
		}
		for _, file := range files {
			text, err := os.ReadFile(file)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(string(text), string(practice.MapFile()))
			f.Add(string(practice.House()), string(text))
		}
	}
	f.Fuzz(func(t *testing.T, text, mapText string) {
		h, faults := Files{"a.house.yaml": text, "harbour-hall.map.yaml": mapText}.Load("a.house.yaml")
		for _, fault := range faults {
			if fault.Text == "" || fault.Line < 0 || fault.Col < 0 {
				t.Errorf("a fault without words or place: %#v", fault)
			}
		}
		switch {
		case h == nil && !faults.Wrong():
			t.Fatalf("no house, and no fault: %v", faults)
		case h == nil:
			return
		case faults.Wrong():
			t.Errorf("a house, and %v", faults)
		}
		j := rules.NewJudge(h.Roster, h.Limits, rules.Options{Stale: h.Map.Link().StaleAfter, Steady: h.Map.TellsLevels(), Order: h.Order})
		j.Alive(0)
		j.Advance(2 * time.Second)
	})
}
