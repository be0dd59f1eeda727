//go:build !race

package practice

import (
	"math"
	"slices"
	"testing"
	"time"
)

// TestWhatTheFourthYardstickDoes is the arithmetic behind the fourth yardstick's labels.
func TestWhatTheFourthYardstickDoes(t *testing.T) {
	const m, s = time.Minute, time.Second
	type hearing struct {
		heard
		in *Hall
	}
	who := func(h hearing, name string) int {
		return slices.IndexFunc(h.in.seats, func(s seat) bool { return s.name == name })
	}
	mainAt := func(h hearing) float64 { return float64(h.main.level()) }
	peak := func(h hearing) float64 { return float64(h.peak) }
	top := func(name string) func(hearing) float64 {
		return func(h hearing) float64 { return float64(h.top[who(h, name)]) }
	}
	held := func(name string) func(hearing) float64 {
		return func(h hearing) float64 { return float64(h.held[who(h, name)]) }
	}
	grip := func(name string) func(hearing) float64 {
		return func(h hearing) float64 { return float64(h.grip[who(h, name)]) }
	}
	over := func(one, other string) func(hearing) float64 {
		return func(h hearing) float64 { return h.over(who(h, one), who(h, other)) }
	}
	onTop := func(name string) func(hearing) float64 {
		return func(h hearing) float64 {
			var rest power
			for i, p := range h.input {
				if i != who(h, name) && (h.in.seats[i].group != none || h.in.seats[i].main) {
					rest += p
				}
			}
			return float64(h.input[who(h, name)].level() - rest.level())
		}
	}
	lead := onTop("lead voice")
	grips := func(h hearing) float64 { return float64(slices.Max(h.most)) }
	for _, c := range []struct {
		what, service string
		from, to      time.Duration
		measure       func(hearing) float64
		least, most   float64
	}{
		// What is to be said is to be heard.
		{"a voice held by the throat", "ferry-squeezed-singer", 1*m + 35*s, 2 * m, held("lead voice"), 15, 17},
		{"and its loud words", "ferry-squeezed-singer", 1*m + 35*s, 3 * m, grip("lead voice"), 18, 20},
		{"a voice over the rest", "ferry-squeezed-singer", 15 * s, 30 * s, lead, 1.5, 3.5},
		{"and behind it", "ferry-squeezed-singer", 1*m + 35*s, 2 * m, lead, -3, -1},
		{"a reading for nobody", "ferry-forgotten", 1*m + 45*s, 2*m + 13*s, mainAt, -60, -50},
		{"at full voice", "ferry-forgotten", 1*m + 45*s, 2*m + 13*s, top("reader's mic"), -18, -12},
		{"the lead before", "ferry-forgotten", 3*m + 30*s, 4 * m, lead, 0, 2},
		{"the lead turned away", "ferry-forgotten", 4*m + 40*s, 5*m + 38*s, lead, -11, -8},
		{"the second reader's too", "barn-readers", 2*m + 18*s, 2*m + 48*s, mainAt, -60, -50},
		{"a reader's mic hears the band", "barn-readers", 5 * m, 7 * m, over("left reader", "first fiddle"), 10, math.Inf(1)},
		{"and brings it as loud as a piano", "barn-readers", 5 * m, 7 * m, over("left reader", "piano low"), -3, 1},
		{"a guest at full scale", "loud-guest", 1*m + 32*s, 2*m + 20*s, top("reader's mic"), 0, 0},
		{"and the main before the hand came", "loud-guest", 1*m + 32*s, 1*m + 37*s, mainAt, -5, -3},
		{"and after", "loud-guest", 1*m + 41*s, 2*m + 20*s, mainAt, -1, 0},
		{"the fader hides it", "loud-guest", 2*m + 26*s, 2*m + 50*s, peak, -15, -13},
		{"not from the input", "loud-guest", 2*m + 26*s, 2*m + 50*s, top("reader's mic"), 0, 0},
		{"a fiddle is tuned", "loud-guest", 3*m + 10*s, 3*m + 46*s, over("fiddle", "reader's mic"), -17, -13},
		{"a harmony sings", "singer-who-waits", 4*m + 12*s, 4*m + 50*s, top("harmony low"), -18, -13},
		{"the lead in the hymn", "hymn-pulled-down", 3*m + 15*s, 3*m + 30*s, lead, -4.2, -3},
		{"and later", "hymn-pulled-down", 3*m + 45*s, 7*m + 15*s, lead, -3, -1},
		{"everybody plays", "barn-all-hands", 2 * m, 11*m + 25*s, lead, -3, -1.5},

		// What is nothing is nothing.
		{"forty-five play", "barn-all-hands", 2 * m, 11*m + 25*s, grips, 0.5, 3.3},
		{"a second voice that is squeezed a little", "ferry-squeezed-singer", 2*m + 20*s, 5 * m, grip("second voice"), 1, 2.2},
		{"the lead mended", "ferry-squeezed-singer", 4*m + 15*s, 6 * m, held("lead voice"), 0.5, 1.5},
		{"and its shout", "ferry-squeezed-singer", 5*m + 19*s, 5*m + 26*s, grip("lead voice"), 3, 5},
		{"a muted mic that hears a song", "ferry-forgotten", 0, 1*m + 30*s, top("reader's mic"), -30, -24},
		{"a shout", "barn-high-peaks", 20 * s, 24 * s, grip("lead voice"), 7, 9.5},
		{"the whole line", "barn-high-peaks", 24 * s, 34 * s, held("lead voice"), 0.5, 2},
		{"a roll", "barn-high-peaks", 2*m + 23*s, 2*m + 30*s, grip("timpani left"), 7, 9.5},
		{"a high note", "barn-high-peaks", 2*m + 5*s, 2*m + 10*s, grip("first trumpet"), 4, 6},
		{"a loud speaker", "barn-high-peaks", 4*m + 49*s, 4*m + 55*s, grip("headset"), 6, 8},
		{"between shouts", "barn-high-peaks", 4*m + 36*s, 4*m + 49*s, held("headset"), 0.3, 1.5},
		{"peaks with room above", "barn-high-peaks", 0, 7 * m, top("lead voice"), -8, -5},
		{"a fanfare with room above", "barn-festival", 0, 40 * s, top("first trumpet"), -14, -11},
		{"a finale", "barn-festival", 9*m + 50*s, 11 * m, mainAt, -16, -14},
		{"its lead", "barn-festival", 9*m + 50*s, 11 * m, lead, -3.2, -1},
		{"a prayer over the harp", "barn-festival", 8 * m, 8*m + 55*s, onTop("table mic"), 7, 10},
		{"a prayer over the piano", "ferry-evening", 5*m + 5*s, 6*m + 50*s, over("reader's mic", "piano"), 7.5, 11},
		{"and in the other hall", "plate-and-prayer", 7*m + 20*s, 9*m + 5*s, over("reader's mic", "piano"), 7.5, 11},
		{"the trumpet in a muted mic", "singer-who-waits", 50 * s, 1*m + 18*s, top("harmony high"), -25, -19},
		{"a trumpet between the lines", "singer-who-waits", 0, 8 * m, top("trumpet"), -12, -9},
		{"a trumpeter who shows what can come", "plate-and-prayer", 13 * s, 23 * s, top("trumpet"), -10, -7},
	} {
		t.Run(c.what, func(t *testing.T) {
			h := hearing{hear(t, c.service, c.from, c.to), script(t, c.service).hall}
			if got := c.measure(h); got < c.least || got > c.most {
				t.Errorf("%s: %.2f dB from %v to %v, want %v to %v", c.service, got, c.from, c.to, c.least, c.most)
			}
		})
	}
}

