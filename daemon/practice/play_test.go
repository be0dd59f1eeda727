package practice

import (
	"bytes"
	"math"
	"testing"
	"time"

	"github.com/hypebeast/go-osc/osc"
)

type packet struct {
	at   time.Duration
	data []byte
}

func play(s *Script, how Playing, most time.Duration) []packet {
	var all []packet
	for at, data := range Play(s, harbour{}, how) {
		if at > most {
			break
		}
		all = append(all, packet{at, data})
	}
	return all
}

// parse reads with a library that shares nothing with the writer of the bytes.
func parse(t *testing.T, p packet) *osc.Message {
	t.Helper()
	got, err := osc.ParsePacket(string(p.data))
	if err != nil {
		t.Fatalf("at %v: %v: %q", p.at, err, p.data)
	}
	return got.(*osc.Message)
}

func TestSameSeedSameBytes(t *testing.T) {
	s := script(t, "ratchet")
	a, b := play(s, Playing{Seed: 3}, time.Hour), play(s, Playing{Seed: 3}, time.Hour)
	other := play(s, Playing{Seed: 4}, time.Hour)
	if len(a) != len(b) {
		t.Fatalf("%d packets, then %d", len(a), len(b))
	}
	differ := 0
	for i := range a {
		if a[i].at != b[i].at || !bytes.Equal(a[i].data, b[i].data) {
			t.Fatalf("packet %d: %v %q, then %v %q", i, a[i].at, a[i].data, b[i].at, b[i].data)
		}
		if !bytes.Equal(a[i].data, other[i].data) {
			differ++
		}
	}
	if differ == 0 {
		t.Error("another seed gives the same bytes")
	}
}

func TestEverythingOnceAtTheStart(t *testing.T) {
	seen := map[string]int{}
	for _, p := range play(script(t, "ratchet"), Playing{}, 0) {
		if p.at != 0 {
			t.Errorf("the first packets are at %v, want 0", p.at)
		}
		seen[parse(t, p).Address]++
	}
	// 16 inputs of 3, 4 DCAs of 2, 4 groups of 5, the main's 2, and 5 meters.
	if len(seen) != 48+8+20+2+5 {
		t.Errorf("%d addresses, want 83: %v", len(seen), seen)
	}
	for address, n := range seen {
		if n != 1 {
			t.Errorf("%s is told %d times, want once", address, n)
		}
	}
}

func TestMetersTwentyTimesASecond(t *testing.T) {
	n := 0
	for _, p := range play(script(t, "ratchet"), Playing{}, 10*time.Second) {
		if m := parse(t, p); m.Address == "/needles/in" {
			if want := time.Duration(n) * 50 * time.Millisecond; p.at != want {
				t.Fatalf("meter %d is at %v, want %v", n, p.at, want)
			}
			if got := len(m.Arguments[0].([]byte)); got != 16*4 {
				t.Fatalf("the blob has %d bytes, want 64", got)
			}
			n++
		}
	}
	if n != 201 {
		t.Errorf("%d meters in ten seconds, want 201", n)
	}
}

// told is what was said of one address between two moments.
func told(t *testing.T, s *Script, address string, from, to time.Duration) (values []float32) {
	t.Helper()
	for _, p := range play(s, Playing{}, to) {
		if p.at >= from {
			if m := parse(t, p); m.Address == address {
				values = append(values, m.Arguments[0].(float32))
			}
		}
	}
	return values
}

func TestStyles(t *testing.T) {
	const from, to = 39 * time.Second, 45 * time.Second
	steps := told(t, script(t, "ratchet"), "/in/3/throw", from, to)
	ends := told(t, script(t, "ratchet-end-only"), "/in/3/throw", from, to)
	repeats := told(t, script(t, "ratchet-repeats"), "/in/3/throw", from, to)
	if len(steps) < 25 || len(steps) > 46 {
		t.Errorf("a move of 1.5 s is told in %d steps, want about 30 a second", len(steps))
	}
	for i, v := range steps {
		if i > 0 && !(v > steps[i-1]) {
			t.Errorf("step %d is %v after %v, want a rise", i, v, steps[i-1])
		}
		if n := float64(v) * resolution; math.Abs(n-math.Round(n)) > 1e-3 {
			t.Errorf("%v is between two steps of the fader", v)
		}
	}
	if len(ends) != 1 || ends[0] != steps[len(steps)-1] {
		t.Errorf("ends only tells %v, want %v once", ends, steps[len(steps)-1])
	}
	if len(repeats) <= len(steps) || repeats[len(repeats)-1] != ends[0] {
		t.Errorf("repeats tells %d values to %v, want more than %d to %v", len(repeats), repeats[len(repeats)-1], len(steps), ends[0])
	}
}

const resolution = float64(steps)

func TestSceneJumpsAtOnce(t *testing.T) {
	const at = 70 * time.Second
	n := 0
	var last time.Duration
	for _, p := range play(script(t, "scene-change"), Playing{}, 71*time.Second) {
		if p.at < at {
			continue
		}
		if m := parse(t, p); len(m.Address) > 4 && m.Address[len(m.Address)-5:] == "throw" {
			n, last = n+1, p.at
		}
	}
	if n != 12 || last-at > 150*time.Millisecond {
		t.Errorf("%d faders within %v, want 12 within 150ms", n, last-at)
	}
}

func TestRebootIsSilenceThenEverything(t *testing.T) {
	var before, after time.Duration
	n := 0
	for _, p := range play(script(t, "reboot"), Playing{}, 79*time.Second) {
		switch {
		case p.at < time.Minute:
			before = p.at
		case after == 0:
			after = p.at
			fallthrough
		case p.at == after:
			n++
		}
	}
	if after-before < 18*time.Second || after != 78*time.Second || n != 83 {
		t.Errorf("silent from %v to %v and then %d packets at once, want 18 s and 83", before, after, n)
	}
}

// A looped service goes on as if it had never stopped: the second time round
// no fader jumps, and the same things are done at the same moments.
func TestLoopHasNoSeam(t *testing.T) {
	s := script(t, "harbour-hall")
	var first, second []packet
	for _, p := range play(s, Playing{Loop: true}, 2*s.Length-1) {
		if m := parse(t, p); p.at == 0 || m.Address[1] == 'n' {
			continue
		}
		if p.at < s.Length {
			first = append(first, p)
		} else {
			second = append(second, packet{p.at - s.Length, p.data})
		}
	}
	if len(first) != len(second) || len(first) < 100 {
		t.Fatalf("%d messages the first time and %d the second", len(first), len(second))
	}
	for i := range first {
		if first[i].at != second[i].at || !bytes.Equal(first[i].data, second[i].data) {
			t.Fatalf("message %d: %v %q, then %v %q", i, first[i].at, first[i].data, second[i].at, second[i].data)
		}
	}
}

func TestOnlyWhatLoopsIsLooped(t *testing.T) {
	s := script(t, "ratchet")
	all := play(s, Playing{Loop: true}, time.Hour)
	if last := all[len(all)-1].at; last >= s.Length {
		t.Errorf("a service of %v that does not loop was played up to %v", s.Length, last)
	}
}

func BenchmarkPlay(b *testing.B) {
	n := 0
	for at := range Play(HarbourHall(), harbour{}, Playing{Loop: true}) {
		if n++; n > b.N {
			b.ReportMetric(at.Seconds()/b.Elapsed().Seconds(), "times-real")
			return
		}
	}
}
