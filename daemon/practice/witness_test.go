package practice

import (
	"math"
	"testing"
	"time"
)

const window = 10 * time.Second

// Where nobody touched the desk meanwhile, what the witness says is the mean power of
// what the desk's meters showed.
func TestWitnessSawTheMeters(t *testing.T) {
	s := script(t, "ratchet")
	w := Watch(s, 5)
	const at = 2 * time.Minute
	var main, in, held power
	p := newPerformance(s, 5, false)
	count := 0
	for tickTime(p.tick) < at {
		if news := p.step(); !news.meters || tickTime(p.tick-1) < at-window {
			continue
		}
		n := p.needles
		main, in = main+n.main.power(), in+n.groupIn[band].power()
		held += n.groupIn[band].plus(-n.reduction[band]).power()
		count++
	}
	if got, want := w.Main(at, window, w.Mix(at)), float64((main / power(count)).level()); math.Abs(got-want) > 1e-9 {
		t.Errorf("main: %.6f dBFS, want %.6f", got, want)
	}
	if got, want := w.Reduction(band, at, window, w.Mix(at)), float64(in.level()-held.level()); math.Abs(got-want) > 1e-9 || want < 0.5 {
		t.Errorf("reduction: %.6f dB, want %.6f", got, want)
	}
}

// A level of the past ten seconds can be asked for through a mix of another time.
func TestWitnessAsksThroughAnotherMix(t *testing.T) {
	s, err := ParseScript("s.txt", []byte("length 1m\nexpect nothing\n0s play reader's mic\n30s raise reader's mic 3 dB over 1s"))
	if err != nil {
		t.Fatal(err)
	}
	w := Watch(s, 0)
	const at = 31500 * time.Millisecond
	before, after := w.Main(at, window, w.Mix(20*time.Second)), w.Main(at, window, w.Mix(at))
	// Five steps of the fader are 0.08 dB; what bleeds into the others is not raised.
	if got := after - before; math.Abs(got-3) > 0.1 {
		t.Errorf("the raise is %.3f dB at the main, want 3", got)
	}
}

func TestWitnessKnowsWhenNothingCanBeCompared(t *testing.T) {
	s, err := ParseScript("s.txt", []byte("length 1m\nexpect nothing\n0s play piano\n20s raise piano 3 dB over 2s\n40s reboot 5s"))
	if err != nil {
		t.Fatal(err)
	}
	w := Watch(s, 0)
	for _, c := range []struct {
		at   time.Duration
		want bool
	}{
		{19 * time.Second, true}, {21 * time.Second, false}, {23 * time.Second, true},
		{42 * time.Second, false}, {54 * time.Second, false}, {56 * time.Second, true},
	} {
		if got := w.Steady(c.at, window); got != c.want {
			t.Errorf("at %v: %v, want %v", c.at, got, c.want)
		}
	}
}

// threeKinds has a hand on an input, on a group and on the main.
const threeKinds = `length 1m
expect nothing
0s play piano, reader's mic
10s raise piano 3 dB over 1s
20s raise piano, group band 2 dB over 1s
30s mute reader's mic
40s threshold band to -30 dBFS
50s main -1 dB over 1s`

func TestHandsOff(t *testing.T) {
	s, err := ParseScript("s.txt", []byte(threeKinds))
	if err != nil {
		t.Fatal(err)
	}
	at := func(s *Script) *board { return Watch(s, 0).Mix(s.Length).board }
	start, done, off, half := newBoard(harbourHall), at(s), at(s.HandsOff(5*time.Second)), at(s.HandsOff(10500*time.Millisecond))
	const piano, reader = 2, 14
	if off[Inputs][piano].step != start[Inputs][piano].step || off[Inputs][reader].muted {
		t.Errorf("with nobody there the piano stands at %d and the reader's mute is %v", off[Inputs][piano].step, off[Inputs][reader].muted)
	}
	if off[Groups][band] != done[Groups][band] || off[Main][0] != done[Main][0] || off[Groups][band] == start[Groups][band] {
		t.Errorf("what is done to the group and the main is another matter: %+v %+v", off[Groups][band], off[Main][0])
	}
	if g := half[Inputs][piano].gain() - start[Inputs][piano].gain(); g < 1 || g > 2 {
		t.Errorf("left halfway the piano is up %.2f dB, want about 1.5", float64(g))
	}
	if !done[Inputs][reader].muted {
		t.Error("the service itself has lost its hand")
	}
}

func TestHandsOffChangesNoSound(t *testing.T) {
	s := script(t, "harbour-hall")
	a, b := Watch(s, 2), Watch(s.HandsOff(time.Minute), 2)
	const at = 3 * time.Minute
	if x, y := a.Main(at, window, b.Mix(at)), b.Main(at, window, b.Mix(at)); x != y {
		t.Errorf("through one mix the two playings are at %v and %v dBFS, want the same sound", x, y)
	}
	if x, y := a.Main(at, window, a.Mix(at)), b.Main(at, window, b.Mix(at)); x-y < 2 {
		t.Errorf("the hand made it %.2f dB louder, want more than 2", x-y)
	}
}

func TestLowering(t *testing.T) {
	s := script(t, "ratchet")
	const at = 2 * time.Minute
	left := s.HandsOff(at)
	lower := left.Lowering(DCAs, band, 4, at, 2*time.Second)
	a, b := Watch(left, 0).Mix(at+5*time.Second).board, Watch(lower, 0).Mix(at+5*time.Second).board
	if g := b[DCAs][band].gain() - a[DCAs][band].gain(); math.Abs(float64(g)+4) > 0.02 {
		t.Errorf("the band's DCA is at %+.2f dB, want -4", float64(g))
	}
	if len(s.Expect) == 0 || len(lower.Expect) != 0 {
		t.Errorf("%d and %d expectations, want the label with the service itself only", len(s.Expect), len(lower.Expect))
	}
}

func TestLoweringWhatIsClosedPanics(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("a closed fader was lowered, and nobody noticed")
		}
	}()
	s, err := ParseScript("s.txt", []byte("length 30s\nexpect nothing\n0s fader piano to closed"))
	if err != nil {
		t.Fatal(err)
	}
	Watch(s.Lowering(Inputs, 2, 3, 10*time.Second, time.Second), 0)
}
