package rules

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// stage is a band on a desk that tells enough for every rule to have a word on it. Bass,
// cajon, organ, piano, viola and lead play all the time; the rest is silent, and the reader,
// the click and three more microphones are muted. No two faders stand alike, so that what is
// said does not rest on who of equals is the first.
const stage = `
dca band
dca voices
group strings
input bass foundation
input cajon foundation
input organ pad dca=band
input accordion pad dca=band
input piano rhythm dca=band
input mandolin rhythm dca=band
input fiddle fill dca=band
input viola none group=strings
input lead lead voice dca=voices
input high none voice dca=voices
input low none voice dca=voices
input reader none voice
input left none voice
input middle none voice
input right none voice
input click none cue
0s bass fader -10.11
0s cajon fader -11.23
0s organ fader -13.37
0s accordion fader -4.91
0s piano fader -9.53
0s mandolin fader -0.07
0s fiddle fader -1.29
0s viola fader -14.71
0s lead fader -4.13
0s high fader -1.79
0s low fader -2.61
0s reader fader -5.03
0s left fader -3.19
0s middle fader -2.57
0s right fader -4.87
0s click fader -10
0s band fader 0
0s voices fader 0
0s strings fader 0
0s main fader 0
0s reader mute 1
0s left mute 1
0s middle mute 1
0s right mute 1
0s click mute 1
0s bass level -20
0s cajon level -22
0s organ level -20
0s accordion level -75
0s piano level -18
0s mandolin level -75
0s fiddle level -75
0s viola level -21
0s lead level -18
0s high level -75
0s low level -75
0s reader level -62
0s left level -68
0s middle level -71
0s right level -74
0s click level -14
0s bass reduction 3
0s main level -24
0s room level 70
`

// standing is where the faders of the stage that are climbed with stand.
var standingAt = map[string]float64{"bass": -10.11, "cajon": -11.23, "organ": -13.37, "piano": -9.53}

// drawn is a service as it is drawn: what happens, in whatever order it is thought of.
type drawn struct {
	*rapid.T
	lines []drawnLine
	end   int // ms
}

type drawnLine struct {
	at   int // ms
	text string
}

// at has something happen at a time in milliseconds.
func (d *drawn) at(ms int, format string, args ...any) {
	d.lines = append(d.lines, drawnLine{ms, fmt.Sprintf(format, args...)})
	d.end = max(d.end, ms)
}

// some draws a number of these, such as half decibels, or milliseconds.
func (d *drawn) some(from, to int, label string) int {
	return rapid.IntRange(from, to).Draw(d.T, label)
}

// when draws when something begins, by when there is a mark.
func (d *drawn) when() int { return 22000 + 100*d.some(0, 150, "tenths later") }

// db draws decibels, to the tenth, and never a round number.
func (d *drawn) db(from, to int, label string) float64 {
	return float64(d.some(10*from, 10*to, label))/10 + 0.017
}

// scene is what a rule ought to have a word on, if it comes out so.
type scene struct {
	rule string
	play func(d *drawn)
}

