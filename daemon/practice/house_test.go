package practice

import (
	"slices"
	"testing"

	"gopkg.in/yaml.v3"
)

// The house file is written by hand; its roster must be who sits on the stage.
func TestHouseIsTheStage(t *testing.T) {
	var file struct {
		Roster struct {
			Inputs map[int]struct {
				Name, Element string
				Cue           bool
				Main          *bool
				DCAs          []string `yaml:"dcas"`
				Groups        []string
			}
			DCAs   map[int]string `yaml:"dcas"`
			Groups map[int]string
		}
	}
	if err := yaml.Unmarshal(House(), &file); err != nil {
		t.Fatal(err)
	}
	r := file.Roster
	if len(r.Inputs) != len(seats) {
		t.Errorf("%d inputs, want %d", len(r.Inputs), len(seats))
	}
	for i, s := range seats {
		in := r.Inputs[i+1]
		if in.Name != s.name || !slices.Equal(in.DCAs, named(dcaNames, s.dca)) || !slices.Equal(in.Groups, named(groupNames, s.group)) {
			t.Errorf("input %d is %+v, want %+v", i+1, in, s)
		}
		// Without a word about it, an input feeds the main if it feeds no group.
		if main := s.group == none && (in.Main == nil || *in.Main); main != s.main {
			t.Errorf("%s feeds the main: %v, want %v", s.name, main, s.main)
		}
	}
	for i, name := range dcaNames {
		if r.DCAs[i+1] != name || r.Groups[i+1] != groupNames[i] {
			t.Errorf("DCA and group %d are %q and %q, want %q and %q", i+1, r.DCAs[i+1], r.Groups[i+1], name, groupNames[i])
		}
	}
}

func named(names []string, index int) []string {
	if index == none {
		return nil
	}
	return names[index : index+1]
}
