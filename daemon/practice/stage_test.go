package practice

import (
	"math"
	"testing"
)

// meanOver is the mean power of a seat's meter over a minute.
func meanOver(s player, seed uint64, seat int) float64 {
	var sum power
	const n = 60 * ticksPerSecond / meterTicks
	for i := range int64(n) {
		sum += s.level(seed, seat, 600+i*meterTicks).power()
	}
	return float64((sum / n).level())
}

func TestPlayersAreAsLoudAsTheirSeatSays(t *testing.T) {
	for i, s := range seats {
		t.Run(s.name, func(t *testing.T) {
			got := meanOver(player{hall: harbourHall, playing: true, since: 0}, 7, i)
			if math.Abs(got-float64(s.plays)) > 1.2 {
				t.Errorf("plays at %.2f dBFS, want about %v", got, s.plays)
			}
			rest := meanOver(player{hall: harbourHall, since: never}, 7, i)
			if math.Abs(rest-float64(bleed)) > 1 {
				t.Errorf("rests at %.2f dBFS, want about %v", rest, bleed)
			}
		})
	}
}

func TestGlide(t *testing.T) {
	g := glide{from: 0, to: 4, start: 100, end: 200}
	for _, c := range []struct {
		tick int64
		want gain
	}{{0, 0}, {100, 0}, {150, 2}, {200, 4}, {999, 4}} {
		if got := g.at(c.tick); math.Abs(float64(got-c.want)) > 1e-12 {
			t.Errorf("at tick %d the lift is %v dB, want %v", c.tick, got, c.want)
		}
	}
}

func TestNotesBeginAndEndSoftly(t *testing.T) {
	playing, resting := player{hall: harbourHall, playing: true, since: 60}, player{hall: harbourHall, since: 60}
	if a, b := playing.level(1, 2, 60), playing.level(1, 2, 90); !(a < -50 && b > -30) {
		t.Errorf("a note goes from %.1f to %.1f dBFS in half a second", a, b)
	}
	if a, b := resting.level(1, 2, 60), resting.level(1, 2, 150); !(a > -30 && b < -50) {
		t.Errorf("a last note goes from %.1f to %.1f dBFS in a second and a half", a, b)
	}
}
