package rules

import (
	"testing"
	"time"

	"pawl/rules/desk"
)

// TestMarkInSilence: measured from nothing, anything is a hundred decibels up, so a
// mark set by hand in silence waits for the music.
func TestMarkInSilence(t *testing.T) {
	j := newJudge(desk.Roster{Inputs: []desk.Input{{Name: "piano", Main: true}}})
	j.Hear(desk.Reading{Signal: desk.InputFader, Value: 0})
	j.Hear(desk.Reading{Signal: desk.InputLevel, Value: -100})
	j.Advance(20 * time.Second)
	if err := j.Press(Press{Do: SetMark}); err != nil {
		t.Fatal(err)
	}
	if p := j.Picture(); p.Mark.Set {
		t.Fatalf("a mark at %v was set in silence", p.Mark.Total)
	}
	j.Hear(desk.Reading{At: 21 * time.Second, Signal: desk.InputLevel, Value: -20})
	j.Advance(40 * time.Second)
	if p := j.Picture(); !p.Mark.Set || p.Mark.How != desk.ByHand || p.Rise.Reaches(1) {
		t.Errorf("%+v, want the mark of the hand, set once there was music", p)
	}
}
