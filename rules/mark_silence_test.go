package rules

import (
	"testing"
	"time"
)

// TestMarkInSilence: measured from nothing, anything is a hundred decibels up, so a
// mark set by hand in silence waits for the music.
func TestMarkInSilence(t *testing.T) {
	j := NewJudge(Roster{Inputs: []Input{{Name: "piano", Main: true}}}, DefaultLimits())
	j.Hear(Reading{Signal: InputFader, Value: 0})
	j.Hear(Reading{Signal: InputLevel, Value: -100})
	j.Advance(20 * time.Second)
	j.Mark()
	if g := j.Glance(); g.Marked {
		t.Fatalf("a mark at %v was set in silence", g.MarkTotal)
	}
	j.Hear(Reading{At: 21 * time.Second, Signal: InputLevel, Value: -20})
	j.Advance(40 * time.Second)
	if g := j.Glance(); !g.Marked || g.MarkedHow != MarkedByHand || g.Split.Total().reaches(1) {
		t.Errorf("%+v, want the mark of the hand, set once there was music", g)
	}
}
