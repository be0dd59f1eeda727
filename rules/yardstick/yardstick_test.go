package yardstick

import (
	"fmt"
	"slices"
	"testing"

	"pawl/daemon/house"
	"pawl/daemon/practice"
	"pawl/daemon/practice/practicetest"
)

// The faults that are known of, by set. Each stands for exactly one, and goes from the
// list when it is mended.
var known = map[string][]fault{
	"yardstick": {
		{"sound-check", wasFalse, "muted mic", "in the first seconds nothing tells a sound check from a welcome into a muted mic, and that must be said"},
	},
}

// TestYardstick scores the judge by every set. With -v it prints the tables.
func TestYardstick(t *testing.T) {
	sets, err := practicetest.Yardsticks()
	if err != nil || len(sets) == 0 {
		t.Fatalf("no set of labelled services: %v", err)
	}
	for set := range known {
		if !slices.Contains(sets, set) {
			t.Errorf("faults are known of %s, which is no set", set)
		}
	}
	for _, set := range sets {
		t.Run(set, func(t *testing.T) {
			t.Parallel()
			all, err := practicetest.Yardstick(set)
			if err != nil || len(all) == 0 {
				t.Fatalf("%d services: %v", len(all), err)
			}
			scores := make([]score, len(all))
			t.Run("services", func(t *testing.T) {
				for i, l := range all {
					t.Run(l.Name, func(t *testing.T) {
						t.Parallel()
						said, errs := judge(l.Script, harbourHall(t))
						scores[i] = hold(l.Name, l.Length, l.Labels, said)
						scores[i].errs = errs
					})
				}
			})
			t.Log(table(set, scores))
			var found []fault
			for i := range scores {
				found = append(found, scores[i].faults()...)
			}
			for _, e := range unlike(found, known[set]) {
				t.Error(e)
			}
		})
	}
}

// unlike is what is wrong and not known of, and what is known of and not wrong any more.
func unlike(found, accepted []fault) (wrong []string) {
	left := slices.Clone(accepted)
	for _, f := range found {
		i := slices.IndexFunc(left, func(k fault) bool { return k.service == f.service && k.what == f.what && k.word == f.word })
		if i < 0 {
			wrong = append(wrong, f.String())
			continue
		}
		left = slices.Delete(left, i, i+1)
	}
	for _, k := range left {
		wrong = append(wrong, fmt.Sprintf("%s: mended, take it off the list", k))
	}
	return wrong
}

func harbourHall(t *testing.T) *house.House {
	t.Helper()
	const file = "harbour-hall.house.yaml"
	h, faults := house.Files{file: string(practice.House()), "harbour-hall.map.yaml": string(practice.MapFile())}.Load(file)
	if h == nil {
		t.Fatal(faults)
	}
	return h
}
