//go:build !race

package practice

import (
	"math"
	"testing"
	"time"
)

// heard is a stretch of a service by its meters.
type heard struct {
	input []power // behind fader and DCA, mean
	top   []level // before the fader, the highest
	taken []gain  // by each group's compressor, mean
	least []gain  // the same, the least
	most  []gain  // the same, the most
	held  []gain  // by each input's compressor, mean
	grip  []gain  // the same, the most
	main  power   // mean
	peak  level   // the main at its highest
}

// hear plays a service and listens between two moments.
func hear(t *testing.T, name string, from, to time.Duration) heard {
	t.Helper()
	p := newPerformance(script(t, name), 0, false)
	inputs, groups := p.script.hall.Strips(Inputs), p.script.hall.Strips(Groups)
	h := heard{
		make([]power, inputs), make([]level, inputs), make([]gain, groups), make([]gain, groups), make([]gain, groups),
		make([]gain, inputs), make([]gain, inputs), 0, silent,
	}
	for i := range h.top {
		h.top[i] = silent
	}
	for g := range h.least {
		h.least[g] = gain(math.Inf(1))
	}
	for tickTime(p.tick) < from {
		p.silentTick()
	}
	n := 0
	for tickTime(p.tick) < to {
		if news := p.step(); !news.meters {
			continue
		}
		n++
		for i, l := range p.needles.input {
			h.input[i] += p.needles.ahead[i].plus(p.board.through(i)).power()
			h.top[i] = max(h.top[i], l)
			h.held[i] += p.needles.taken[i]
			h.grip[i] = max(h.grip[i], p.needles.taken[i])
		}
		for g, r := range p.needles.reduction {
			h.taken[g] += r
			h.least[g], h.most[g] = min(h.least[g], r), max(h.most[g], r)
		}
		h.main += p.needles.main.power()
		h.peak = max(h.peak, p.needles.main)
	}
	for i := range h.input {
		h.input[i] /= power(n)
		h.held[i] /= gain(n)
	}
	for g := range h.taken {
		h.taken[g] /= gain(n)
	}
	h.main /= power(n)
	return h
}

// over is how far one is over another.
func (h heard) over(one, other int) float64 {
	return float64(h.input[one].level() - h.input[other].level())
}

// onTop is how far the lead is over all the rest that the hall hears.
func (h heard) onTop() float64 {
	var rest power
	for i, p := range h.input {
		if i != lead && i != click {
			rest += p
		}
	}
	return float64(h.input[lead].level() - rest.level())
}