// What the hands do in it, by itself.
func TestWhatTheFourthYardsticksHandsDo(t *testing.T) {
	const m, s = time.Minute, time.Second
	for _, c := range []struct {
		what, service string
		from, to      time.Duration
		stage         bool
		least, most   float64
	}{
		{"three raises of a reel", "ferry-reel", 2*m + 10*s, 2*m + 45*s, false, 1.7, 2.1},
		{"four", "ferry-reel", 2*m + 10*s, 3 * m, false, 2.2, 2.7},
		{"nine", "ferry-reel", 2*m + 10*s, 4*m + 20*s, false, 3.9, 4.3},
		{"and the way back", "ferry-reel", 2*m + 10*s, 5*m + 10*s, false, -0.1, 0.3},
		{"small moves", "barn-all-hands", 2*m + 30*s, 5*m + 45*s, false, 1, 1.4},
		{"have crept", "barn-all-hands", 2*m + 30*s, 8 * m, false, 1.7, 2.1},
		{"and crept on", "barn-all-hands", 2*m + 30*s, 11*m + 20*s, false, 2.6, 3},
		{"three raises of a hymn", "hymn-pulled-down", 2*m + 20*s, 2*m + 56*s, false, 0.9, 1.4},
		{"five", "hymn-pulled-down", 2*m + 20*s, 3*m + 22*s, false, 1.5, 2},
		{"eight", "hymn-pulled-down", 2*m + 20*s, 4*m + 20*s, false, 2.7, 3.1},
		{"the main pays", "hymn-pulled-down", 2*m + 20*s, 4*m + 40*s, false, -0.9, -0.3},
		{"and it begins again", "hymn-pulled-down", 4*m + 40*s, 6*m + 20*s, false, 0.3, 0.8},
		{"a gap is filled", "plate-and-prayer", 2*m + 20*s, 3*m + 40*s, true, -0.2, 0.2},
		{"and given back", "plate-and-prayer", 2*m + 20*s, 6*m + 50*s, true, 0, 0},
		{"rides end where the scene was", "scene-then-rides", 2*m + 30*s, 5*m + 15*s, false, 0, 0},
		{"two pairs of hands", "two-pairs-of-hands", 10 * s, 2*m + 20*s, false, 0, 0},
		{"and their chorus", "two-pairs-of-hands", 4*m + 15*s, 4*m + 40*s, false, 0.8, 1.4},
		{"and back", "two-pairs-of-hands", 3*m + 15*s, 5*m + 5*s, false, 0, 0},
		{"an evening's song", "ferry-evening", 2*m + 10*s, 7*m + 30*s, true, 0, 0},
		{"a festival's band comes home", "barn-festival", 6*m + 20*s, 7*m + 20*s, true, -0.01, 0.01},
	} {
		t.Run(c.what, func(t *testing.T) {
			got := rise(t, c.service, c.from, c.to, c.stage)
			if got = math.Round(got*1e6) / 1e6; got < c.least || got > c.most {
				t.Errorf("%s: %+.2f dB from %v to %v, want %v to %v", c.service, got, c.from, c.to, c.least, c.most)
			}
		})
	}
}
