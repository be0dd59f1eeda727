package desk

import (
	"math"
	"testing"
	"time"
)

// TestSqueezeSource: the best that a desk tells is what a group's reduction is known by.
func TestSqueezeSource(t *testing.T) {
	settings := []Reading{{Signal: GroupThreshold, Value: -20}, {Signal: GroupRatio, Value: 4}}
	levels := []Reading{{Signal: GroupLevelIn, Value: -12}, {Signal: GroupLevel, Value: -21}, {Signal: GroupMakeUp, Value: 2}, {Signal: GroupFader, Value: -3}}
	for _, c := range []struct {
		name   string
		hears  [][]Reading
		want   Source
		median DB
	}{
		{"nothing", nil, NotKnown, 0},
		{"settings alone: the members' sum is -14", [][]Reading{settings}, Computed, 4.5},
		{"settings and the level before", [][]Reading{settings, levels[:1]}, Computed, 6},
		{"both levels: 9 dB less, 3 of them by the fader, 2 made up", [][]Reading{settings, levels}, Measured, 8},
		{"a report", [][]Reading{settings, levels, {{Signal: GroupReduction, Value: 2.5}}}, Reported, 2.5},
		{"a group whose meter is dead", [][]Reading{levels[:1], {{Signal: GroupLevel, Value: math.Inf(-1)}}}, NotKnown, 0},
		{"a threshold at no level", [][]Reading{settings, {{Signal: GroupThreshold, Value: math.Inf(-1)}}}, NotKnown, 0},
		{"a knee that is closed", [][]Reading{settings, {{Signal: GroupKnee, Value: math.Inf(-1)}}}, Computed, 4.5},
		{"a make-up that is closed lets nothing through", [][]Reading{levels, {{Signal: GroupMakeUp, Value: math.Inf(-1)}}}, NotKnown, 0},
		{"a threshold without a ratio", [][]Reading{settings[:1]}, NotKnown, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := NewMix(Roster{Inputs: []Input{{Name: "harp", Groups: []int{0}}}, Groups: []string{"strings"}}, DefaultMixLimits(), DefaultMoveLimits())
			m.Hear(0, &Reading{Signal: InputFader, Value: -4})
			m.Hear(0, &Reading{Signal: InputLevel, Value: -10})
			for _, some := range c.hears {
				for _, r := range some {
					m.Hear(0, &r)
				}
			}
			for range int(3 * time.Second / Beat) {
				m.Fold()
			}
			v := m.View()
			s := v.Squeeze(0)
			if s.Source != c.want || s.Known != (c.want != NotKnown) || (s.Median-c.median).Abs() > 0.051 {
				t.Errorf("got %+v, want %v %q", s, c.median, c.want)
			}
		})
	}
}

// TestClosedGroupOfAnOpenInput: an input that feeds the main as well plays on when its
// group is closed, and what the group's meters then say is no reduction.
func TestClosedGroupOfAnOpenInput(t *testing.T) {
	m := NewMix(Roster{Inputs: []Input{{Name: "harp", Main: true, Groups: []int{0}}}, Groups: []string{"strings"}}, DefaultMixLimits(), DefaultMoveLimits())
	for _, r := range []Reading{
		{Signal: InputFader, Value: 0}, {Signal: InputLevel, Value: -10}, {Signal: GroupLevelIn, Value: -10}, {Signal: GroupLevel, Value: -30},
		{Signal: GroupFader, Value: math.Inf(-1)},
	} {
		m.Hear(0, &r)
	}
	m.Fold()
	v := m.View()
	if s := v.Squeeze(0); s.Known || !s.Active {
		t.Errorf("got %+v, want nothing known", s)
	}
}

// TestNoMeterNoSum: with an open member that nobody meters the sum of the others is
// not what goes in.
func TestNoMeterNoSum(t *testing.T) {
	m := NewMix(Roster{Inputs: []Input{{Name: "harp", Groups: []int{0}}, {Name: "horn", Groups: []int{0}}}, Groups: []string{"strings"}},
		DefaultMixLimits(), DefaultMoveLimits())
	for _, r := range []Reading{
		{Signal: InputFader, Value: 0}, {Signal: InputFader, Index: 1, Value: 0}, {Signal: InputLevel, Value: -3},
		{Signal: GroupThreshold, Value: -20}, {Signal: GroupRatio, Value: 4},
	} {
		m.Hear(0, &r)
	}
	m.Fold()
	v := m.View()
	if s := v.Squeeze(0); s.Known {
		t.Errorf("got %+v, want nothing known", s)
	}
}