// The arithmetic behind the yardstick's labels.
func TestWhatTheYardstickDoes(t *testing.T) {
	const m, s = time.Minute, time.Second
	mainAt := func(h heard) float64 { return float64(h.main.level()) }
	for _, c := range []struct {
		what, service string
		from, to      time.Duration
		measure       func(heard) float64
		least, most   float64
	}{
		{"band's compressor takes much", "band-held", 1*m + 45*s, 2 * m, func(h heard) float64 { return float64(h.taken[band]) }, 6.5, 9},
		{"and is never idle", "band-held", 1*m + 45*s, 4*m + 45*s, func(h heard) float64 { return float64(h.least[band]) }, 5, 9},
		{"the lead is lost", "lead-drowned", 2*m + 15*s, 4 * m, heard.onTop, -11, -8},
		{"a chorus is not that", "lead-drowned", 50 * s, 1*m + 50*s, heard.onTop, -2.5, 1},
		{"the harmony is over it", "lead-drowned", 2*m + 53*s, 4 * m, func(h heard) float64 { return min(h.over(harmonyHigh, lead), h.over(harmonyLow, lead)) }, 1.5, 4},
		{"and not at the end", "lead-drowned", 4*m + 40*s, 5*m + 40*s, heard.onTop, -2, 1},
		{"the fiddle is as loud as the line", "fiddle-over-line", 50 * s, 3 * m, func(h heard) float64 { return h.over(fiddle, lead) }, -2, 0},
		{"the mandolin is over the piano", "fiddle-over-line", 4*m + 40*s, 7*m + 20*s, func(h heard) float64 { return h.over(mandolin, piano) }, 2, 4},
		{"and here well under it", "everybody-plays", 1*m + 20*s, 7*m + 40*s, func(h heard) float64 { return h.over(mandolin, piano) }, -12, -9},
		{"among fourteen the lead is on top", "everybody-plays", 1*m + 20*s, 7*m + 40*s, heard.onTop, -1.5, 1},
		{"the trumpet is at full scale", "hot-from-stage", 57 * s, 2 * m, func(h heard) float64 { return float64(h.top[trumpet]) }, 0, 0},
		{"while the hall is not loud", "hot-from-stage", 57 * s, 2 * m, mainAt, -22, -18},
		{"the main is at its end", "hot-from-stage", 3*m + 55*s, 5*m + 10*s, mainAt, -4, 0},
		{"nothing leaves", "after-the-talk", 1*m + 30*s, 2 * m, mainAt, math.Inf(-1), -100},
		{"a compressor that works", "healthy-compression", 0, 5 * m, func(h heard) float64 { return float64(max(h.most[voices], h.most[band])) }, 2, 5},
		{"and lets go", "healthy-compression", 35 * s, 55 * s, func(h heard) float64 { return float64(h.least[voices]) }, 0, 0},
		{"a loud end with headroom", "loud-end", 3*m + 10*s, 4*m + 8*s, func(h heard) float64 { return float64(h.peak) }, -15, -10},
		{"applause in a closed mic", "applause-and-prayer", 1*m + 33*s, 1*m + 39*s, func(h heard) float64 { return float64(h.top[reader]) }, -30, -25},
		{"a prayer over the piano", "applause-and-prayer", 2*m + 20*s, 2*m + 50*s, func(h heard) float64 { return h.over(reader, piano) }, 7, 10},
		{"a band in a closed mic", "reading-muted", 0, 1*m + 15*s, func(h heard) float64 { return float64(h.top[reader]) }, -32, -24},
	} {
		t.Run(c.what, func(t *testing.T) {
			if got := c.measure(hear(t, c.service, c.from, c.to)); got < c.least || got > c.most {
				t.Errorf("%s: %.2f dB from %v to %v, want %v to %v", c.service, got, c.from, c.to, c.least, c.most)
			}
		})
	}
}

// What the hands do in it, by itself.
func TestWhatTheYardsticksHandsDo(t *testing.T) {
	const m, s = time.Minute, time.Second
	for _, c := range []struct {
		what, service string
		from, to      time.Duration
		stage         bool
		least, most   float64
	}{
		{"three are up", "reel-climbs", 150 * s, 181 * s, false, 1.5, 2},
		{"all are", "reel-climbs", 150 * s, 5 * m, false, 3, 4},
		{"the main pays", "reel-climbs", 150 * s, 5*m + 6*s, false, -1, 0},
		{"small moves", "slow-creep", 1 * m, 3*m + 30*s, false, 0.5, 1},
		{"have crept", "slow-creep", 1 * m, 4*m + 40*s, false, 1.5, 1.8},
		{"and crept", "slow-creep", 1 * m, 6 * m, false, 2, 2.4},
		{"and crept on", "slow-creep", 1 * m, 9 * m, false, 2.9, 3.3},
		{"the gap is filled", "offering-song", 1*m + 28*s, 2*m + 5*s, true, -0.5, 1},
		{"and given back", "offering-song", 1*m + 28*s, 4*m + 30*s, true, 0, 0},
		{"unsure and home again", "unsure-hands", 30 * s, 5 * m, false, 0, 0},
		{"the reel is louder", "faster-reel", 49 * s, 3 * m, true, 1.2, 2.2},
		{"by nobody at the desk", "faster-reel", 49 * s, 3 * m, false, 0, 0},
		{"three raised in solo", "click-and-headphones", 2*m + 20*s, 4*m + 10*s, false, 1.8, 2.5},
	} {
		t.Run(c.what, func(t *testing.T) {
			got := rise(t, c.service, c.from, c.to, c.stage)
			if got = math.Round(got*1e6) / 1e6; got < c.least || got > c.most {
				t.Errorf("%s: %+.2f dB from %v to %v, want %v to %v", c.service, got, c.from, c.to, c.least, c.most)
			}
		})
	}
}
