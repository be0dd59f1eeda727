package desk

import (
	"math"
	"strings"
	"testing"
)

func TestSignals(t *testing.T) {
	seen, meanings := map[string]bool{}, map[string]bool{}
	for _, s := range Signals() {
		got, ok := SignalNamed(s.String())
		if !ok || got != s || seen[s.String()] {
			t.Errorf("%d is called %q, which finds %v", s, s, got)
		}
		seen[s.String()] = true
		lo, hi := s.Range()
		if s.Of() == NoStrip || s.Quantity() == NoQuantity || lo > hi || s.Of().String() == "" || s.Quantity().String() == "" {
			t.Errorf("%v: strip %v, %v, %v to %v", s, s.Of(), s.Quantity(), lo, hi)
		}
		if m := s.Meaning(); !strings.HasSuffix(m, ".") || meanings[m] {
			t.Errorf("%v: %q is no sentence of its own", s, m)
		}
		meanings[s.Meaning()] = true
	}
	if _, ok := SignalNamed("input.colour"); ok {
		t.Error("found a signal that there is not")
	}
	if _, ok := SignalNamed(""); ok {
		t.Error("found no signal by no name")
	}
}

func TestHolds(t *testing.T) {
	for _, c := range []struct {
		s    Signal
		v    float64
		want bool
	}{
		{InputFader, math.Inf(-1), true}, {InputFader, math.Inf(1), false}, {InputFader, math.NaN(), false},
		{InputLevel, math.Inf(-1), true}, {GroupReduction, math.Inf(-1), false}, {GroupReduction, -1, false},
		{InputFader, 40, true}, {InputFader, 41, false}, {InputMute, 1, true}, {InputMute, 2, false}, {GroupRatio, 0.5, false},
		{GroupAttack, 0.05, true}, {GroupAttack, -1, false}, {InputCompRelease, math.Inf(-1), false}, {GroupPeak, math.Inf(-1), true},
	} {
		if got := c.s.Holds(c.v); got != c.want {
			t.Errorf("%v holds %v: %v, want %v", c.s, c.v, got, c.want)
		}
	}
}

// TestControls: what can be set must be known as such, for a message to such an
// address might set it.
func TestControls(t *testing.T) {
	for s, want := range map[Signal]bool{
		InputFader: true, InputMute: true, DCAFader: true, MainFader: true, InputCompThreshold: true, GroupThreshold: true,
		GroupRatio: true, InputDCA: true, SceneNumber: true, InputSolo: true, InputName: true, SceneName: true,
		InputLevel: false, MainPeak: false, GroupReduction: false, DeskAlive: false, RoomLevel: false, NoSignal: false,
	} {
		if got := s.Control(); got != want {
			t.Errorf("%v: control %v, want %v", s, got, want)
		}
	}
	if !StripInput.Indexed() || StripMain.Indexed() {
		t.Error("inputs have an index, the main has none")
	}
}

func TestElements(t *testing.T) {
	for e := NoElement; e <= Fill; e++ {
		var got Element
		if err := got.UnmarshalText([]byte(e.String())); err != nil || got != e {
			t.Errorf("%v: found %v, %v", e, got, err)
		}
	}
	if err := new(Element).UnmarshalText([]byte("noise")); err == nil {
		t.Error("found an element that there is not")
	}
}

// TestUnits: a unit stands after every number of decibels or time, and after no other.
func TestUnits(t *testing.T) {
	for s, want := range map[Signal]string{
		InputFader: "dB", InputLevel: "dBFS", GroupReduction: "dB", GroupKnee: "dB", InputMute: "", InputName: "", SceneNumber: "",
		GroupRatio: "", GroupAttack: "ms", InputCompRelease: "ms", RoomLevel: "dB(A)",
	} {
		if got := s.Unit(); got != want {
			t.Errorf("%v is in %q, want %q", s, got, want)
		}
	}
}

// TestCompressorTimesAreControls: a hand sets them, and the low cut; a peak it does not.
func TestCompressorTimesAreControls(t *testing.T) {
	for s, want := range map[Signal]bool{
		InputLowCut: true, InputCompAttack: true, InputCompRelease: true, GroupAttack: true, GroupRelease: true, GroupPeak: false,
	} {
		if got := s.Control(); got != want {
			t.Errorf("%v: control %v, want %v", s, got, want)
		}
	}
}
