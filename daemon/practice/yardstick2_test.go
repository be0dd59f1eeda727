//go:build !race

package practice

import (
	"math"
	"testing"
	"time"
)

// The arithmetic behind the second yardstick's labels.
func TestWhatTheSecondYardstickDoes(t *testing.T) {
	const (
		m, s = time.Minute, time.Second

		harp, harmonyLower, choir = 6, 12, 13
	)
	mainAt := func(h heard) float64 { return float64(h.main.level()) }
	peak := func(h heard) float64 { return float64(h.peak) }
	least := func(g int) func(heard) float64 { return func(h heard) float64 { return float64(h.least[g]) } }
	most := func(g int) func(heard) float64 { return func(h heard) float64 { return float64(h.most[g]) } }
	taken := func(g int) func(heard) float64 { return func(h heard) float64 { return float64(h.taken[g]) } }
	top := func(i int) func(heard) float64 { return func(h heard) float64 { return float64(h.top[i]) } }
	over := func(one, other int) func(heard) float64 { return func(h heard) float64 { return h.over(one, other) } }
	for _, c := range []struct {
		what, service string
		from, to      time.Duration
		measure       func(heard) float64
		least, most   float64
	}{
		// What is to be said is to be heard.
		{"the brass is squeezed", "two-compressors", 1*m + 40*s, 3*m + 30*s, least(brass), 5.5, 7},
		{"and more when it is pushed", "two-compressors", 2*m + 30*s, 3*m + 30*s, taken(brass), 9, 11},
		{"the band's glue is never idle", "two-compressors", 5*m + 30*s, 8*m + 55*s, least(band), 2.5, 3.5},
		{"and never much", "two-compressors", 5*m + 30*s, 8*m + 55*s, most(band), 3.5, 4},
		{"the lead is there", "singer-steps-back", 1*m + 30*s, 2 * m, heard.onTop, -1.5, 1},
		{"and gone", "singer-steps-back", 2*m + 20*s, 4*m + 10*s, heard.onTop, -12, -8},
		{"the choir is over her", "singer-steps-back", 6*m + 50*s, 8 * m, over(choir, lead), 3, 5},
		{"so is the low harmony", "singer-steps-back", 6*m + 50*s, 8 * m, over(harmonyLower, lead), 1, 3},
		{"the trumpet is beside her", "descant", 1*m + 30*s, 2 * m, over(trumpet, lead), -2, 0},
		{"the piano is over the mandolin", "descant", 7*m + 30*s, 9*m + 30*s, over(piano, mandolin), 5, 7},
		{"the hall is at its end", "full-hall", 10*m + 25*s, 11*m + 40*s, mainAt, -4, -2},
		{"its lead is on top", "full-hall", 2 * m, 8 * m, heard.onTop, -2.5, 0},
		{"the piano is at full scale", "headphones-on", 5*m + 18*s, 6*m + 25*s, top(piano), 0, 0},
		{"while the hall is not loud", "headphones-on", 5*m + 18*s, 6*m + 25*s, mainAt, -20, -17},
		{"the band plays to nobody", "break-and-back", 3*m + 25*s, 3*m + 50*s, mainAt, math.Inf(-1), -100},
		{"the harp is beside the singer", "brass-over", 1*m + 14*s, 1*m + 50*s, over(harp, lead), -2, 0},
		{"the lead before the brass", "brass-over", 2*m + 45*s, 3*m + 25*s, heard.onTop, 0, 1.5},
		{"and behind it", "brass-over", 4*m + 10*s, 6 * m, heard.onTop, -8, -6},
		{"the harmonies are over the lead", "supper-song", 2*m + 40*s, 4 * m, over(harmonyLower, lead), 2, 4},
		{"the voices are held by the throat", "supper-song", 6*m + 50*s, 7*m + 45*s, taken(voices), 7, 9},
		{"the reading goes nowhere", "reader-goes-nowhere", 1*m + 50*s, 2*m + 10*s, mainAt, math.Inf(-1), -50},
		{"though the reader reads", "reader-goes-nowhere", 1*m + 50*s, 2*m + 10*s, top(reader), -18, -12},
		{"the third reader shouts", "reader-goes-nowhere", 7*m + 12*s, 8*m + 30*s, top(reader), 0, 0},
		{"into a lowered fader", "reader-goes-nowhere", 7*m + 8*s, 8*m + 30*s, peak, -19, -15},
		{"the mandolin glitters", "crowded-carol", 1 * m, 4 * m, over(mandolin, piano), -6, -4},
		{"and covers the piano", "crowded-carol", 4*m + 25*s, 7 * m, over(mandolin, piano), 3, 5},
		{"the hymn is at its end", "long-gathering", 16*m + 50*s, 17*m + 45*s, mainAt, -4.2, -3},

		// What is nothing is nothing.
		{"a last chorus with room", "chorus-by-dca", 6*m + 41*s, 8*m + 10*s, peak, -10, -8},
		{"its voices' compressor", "chorus-by-dca", 6*m + 41*s, 8*m + 10*s, most(voices), 3, 5},
		{"an end with room", "finale-and-clapping", 2*m + 12*s, 3*m + 10*s, peak, -10, -8},
		{"its trumpet too", "finale-and-clapping", 2*m + 12*s, 3*m + 10*s, top(trumpet), -9, -7},
		{"words over a piano", "piano-under-prayer", 3*m + 30*s, 5*m + 40*s, over(reader, piano), 7, 11},
		{"a loud speaker with room", "mic-handed-on", 38 * s, 1*m + 40*s, top(reader), -12, -9},
		{"a child that is heard", "mic-handed-on", 2*m + 6*s, 2*m + 30*s, mainAt, -28, -25},
		{"a walk in silence", "late-reader", 1*m + 35*s, 2*m + 3*s, mainAt, -60, -50},
		{"shouts", "strokes-and-shouts", 20 * s, 26 * s, most(voices), 5, 6},
		{"and their end", "strokes-and-shouts", 36 * s, 43 * s, most(voices), 0, 0},
		{"strokes", "strokes-and-shouts", 20 * s, 40 * s, most(0), 4, 5},
		{"and between them", "strokes-and-shouts", 20 * s, 40 * s, least(0), 0, 0.2},
		{"fanfares", "strokes-and-shouts", 5*m + 45*s, 6 * m, most(brass), 3, 5},
		{"a lead that is ridden", "line-by-line", 0, 4 * m, heard.onTop, -0.5, 1},
		{"a guest over the band", "guest-and-trio", 3 * m, 3*m + 35*s, over(harmonyLower, piano), 4, 6},
		{"a trumpeter who shows what he can", "check-and-chatter", 1*m + 20*s, 1*m + 34*s, top(trumpet), -7, -5},
	} {
		t.Run(c.what, func(t *testing.T) {
			if got := c.measure(hear(t, c.service, c.from, c.to)); got < c.least || got > c.most {
				t.Errorf("%s: %.2f dB from %v to %v, want %v to %v", c.service, got, c.from, c.to, c.least, c.most)
			}
		})
	}
}

