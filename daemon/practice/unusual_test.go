package practice

import (
	"fmt"
	"math"
	"testing"
	"time"
)

// sceneAt plays a minute of a script that is given by its lines.
func sceneAt(t *testing.T, at time.Duration, lines string) *performance {
	t.Helper()
	s, err := ParseScript("s.txt", []byte("length 1m\nexpect elsewhere\n"+lines))
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Expect) != 0 {
		t.Errorf("expects %v, want nothing of a label that is elsewhere", s.Expect)
	}
	return atTime(newPerformance(s, 1, false), at)
}

// Seats of Harbour Hall.
const (
	piano       = 2
	fiddle      = 4
	mandolin    = 5
	trumpet     = 7
	lead        = 10
	harmonyHigh = 11
	harmonyLow  = 12
	reader      = 14
	click       = 15
)

// What nobody does in most services is told when it is done, and again to
// whoever asks for everything.
func TestUnusualSwitchesAreTold(t *testing.T) {
	s, err := ParseScript("s.txt", []byte("length 20s\nexpect nothing\n2s solo piano\n4s assign click to main\n6s unassign reader's mic from main\n8s reboot 4s\n15s unsolo piano"))
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, p := range play(s, Playing{}, time.Hour) {
		if m := parse(t, p); m.Address == "/in/3/alone" || m.Address == "/in/16/straight" || m.Address == "/in/15/straight" {
			got = append(got, fmt.Sprint(p.at, m.Address, m.Arguments))
		}
	}
	want := "[2s/in/3/alone[1] 4s/in/16/straight[1] 6s/in/15/straight[0] 12s/in/3/alone[1] 12s/in/15/straight[0] 12s/in/16/straight[1] 15s/in/3/alone[0]]"
	if fmt.Sprint(got) != want {
		t.Errorf("told %v, want %v", got, want)
	}
}

func TestAssignedToTheMain(t *testing.T) {
	const lines = "0s play click\n"
	without, with := sceneAt(t, 5*time.Second, lines), sceneAt(t, 5*time.Second, lines+"1s assign click to main")
	if a, b := without.needles.main, with.needles.main; !(a < -38 && b > -30) {
		t.Errorf("the main is at %.1f dBFS without the click and %.1f with it", a, b)
	}
}

func TestCompressorIsSet(t *testing.T) {
	const lines = "0s play piano, accordion, fiddle\n"
	loose, firm := sceneAt(t, 5*time.Second, lines), sceneAt(t, 5*time.Second, lines+"1s threshold band to -40 dBFS\n1s ratio band to 4:1")
	over := float64(loose.needles.groupIn[band] + 40)
	if a, b := loose.needles.reduction[band], float64(firm.needles.reduction[band]); a > 1 || math.Abs(b-0.75*over) > 1e-9 {
		t.Errorf("reduces by %.2f dB and then by %.2f dB, want at most 1 and %.2f", a, b, 0.75*over)
	}
}

// A bleed adds as a power to whatever the microphone hears anyway, and is as
// much softer than the player as was said.
func TestBleed(t *testing.T) {
	p := sceneAt(t, 5*time.Second, "0s play trumpet, horn\n0s bleed trumpet into lead voice at -12 dB\n1s bleed horn into lead voice at -3 dB\n2s bleed horn into lead voice at closed")
	if got := float64(p.needles.input[trumpet] - p.needles.input[lead]); math.Abs(got-12) > 0.2 {
		t.Errorf("the trumpet is %.2f dB softer in the lead's microphone, want 12", got)
	}
}

func TestRoomIsHeardByMicrophones(t *testing.T) {
	p := sceneAt(t, 10*time.Second, "1s room louder 28 dB over 1s")
	for i, s := range seats {
		got := p.needles.input[i]
		if least, most := level(-32), level(-28); s.line && got > -56 || !s.line && (got < least || got > most) {
			t.Errorf("%s is at %.1f dBFS in the applause", s.name, got)
		}
	}
}

func TestNothingAboveFullScale(t *testing.T) {
	if got := sceneAt(t, 20*time.Second, "0s play trumpet\n0s stage trumpet louder 30 dB over 1s").needles.input[trumpet]; got != 0 {
		t.Errorf("the trumpet is at %.1f dBFS, want 0 at most", got)
	}
}

func TestUnevenHand(t *testing.T) {
	s, err := ParseScript("s.txt", []byte("length 20s\nexpect nothing\n1s raise piano 4 dB over 4s, unevenly"))
	if err != nil {
		t.Fatal(err)
	}
	p := newPerformance(s, 1, false)
	start := p.board[Inputs][2].step
	turns, before, rising, top := 0, start, true, start
	for !p.over() {
		p.silentTick()
		now := p.board[Inputs][2].step
		if now != before && (now > before) != rising {
			turns, rising = turns+1, !rising
		}
		if most := 15; now-before > most || before-now > most {
			t.Errorf("jumps from step %d to %d", before, now)
		}
		before, top = now, max(top, now)
	}
	want := nearestStep(travelTo(-4))
	if over := float64(top-want) / float64(want-start); before != want || over < 0.1 || over > 0.2 || turns < 3 {
		t.Errorf("ends at step %d (want %d), %.0f%% too far on the way, %d turns", before, want, 100*over, turns)
	}
}

// A tenth faster for half a minute and more is three more seconds of music.
func TestFaster(t *testing.T) {
	p := sceneAt(t, 40*time.Second, "5s stage cajon faster 10% over 10s\n40s stage cajon slower 10% over 5s")
	// The way up counts half.
	if got := p.stage[0].ahead; math.Abs(got-3) > 0.02 {
		t.Errorf("the cajon is %.3f s ahead, want 3", got)
	}
	if got := p.stage[1].ahead; got != 0 {
		t.Errorf("the bass is %.3f s ahead, want 0", got)
	}
}

// Solos and assignments are the hand's, as faders are.
func TestHandsOffSwitches(t *testing.T) {
	s, err := ParseScript("s.txt", []byte("length 20s\nexpect nothing\n1s solo piano\n2s assign click to main\n3s ratio band to 3:1"))
	if err != nil {
		t.Fatal(err)
	}
	done, off := Watch(s, 0).Mix(s.Length).board, Watch(s.HandsOff(0), 0).Mix(s.Length).board
	if !done[Inputs][piano].solo || !done[Inputs][click].direct || off[Inputs][piano].solo || off[Inputs][click].direct {
		t.Errorf("with a hand %+v %+v, without %+v %+v", done[Inputs][piano], done[Inputs][click], off[Inputs][piano], off[Inputs][click])
	}
	if off[Groups][band].squeeze.ratio != 3 {
		t.Errorf("the ratio is %v:1, want 3:1 with nobody at the inputs", off[Groups][band].squeeze.ratio)
	}
}
