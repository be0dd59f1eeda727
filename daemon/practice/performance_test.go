package practice

import (
	"reflect"
	"testing"
	"time"
)

// atTime plays a script up to a moment.
func atTime(p *performance, at time.Duration) *performance {
	for tickTime(p.tick) <= at {
		p.step()
	}
	return p
}

// A minute into the second round the stage and the desk are as they were a
// minute into the first.
func TestSecondRoundIsTheFirst(t *testing.T) {
	s := script(t, "harbour-hall")
	for _, at := range []time.Duration{30 * time.Second, time.Minute, 3 * time.Minute, 315 * time.Second} {
		a, b := atTime(newPerformance(s, 1, true), at), atTime(newPerformance(s, 1, true), s.Length+at)
		if !reflect.DeepEqual(a.board, b.board) {
			t.Errorf("at %v the board is %v, and %v the second time", at, a.board, b.board)
		}
		for i := range a.stage {
			if a.stage[i].playing != b.stage[i].playing {
				t.Errorf("at %v %s plays: %v, and %v the second time", at, seats[i].name, a.stage[i].playing, b.stage[i].playing)
			}
		}
	}
}

func TestPlayersStartAndStopOnTheirCue(t *testing.T) {
	s, err := ParseScript("s.txt", []byte("length 20s\nexpect nothing\n5s play piano\n10s rest piano"))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		at          time.Duration
		least, most level
	}{
		{4900 * time.Millisecond, -62, -54},
		{5500 * time.Millisecond, -24, -12},
		{10 * time.Second, -24, -12},
		{10250 * time.Millisecond, -36, -20},
		{12 * time.Second, -62, -54},
	} {
		if got := atTime(newPerformance(s, 1, false), c.at).needles.input[2]; got < c.least || got > c.most {
			t.Errorf("at %v the piano is at %.1f dBFS, want %v to %v", c.at, got, c.least, c.most)
		}
	}
}