// What the hands do in it, by itself.
func TestWhatTheSecondYardsticksHandsDo(t *testing.T) {
	const m, s = time.Minute, time.Second
	for _, c := range []struct {
		what, service string
		from, to      time.Duration
		least, most   float64
	}{
		{"a round of DCAs", "dcas-in-a-circle", 4*m + 15*s, 5*m + 1*s, 1.8, 2.3},
		{"and a second", "dcas-in-a-circle", 4*m + 15*s, 6*m + 26*s, 4, 5},
		{"the main pays all of it", "dcas-in-a-circle", 4*m + 15*s, 8*m + 7*s, -0.5, 0.5},
		{"nudges", "quiet-hands", 2*m + 10*s, 4*m + 40*s, 0.3, 1},
		{"have crept", "quiet-hands", 2*m + 10*s, 6*m + 50*s, 1, 1.5},
		{"and in the song", "quiet-hands", 7*m + 10*s, 13*m + 20*s, 1.8, 2.6},
		{"a chorus leaves something", "between-the-choruses", 1 * m, 3 * m, 0.5, 0.9},
		{"another more", "between-the-choruses", 1 * m, 5*m + 10*s, 1.3, 1.7},
		{"three of them", "between-the-choruses", 1 * m, 8 * m, 1.9, 2.4},
		{"all of them", "between-the-choruses", 1 * m, 13 * m, 3, 3.6},
		{"the main pays for the brass", "brass-over", 4*m + 10*s, 5*m + 10*s, -3.6, -3.4},
		{"two raised alone", "descant", 4*m + 10*s, 5 * m, 0.4, 1},
		{"three raised alone", "headphones-on", 1*m + 50*s, 3*m + 5*s, 1, 1.8},
		{"a reel climbs", "long-gathering", 5*m + 50*s, 6*m + 50*s, 1.6, 2.2},
		{"and climbs on", "long-gathering", 5*m + 50*s, 8 * m, 2.7, 3.3},
		{"and is brought back", "long-gathering", 5*m + 50*s, 9 * m, -0.1, 0.1},
		{"a chorus is put back", "chorus-by-dca", 1 * m, 2 * m, 0, 0},
		{"and the last", "chorus-by-dca", 30 * s, 8*m + 25*s, 0, 0},
		{"a gap is filled", "second-offering", 1 * m, 3*m + 10*s, -0.3, 0.3},
		{"and given back", "second-offering", 1 * m, 6 * m, 0, 0},
		{"second thoughts", "elbows-and-second-thoughts", 10 * s, 5*m + 20*s, 0, 0},
		{"at their furthest", "elbows-and-second-thoughts", 10 * s, 2*m + 40*s, 0, 0.7},
		{"two that change places", "line-by-line", 1*m + 18*s, 1*m + 28*s, -0.2, 0.2},
	} {
		t.Run(c.what, func(t *testing.T) {
			got := rise(t, c.service, c.from, c.to, false)
			if got = math.Round(got*1e6) / 1e6; got < c.least || got > c.most {
				t.Errorf("%s: %+.2f dB from %v to %v, want %v to %v", c.service, got, c.from, c.to, c.least, c.most)
			}
		})
	}
}
