package practice

import (
	"math"
	"time"
)

// bleed is what the microphone of somebody who is not playing hears of the rest.
const bleed level = -58

// player is who sits in a seat: playing or resting, and how much louder or softer
// than usual. What a player sounds like at a tick depends on nothing but the seat,
// the seed, the tick and this.
type player struct {
	hall    *Hall
	playing bool
	since   int64 // the tick of the last change of playing
	lift    glide
	room    glide   // how much more than usual the microphone hears of the hall
	pace    glide   // how much faster than usual, in per cent and not in dB
	ahead   float64 // seconds of music gained on the clock by being faster
}

// glide is a gain that goes smoothly from one value to another.
type glide struct {
	from, to   gain
	start, end int64
}

func (g glide) at(tick int64) gain {
	if tick >= g.end {
		return g.to
	}
	return g.from + (g.to-g.from)*gain(ease(float64(tick-g.start)/float64(g.end-g.start)))
}

// ease is the way a hand or a band gets from 0 to 1: it starts and stops gently
// (the smoothest path between two rests, a polynomial of the fifth degree).
func ease(x float64) float64 {
	x = min(max(x, 0), 1)
	return x * x * x * (10 - 15*x + 6*x*x)
}

// unevenly is the way an unsure hand gets from 0 to 1: it hesitates, goes a
// seventh too far and comes back.
func unevenly(x float64) float64 {
	const turn = 0.7
	if x > turn {
		return 1 + (1-ease((x-turn)/(1-turn)))/7
	}
	return 8./7*ease(x/turn) + 0.05*math.Sin(6*math.Pi*x/turn)
}

// hurry lets the music run ahead of the clock by what one tick gains it.
func (s *player) hurry(tick int64) { s.ahead += float64(s.pace.at(tick)) / 100 / ticksPerSecond }

// level is what seat's meter shows at the tick, before the fader.
func (s player) level(seed uint64, seat int, tick int64) level {
	// The microphone hears the room whether its player plays or not: a gate in
	// somebody's judgement must find something to close on.
	room := bleed + level(1.5*wander(seed, seat+len(s.hall.seats), tick, time.Second)) + level(s.room.at(tick))
	return (s.sound(seed, seat, tick).power() + room.power()).level()
}

// sound is the player alone, without the room.
func (s player) sound(seed uint64, seat int, tick int64) level {
	who := &s.hall.seats[seat]
	return who.plays.plus(s.lift.at(tick) + s.voiced(tick) + who.character(seed, seat, tick, s.ahead))
}

// voiced is how far into the note the player is: an attack of a fifth of a
// second, and a sound that dies away by 40 dB a second.
func (s player) voiced(tick int64) gain {
	t := float64(tick-s.since) / ticksPerSecond
	if s.playing {
		// From 60 dB down, where the room covers it.
		return gain(-60 * max(0, 1-5*t))
	}
	if s.since == never {
		return closed
	}
	return gain(-40 * t)
}

// never is the tick of the last note of a player who has not played yet.
const never = math.MinInt64

// character is how the seat's sound moves about its mean: stresses, breath and
// grain. Only the stresses run ahead of the clock with the music.
func (s *seat) character(seed uint64, seat int, tick int64, ahead float64) gain {
	t := float64(tick) / ticksPerSecond
	_, phase := math.Modf((t + ahead) / s.pulse.Seconds())
	// Each breathes in a time of its own, or sixteen swells would add up to a tide.
	period := 17 + 14*unit(seed, seat, -1)
	breath := math.Sin(2 * math.Pi * (t/period + unit(seed, seat, -2)))
	return s.depth*gain(0.5-phase) + s.swell*gain(breath) +
		s.grain*gain(wander(seed, seat, tick, 250*time.Millisecond))
}

// wander goes smoothly from one random value in -1..1 to the next, one every so often.
func wander(seed uint64, seat int, tick int64, every time.Duration) float64 {
	x := float64(tick) / ticksPerSecond / every.Seconds()
	whole := math.Floor(x)
	a, b := unit(seed, seat, int64(whole)), unit(seed, seat, int64(whole)+1)
	return 2*(a+(b-a)*ease(x-whole)) - 1
}

// unit is a number in 0..1 that looks random and depends only on its arguments
// (the finaliser of SplitMix64): any tick can be asked for without those before it.
func unit(seed uint64, seat int, n int64) float64 {
	z := seed*0x9e3779b97f4a7c15 + uint64(seat+1)*0xd1342543de82ef95 + uint64(n)*0x2545f4914f6cdd1d
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return float64((z^z>>31)>>11) / (1 << 53)
}
