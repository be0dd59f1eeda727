package rules

import (
	"testing"
	"time"

	"pawl/rules/desk"
)

// TestMarkInSilence: measured from nothing, anything is a hundred decibels up, so a
// mark set by hand in silence waits for the music.
func TestMarkInSilence(t *testing.T) {
	j := NewJudge(desk.Roster{Inputs: []desk.Input{{Name: "piano", Main: true}}}, DefaultLimits())
	j.Hear(desk.Reading{Signal: desk.InputFader, Value: 0})
	j.Hear(desk.Reading{Signal: desk.InputLevel, Value: -100})
	j.Advance(20 * time.Second)
	j.Mark()
	if g := j.Glance(); g.Marked {
		t.Fatalf("a mark at %v was set in silence", g.MarkTotal)
	}
	j.Hear(desk.Reading{At: 21 * time.Second, Signal: desk.InputLevel, Value: -20})
	j.Advance(40 * time.Second)
	if g := j.Glance(); !g.Marked || g.MarkedHow != MarkedByHand || g.Split.Total().Reaches(1) {
		t.Errorf("%+v, want the mark of the hand, set once there was music", g)
	}
}
