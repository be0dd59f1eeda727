package rules

import (
	"testing"
	"time"

	"pawl/rules/desk"
)

// TestStandingCountsWhatThereIsToCompare: breaths are in its patience and not in its
// means, a rest is in neither, and after a long one nothing is known any more.
func TestStandingCountsWhatThereIsToCompare(t *testing.T) {
	for _, c := range []struct {
		name  string
		pause time.Duration
		// strict is of a standing whose patience stops in breaths too
		plain, strict bool
	}{
		{"a breath", 2 * time.Second, true, false},
		{"a rest", 3 * time.Second, false, false},
		{"a verse", forgotten, false, false},
	} {
		for _, strict := range []bool{false, true} {
			s := standing{strict: strict}
			run := func(d time.Duration, counts bool) {
				for range int(d / desk.Beat) {
					s.beat(counts, 4, 1)
					s.keeps(s.above(time.Second), 6, 5, 7*time.Second, time.Second)
				}
			}
			run(3*time.Second, true)
			run(c.pause, false)
			if s.on {
				t.Errorf("%s: it holds before its time", c.name)
			}
			run(2200*time.Millisecond, true)
			want := c.plain
			if strict {
				want = c.strict
			}
			if s.on != want {
				t.Errorf("%s, strict %v: after 5.2 s of sound it holds: %v, want %v", c.name, strict, s.on, want)
			}
			if got, want := s.above(time.Minute), desk.DB(6.0206); (got - want).Abs() > 0.001 {
				t.Errorf("%s: %v above, want %v: pauses are in no mean", c.name, got, want)
			}
		}
	}
}

func TestStandingOfNothing(t *testing.T) {
	var s standing
	if got := s.above(time.Second); got != 0 {
		t.Errorf("nothing stands %v above nothing", got)
	}
	s.beat(true, 0, 1)
	if got := s.above(time.Second); got != desk.Off {
		t.Errorf("silence stands %v above a sound, want %v", got, desk.Off)
	}
	if s.keeps(s.above(time.Second), -6, -7, 0, 0) {
		t.Error("silence is within 6 dB of a sound")
	}
}

// TestBeatsAreCountedOnce: a rule is shown views between the beats too.
func TestBeatsAreCountedOnce(t *testing.T) {
	var b beats
	fell := 0
	for _, at := range []time.Duration{100, 120, 199, 200, 200, 300, 300, 310, 400} {
		if b.fell(&desk.View{Watched: at * ms}) {
			fell++
		}
	}
	if fell != 4 {
		t.Errorf("%d beats in four tenths of a second, want 4", fell)
	}
}

func TestDownBy(t *testing.T) {
	for over, want := range map[desk.DB]desk.DB{-3: 1, 0: 1, 1.2: 1.5, 3: 3, 3.0000001: 3, 3.1: 3.5, 9: 6} {
		if got := downBy(over); got != want {
			t.Errorf("%v over is brought down by %v, want %v", over, got, want)
		}
	}
}