// scenes has one for every rule; those of two climbs are the last, and of them there is one
// at most.
var scenes = []scene{
	{"muted-voice", func(d *drawn) {
		d.at(d.when(), "reader speaks %g over %ds", d.db(-28, -20, "level"), d.some(2, 9, "seconds"))
	}},
	{"stray-cue", func(d *drawn) {
		at := d.when()
		d.at(at, "click mute 0")
		d.at(at+100*d.some(5, 60, "open for"), "click mute 1")
	}},
	{"hot-input", func(d *drawn) {
		d.at(0, "cajon peak -9")
		at := d.when()
		for range d.some(1, 3, "peaks") {
			d.at(at, "cajon peak %g", d.db(-5, 0, "peak"))
			d.at(at+100, "cajon peak -9")
			at += 100 * d.some(8, 60, "until the next")
		}
	}},
	{"hot-main", func(d *drawn) {
		d.at(0, "main peak -8")
		at := d.when()
		d.at(at, "main peak %g", d.db(-3, 0, "peak"))
		d.at(at+100, "main peak -8")
	}},
	{"quiet-main", func(d *drawn) {
		at := d.when()
		d.at(at, "main level -90")
		d.at(at+100*d.some(25, 90, "for"), "main level -24")
	}},
	{"solo-raise", func(d *drawn) {
		at := d.when()
		d.at(at, "viola solo 1")
		d.at(at+1000, "viola fader %g", -14.71+d.db(1, 5, "up"))
		d.at(at+1000+100*d.some(5, 80, "alone for"), "viola solo 0")
	}},
	{"open-mics", func(d *drawn) {
		for _, who := range []string{"left", "middle", "right"} {
			d.at(d.when(), "%s mute 0", who)
		}
	}},
	{"squeezed-group", func(d *drawn) {
		at := d.when()
		d.at(0, "strings reduction 1")
		d.at(at, "strings reduction %g", d.db(2, 9, "reduction"))
		d.at(at+1000*d.some(10, 45, "for"), "strings reduction 1")
	}},
	{"squeezed-input", func(d *drawn) {
		at := d.when()
		d.at(at, "bass reduction %g", d.db(9, 16, "reduction"))
		d.at(at+1000*d.some(10, 45, "for"), "bass reduction 3")
	}},
	{"main-down", func(d *drawn) {
		at := d.when()
		d.at(at, "main fader %g over 1s", -d.db(1, 8, "down"))
		d.at(at+1000*d.some(10, 25, "for"), "main fader 0 over 1s")
	}},
	{"room-loud", func(d *drawn) {
		at := d.when()
		d.at(at, "room level %g", d.db(115, 124, "level"))
		d.at(at+1000*d.some(3, 20, "for"), "room level 70")
	}},
	{"lead-behind", func(d *drawn) {
		at := d.when()
		d.at(at, "lead fader %g", -4.13-d.db(3, 9, "down"))
		d.at(at+1000*d.some(8, 25, "for"), "lead fader -4.13")
	}},
	{"harmony-forward", func(d *drawn) {
		at, long := d.when(), 1000*d.some(4, 25, "for")
		for _, who := range []string{"high", "low"} {
			d.at(at, "%s level %g", who, d.db(-28, -18, "level"))
			d.at(at+long, "%s level -75", who)
		}
	}},
	{"fill-over-lead", func(d *drawn) {
		at := d.when()
		d.at(at, "fiddle level %g", d.db(-31, -19, "level"))
		d.at(at+1000*d.some(18, 35, "for"), "fiddle level -75")
	}},
	{"second-over-first", func(d *drawn) {
		at := d.when()
		d.at(at, "mandolin level %g", d.db(-28, -16, "level"))
		d.at(at+1000*d.some(12, 30, "for"), "mandolin level -75")
	}},
	{"crowded", func(d *drawn) {
		at, long := d.when(), 1000*d.some(25, 45, "for")
		for _, who := range []string{"accordion", "mandolin", "fiddle"} {
			d.at(at, "%s level %g", who, d.db(-30, -27, "level"))
			d.at(at+long, "%s level -75", who)
		}
	}},
	{"speech-remark", func(d *drawn) {
		at := 70000 + 100*d.some(0, 50, "tenths later")
		for _, who := range []string{"bass", "cajon", "organ", "piano", "viola", "lead"} {
			d.at(at, "%s level -75", who)
		}
		d.at(at, "press segment speech")
		d.at(at, "reader mute 0")
		d.at(at+1000, "reader speaks -20 over 20s")
		d.at(at+1000, "piano speaks %g over 20s as reader", d.db(-40, -30, "piano hears"))
	}},
	{"words-covered", func(d *drawn) {
		at := 70000 + 100*d.some(0, 50, "tenths later")
		for _, who := range []string{"bass", "cajon", "organ", "piano", "viola", "lead"} {
			d.at(at, "%s level -75", who)
		}
		d.at(at, "press segment speech")
		d.at(at, "reader mute 0")
		d.at(at+1000, "reader speaks -20 over 26s")
		for _, who := range []string{"accordion", "mandolin"} {
			d.at(at+10000+100*d.some(0, 20, "tenths later"), "%s level %g", who, d.db(-24, -12, "level"))
		}
	}},
	{"ratchet", func(d *drawn) {
		at := d.when()
		stands := map[string]float64{}
		for range d.some(4, 12, "raises") {
			who := rapid.SampledFrom([]string{"piano", "organ", "bass", "cajon"}).Draw(d.T, "who")
			stands[who] += d.db(1, 3, "up")
			d.at(at, "%s fader %g", who, standingAt[who]+stands[who])
			at += 100 * d.some(10, 70, "until the next")
		}
	}},
	{"creep", func(d *drawn) {
		long := float64(d.some(34, 46, "seconds"))
		for i, who := range []string{"piano", "organ", "bass", "cajon"} { // too slow for a move, and no two as fast
			d.at(22000, "%s fader %g over %gs", who, standingAt[who]+(0.18-0.008*float64(i))*long, long)
		}
	}},
}

// anyEvening draws a minute and a half of that band, of which some goes on for long enough
// and some does not, at the same time or apart; and now and then somebody plays louder, rests, is moved
// or muted. Left out is what those rules would speak of.
func anyEvening(t *rapid.T, without ...string) Script {
	d := &drawn{T: t, end: 85000}
	climbs := 0
	for _, s := range scenes {
		climb := s.rule == "ratchet" || s.rule == "creep"
		if slices.Contains(without, s.rule) || climb && climbs > 0 || !rapid.Bool().Draw(t, s.rule) {
			continue
		}
		s.play(d)
		if climb {
			climbs++
		}
	}
	for range d.some(0, 4, "besides") {
		who := rapid.SampledFrom([]string{"bass", "cajon", "organ", "piano", "viola", "lead", "high"}).Draw(t, "who")
		switch at := 1000 * d.some(15, 80, "at"); d.some(0, 3, "what") {
		case 0:
			d.at(at, "%s mute 1", who)
			d.at(at+1000*d.some(1, 20, "for"), "%s mute 0", who)
		case 1:
			d.at(at, "band fader %g", d.db(-5, 5, "to"))
		case 2:
			d.at(at, "%s level -100", who)
		default:
			d.at(at, "%s level %g", who, d.db(-28, -14, "level"))
		}
	}
	slices.SortStableFunc(d.lines, func(a, b drawnLine) int { return cmp.Compare(a.at, b.at) })
	var text strings.Builder
	text.WriteString(stage)
	for _, l := range d.lines {
		fmt.Fprintf(&text, "%dms %s\n", l.at, l.text)
	}
	fmt.Fprintf(&text, "%dms end", d.end+8000)
	s := ScriptOf(&testing.T{}, "service", text.String())
	s.Limits.Crowded.For, s.Limits.OpenMics.Rest = 20*time.Second, 15*time.Second
	s.Limits.RoomLoud.Calibrated = "beside a meter"
	return s
}
