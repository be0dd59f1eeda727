package rules

import (
	"errors"
	"testing"
	"time"
)

// TestBringBack: a stray touch is taken back at no cost, in time and of the newest alone.
func TestBringBack(t *testing.T) {
	const climb = "20s piano fader -6\n30s accordion fader -6\n40s fiddle fader -6\n"
	for _, c := range []struct {
		name, presses, end string
		card               bool
		want               error
	}{
		{"seen and brought back", "50s press seen 1\n54s press bring-back 1", "58s end", true, nil},
		{"put off and brought back", "50s press not-now 1\n54s press bring-back 1", "58s end", true, nil},
		{"seen stays seen", "50s press seen 1", "58s end", false, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, j := serve(t, fourEqual+climb+c.presses+"\n"+c.end)
			if got := j.Picture().Card != nil; got != c.card {
				t.Errorf("a card is shown: %v, want %v", got, c.card)
			}
			if n := len(j.past.silenced); n != 0 {
				t.Errorf("%d rules are silent, want none", n)
			}
		})
	}
	s := ScriptOf(t, "late", fourEqual+climb+"50s press seen 1\n90s end")
	j := newJudge(s.Roster)
	s.Play(j)
	for _, number := range []int{0, 1, 2} {
		if err := j.Press(Press{Do: BringBack, Number: number}); !errors.Is(err, ErrLate) {
			t.Errorf("finding %d brought back after 40 s: %v, want %v", number, err, ErrLate)
		}
	}
}

// TestBringBackRestoresAnEarlierSilence: of two presses only the newer is taken back.
func TestBringBackRestoresAnEarlierSilence(t *testing.T) {
	p := &past{silenced: map[string]time.Duration{"ratchet": time.Hour}, shows: []*show{{candidate: candidate{number: 7, rule: "ratchet"}, on: true}}}
	p.takeOff(time.Minute, 7, 20*time.Minute)
	if got := p.silenced["ratchet"]; got != 21*time.Minute || p.canBringBack(time.Minute+bringBackFor+1, 7) || !p.canBringBack(time.Minute+bringBackFor, 7) {
		t.Errorf("silent until %v, or brought back at the wrong time", got)
	}
	p.bringBack()
	if got := p.silenced["ratchet"]; got != time.Hour || p.shows[0].seen || !p.shows[0].paid() {
		t.Errorf("silent until %v, show %+v; want all as it was", got, p.shows[0])
	}
}
