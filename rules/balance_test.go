package rules

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"pawl/rules/desk"
)

// song is a small band with two singers beside the lead, which all play alike and
// have stood for twenty seconds. The fill, the second rhythm and the second pad are silent.
const song = `
dca band
dca voices
input bass foundation
input organ pad dca=band
input piano rhythm dca=band
input mandolin rhythm dca=band
input fiddle fill dca=band
input lead lead voice dca=voices
input high none voice dca=voices
input low none voice dca=voices
input reader none voice
input accordion pad dca=band
0s bass fader -10
0s organ fader -14
0s piano fader -10
0s mandolin fader -10
0s fiddle fader -10
0s lead fader -4
0s high fader -10
0s low fader -10
0s reader fader -10
0s accordion fader -14
0s band fader 0
0s voices fader 0
0s bass level -20
0s organ level -20
0s piano level -20
0s mandolin level -70
0s fiddle level -70
0s lead level -20
0s high level -70
0s low level -70
0s reader level -70
0s accordion level -70
`

// stop has all who play and sing in the song stop.
const stop = `
20s bass level -70
20s organ level -70
20s piano level -70
20s lead level -70`

// talk is somebody at the reader's microphone from one second to another, and whose others
// hear it, 13 dB below.
func talk(from, to int, heard ...string) string { return phrased("reader", from, to, heard...) }

// phrased is one who goes up and down from one second to another, and who hears it, 13 dB below.
func phrased(who string, from, to int, heard ...string) string {
	var s strings.Builder
	for n := range (to - from) * 4 {
		at, level := float64(from)+float64(n)/4, -20+6*math.Sin(float64(n)*1.7)+3*math.Sin(float64(n)*0.6)
		fmt.Fprintf(&s, "\n%gs %s level %.1f", at, who, level)
		for _, hears := range heard {
			fmt.Fprintf(&s, "\n%gs %s level %.1f", at, hears, level-13)
		}
	}
	return s.String()
}

// lives is what is said, with its time to the second: "26s open harmony-forward".
func lives(said []*Finding) string {
	var w []string
	for _, f := range said {
		w = append(w, fmt.Sprintf("%v %s %s", time.Duration(f.T).Truncate(time.Second), f.State, f.Rule))
	}
	return strings.Join(w, ", ")
}

func TestWhoCoversWhom(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"two harmonies, each below the lead, together over it", `
			20s high level -16.9
			20s low level -16.9
			50s end`, "29s open harmony-forward"},
		{"and 1 dB below it", `
			20s high level -18
			20s low level -18
			50s end`, ""},
		{"until they stop", `
			20s high level -10
			30s high level -inf
			45s end`, "27s open harmony-forward, 34s eased harmony-forward"},
		{"by a hand that lowers the lead in the same movement: the tune is theirs", `
			20s high level -16
			30s high fader -7 over 2s
			31s lead fader -7 over 2s
			80s end`, ""},
		{"until the lead is brought back", `
			20s high level -16
			30s high fader -7 over 2s
			31s lead fader -7 over 2s
			60s lead fader -6 over 1s
			80s end`, "1m9s open harmony-forward"},
		{"by a hand that lowers the lead a while after", `
			20s high level -16
			30s high fader -7 over 2s
			36s lead fader -7 over 2s
			80s end`, "38s open harmony-forward"},
		{"and another harmony over both", `
			20s high level -16
			30s high fader -7 over 2s
			31s lead fader -7 over 2s
			40s low level -4
			80s end`, "46s open harmony-forward"},
		{"for five seconds only", `
			20s high level -10
			25s high level -70
			50s end`, ""},
		{"a voice that does not belong with the lead", `
			20s reader level -5
			50s end`, ""},
		{"in applause, which every voice's microphone hears from the same moment on", `
			20s lead level -70
			40s lead level -30
			40s high level -28
			40s low level -28
			40s reader level -31
			60s end`, ""},
		{"in a chorus that all begin at once, beside a microphone where nobody is", `
			20s lead level -70
			40s lead level -20
			40s high level -15
			40s low level -15
			60s end`, "47s open harmony-forward"},
		{"while the lead rests", `
			20s lead level -70
			21s high level -5
			60s end`, ""},
		{"still there when the lead has rested: nobody says it a second time", `
			20s high level -10
			40s lead level -70
			90s end`, "27s open harmony-forward, 1m0s eased harmony-forward"},
		{"a fill as loud as the lead", `
			20s fiddle level -13.9
			50s end`, "40s open fill-over-lead"},
		{"one that is half as loud, for two lines", `
			20s fiddle level -16
			45s fiddle level -70
			60s end`, ""},
		{"and line after line", `
			20s fiddle level -16
			60s end`, "48s open fill-over-lead"},
		{"and with a third of it, which goes along under the lead", `
			20s fiddle level -18.7
			90s end`, ""},
		{"and one that is over it, with two soft seconds 6 dB below", `
			20s fiddle level -12
			31s fiddle level -19.9
			33s fiddle level -12
			50s end`, "40s open fill-over-lead"},
		{"for two seconds, far over it", `
			20s fiddle level -10
			22s fiddle level -70
			50s end`, ""},
		{"through two lines, and a gap before the third", `
			20s fiddle level -10
			37s fiddle level -70
			39s fiddle level -10
			56s end`, ""},
		{"a fill that nobody hears", `
			20s fiddle fader -inf
			20s fiddle level -5
			40s end`, ""},
		{"all five at once and two to most, for two minutes", `
			20s mandolin level -24
			20s accordion level -24
			20s fiddle level -24
			150s end`, "2m23s open crowded"},
		{"and with one to a part", `
			20s fiddle level -24
			170s end`, ""},
		{"and with a second pad alone", `
			20s accordion level -24
			20s fiddle level -24
			170s end`, ""},
		{"and with a second pad that only answers", `
			20s mandolin level -24
			20s fiddle level -24
			30s accordion level -24
			32s accordion level -70
			100s accordion level -24
			102s accordion level -70
			170s end`, ""},
		{"and with a rest of a phrase and a bit", `
			20s mandolin level -24
			20s accordion level -24
			20s fiddle level -24
			90s fiddle level -70
			99s fiddle level -24
			170s end`, ""},
		{"and five of which one is too far down to be heard", `
			20s mandolin level -24
			20s accordion level -24
			20s fiddle fader -40
			20s fiddle level -24
			170s end`, ""},
		{"the second 3 dB over the first", `
			20s mandolin level -16.9
			50s end`, "33s open second-over-first"},
		{"and 2 dB over it", `
			20s mandolin level -18
			50s end`, ""},
		{"while the first pauses", `
			20s mandolin level -10
			25s piano level -70
			60s end`, ""},
		{"the lead 5 dB softer", `
			20s lead level -25
			50s end`, "32s open lead-behind"},
		{"and 3.5 dB softer", `
			20s lead level -23.5
			50s end`, ""},
		{"everybody 10 dB softer", `
			20s lead level -30
			20s bass level -30
			20s piano level -30
			20s organ level -30
			50s end`, ""},
		{"the lead 5 dB softer for nine seconds", `
			20s lead level -25
			29s lead level -20
			50s end`, ""},
		{"the whole turned down", `
			20s main fader 0
			25s main fader -10 over 1s
			50s end`, "36s open main-down"}, // which takes nothing from a balance
		{"three join, which takes nothing from a balance", `
			20s mandolin level -18
			25s high level -24
			25s low level -24
			60s end`, ""},
		{"a pad that comes in, whose microphone has heard the piano until then", phrased("piano", 20, 60, "accordion") + `
			60s piano level -20
			60s accordion level -8
			110s end`, ""},
		{"and one that comes in softly, and goes up by 10 dB when it has played for a while", phrased("piano", 20, 60, "accordion") + `
			60s piano level -20
			60s accordion level -18
			80s accordion level -8
			110s end`, "1m32s open lead-behind"},
		{"worse by 2 dB: said again", `
			20s lead level -25
			50s lead level -28
			80s end`, "32s open lead-behind, 57s grew lead-behind"},
		{"who was only a room in a microphone did not play at the mark", `
			0s accordion level -45
			30s accordion level -7
			60s end`, ""},
		{"and who played did, however softly", `
			0s accordion level -29
			30s accordion level -7
			60s end`, "41s open lead-behind"},
		{"a mark set by hand is measured from at once", `
			20s lead level -26
			31s press mark
			60s end`, ""},
		{"a scene is another mix", `
			20s scene number 4
			20s lead level -26
			60s end`, ""},
		{"a lead that is lowered while another has the tune alone comes in under it", `
			20s lead level -70
			22s high level -14
			34s lead fader -12
			38s lead level -20
			70s end`, ""},
		{"until the hand brings it up again", `
			20s lead level -70
			22s high level -14
			34s lead fader -12
			38s lead level -20
			56s lead fader -11
			80s end`, "1m4s open harmony-forward, 1m6s open lead-behind"},
		{"and not where the other has just begun", `
			20s lead level -70
			30s high level -14
			34s lead fader -12
			38s lead level -20
			70s end`, "45s open harmony-forward, 49s open lead-behind"},
		{"in speech nothing of that is said", `
			20s press segment speech
			21s high level -5
			21s lead level -26
			21s mandolin level -5
			60s end`, ""},
		{"but of instruments that hear who speaks", `
			20s lead level -70
			20s press segment speech` + talk(20, 60, "fiddle", "mandolin") + `
			61s end`, "33s open speech-remark"},
		{"and not of those that hear no more than little of it", `
			20s lead level -70
			20s fiddle fader -20
			20s press segment speech` + talk(20, 60, "fiddle") + `
			61s end`, ""},
		{"nor in a segment of which nobody said the kind is anything of speech", `
			20s lead level -70
			20s press segment` + talk(20, 60, "fiddle", "mandolin") + `
			61s end`, ""},
		{"nor of who played before the words, and goes on under them", `
			15s fiddle level -32` + stop + talk(20, 60) + `
			60s end`, ""},
		{"but of who begins after the first word, though it is heard later that these are words", stop + talk(20, 24) + `
			24s fiddle level -32` + talk(24, 60) + `
			60s end`, "41s open speech-remark"},
		{"of one who follows nobody also when near", stop + talk(20, 34) + `
			34s fiddle level -23` + talk(34, 70) + `
			70s end`, "44s open speech-remark"},
		{"but not when as loud as the words", stop + talk(20, 34) + `
			34s fiddle level -18` + talk(34, 70) + `
			70s end`, ""},
		{"nor of a fiddle over a bass", stop + talk(20, 34) + `
			34s bass level -23
			34s fiddle level -23` + talk(34, 70) + `
			70s end`, ""},
		{"but of a fiddle and a pad that begin behind the words at once", stop + talk(20, 34) + `
			34s organ level -22
			34s fiddle level -24` + talk(34, 70) + `
			70s end`, "44s open speech-remark"},
		{"and of a pad that begins within a line of the fiddle", stop + talk(20, 34) + `
			34s fiddle level -24` + talk(34, 38) + `
			38s organ level -22` + talk(38, 70) + `
			70s end`, "44s open speech-remark"},
		{"not of one that comes later, and carries them", stop + talk(20, 34) + `
			34s fiddle level -24` + talk(34, 43) + `
			43s organ level -22` + talk(43, 70) + `
			70s end`, ""},
		{"nor of a fiddle and the piano, which it follows", stop + talk(20, 34) + `
			34s piano level -22
			34s fiddle level -24` + talk(34, 70) + `
			70s end`, ""},
		{"nor of a fiddle that comes to a pad", stop + talk(20, 34) + `
			34s organ level -22` + talk(34, 38) + `
			38s fiddle level -24` + talk(38, 70) + `
			70s end`, ""},
		{"nor of a pad alone", stop + talk(20, 34) + `
			34s organ level -22` + talk(34, 70) + `
			70s end`, ""},
		{"nor where a hand sets the pad for it", stop + talk(20, 30) + `
			30s organ fader -15 over 1s` + talk(31, 34) + `
			34s organ level -21
			34s fiddle level -24` + talk(34, 70) + `
			70s end`, ""},
		{"nor where it does so by what leads the pad", stop + talk(20, 30) + `
			30s band fader -4 over 1s` + talk(31, 34) + `
			34s organ level -18
			34s fiddle level -20` + talk(34, 70) + `
			70s end`, ""},
		{"nor of both where the pad has carried the words before", stop + talk(20, 30) + `
			30s organ level -22` + talk(30, 40) + `
			40s organ level -70` + talk(40, 48) + `
			48s organ level -22
			48s fiddle level -24` + talk(48, 90) + `
			90s end`, ""},
		{"nor what was counted of other words in a part that somebody named", `
			19s press segment music` + stop + talk(20, 40, "fiddle", "mandolin") + `
			40s reader level -70
			40s fiddle level -70
			40s mandolin level -70
			40s organ level -20
			40s piano level -20
			60s organ level -70
			60s piano level -70` + talk(60, 75) + `
			80s end`, ""},
		{"who begins behind words and is louder covers them", stop + talk(20, 40) + `
			40s organ level -11
			40s piano level -14` + talk(40, 70) + `
			70s end`, "50s open words-covered"},
		{"until the hand has brought them down", stop + talk(20, 40) + `
			40s organ level -11
			40s piano level -14` + talk(40, 60) + `
			60s band fader -10 over 1s` + talk(61, 70) + `
			70s end`, "50s open words-covered, 1m4s eased words-covered"},
		{"not by the last words, for the first bars", stop + talk(20, 40) + `
			40s organ level -11
			40s piano level -14` + talk(40, 49) + `
			49s reader level -70
			70s end`, ""},
		{"nor who began before them", stop + `
			25s organ level -11
			25s piano level -14` + talk(26, 70) + `
			70s end`, ""},
		{"nor those whom a lead joins", stop + talk(20, 40) + `
			40s organ level -11
			40s piano level -14` + talk(40, 44) + `
			44s lead level -16` + talk(44, 70) + `
			70s end`, ""},
		{"nor where somebody says that it is a song", stop + talk(20, 40) + `
			40s organ level -11
			40s piano level -14` + talk(40, 45) + `
			45s press segment music` + talk(45, 70) + `
			70s end`, ""},
		{"in each speech segment once", `
			20s lead level -70
			20s press segment speech` + talk(20, 39, "fiddle") + `
			40s fiddle mute 1
			41s fiddle mute 0` + talk(42, 59, "fiddle") + `
			60s press segment speech` + talk(60, 90, "fiddle") + `
			91s end`, "33s open speech-remark, 40s eased speech-remark, 1m10s open speech-remark"},
	} {
		t.Run(c.name, func(t *testing.T) {
			said, _ := serve(t, song+c.text)
			for _, f := range said {
				for _, p := range append(slices.Clone(f.What), f.Try, f.Then) {
					for _, g := range p.Figures {
						if math.IsInf(g.Value, 0) || math.IsNaN(g.Value) {
							t.Errorf("%s says that %s is %v", p.ID, g.Name, g.Value)
						}
					}
				}
			}
			if got := lives(said); got != c.want {
				t.Errorf("got  %q\nwant %q", got, c.want)
			}
		})
	}
}

// TestAFullHouseIsNoFirst: under a recording every microphone hears the people who come in, the
// mandolin's 4 dB more of them than the drum's. Who plays as softly is the first all the same.
func TestAFullHouseIsNoFirst(t *testing.T) {
	const players = `
input mandolin rhythm mic
input harp fill mic
input viola pad mic
input recording none
input lead lead voice
0s drum fader -10
0s mandolin fader -10
0s harp fader -20
0s viola fader -20
0s lead fader -10
0s recording fader -10
0s recording level -20
0s lead level -70
0s drum level -44
0s harp level -44
0s viola level -44
0s mandolin level -44
`
	const readers = `
input high none voice
input reader none voice
0s high fader -10
0s reader mute 1
`
	const louder = "\n15s mandolin level -40"
	const mic, line = "\ninput drum rhythm mic", "\ninput drum rhythm"
	for _, c := range []struct{ name, drum, text, want string }{
		{"every voice's microphone hears them, open or muted", mic, readers + `
			0s lead level -44
			0s high level -44
			0s reader level -44` + louder, ""},
		{"a drum on a line hears nobody", line, readers + `
			0s lead level -44
			0s high level -44
			0s reader level -44` + louder, "27s open second-over-first"},
		{"no voice's does", mic, readers + louder, "27s open second-over-first"},
		{"drum and mandolin stand out of what they hear", mic, readers + `
			0s lead level -44
			0s high level -44
			0s reader level -44
			0s drum level -36
			0s mandolin level -36
			15s mandolin level -32`, "27s open second-over-first"},
		{"the one voice there is sings far over all of them", mic, `
			0s recording level -70
			0s lead level -15` + louder, "27s open second-over-first"},
	} {
		heard, _ := serve(t, c.drum+players+c.text+"\n45s end")
		if got := lives(of(heard, "second-over-first")); got != c.want {
			t.Errorf("%s: got %q, want %q", c.name, got, c.want)
		}
	}
}

// TestWhoBelongsWithTheLead: a DCA or a group that holds both says so; where nothing
// holds either, a voice without an element is taken for a harmony.
func TestWhoBelongsWithTheLead(t *testing.T) {
	for _, c := range []struct {
		name, lead, other string
		want              bool
	}{
		{"one DCA", "lead voice dca=voices", "none voice dca=voices", true},
		{"one group", "lead voice group=choir", "none voice group=choir", true},
		{"a group, beside another DCA", "lead voice dca=voices group=choir", "none voice dca=band group=choir", true},
		{"nothing at all", "lead voice", "none voice", true},
		{"one alone in a DCA", "lead voice dca=voices", "none voice", false},
		{"the other alone in a DCA", "lead voice", "none voice dca=voices", false},
		{"two DCAs", "lead voice dca=voices", "none voice dca=band", false},
		{"an instrument", "lead voice dca=voices", "none dca=voices", false},
		{"a voice that plays an element", "lead voice dca=voices", "fill voice dca=voices", false},
	} {
		_, j := serve(t, "dca band\ndca voices\ngroup choir\ninput one "+c.lead+"\ninput two "+c.other+"\n0s one fader 0\n1s end")
		if v := j.view(); isHarmony(&v, 1, 0) != c.want {
			t.Errorf("%s: %v, want %v", c.name, !c.want, c.want)
		}
	}
}

// TestASegmentMayTurnItRound: what an input plays in a segment, and which rhythm is the
// first there, is the segment's to say.
func TestASegmentMayTurnItRound(t *testing.T) {
	mandolin := 3
	for _, c := range []struct {
		name    string
		segment desk.Segment
		text    string
		want    string
	}{
		{"the mandolin is the first", desk.Segment{Number: 1, Primary: &mandolin},
			"0s mandolin level -20\n20s piano level -15\n40s end", "31s open second-over-first"},
		{"the piano plays the tune", desk.Segment{Number: 1, Elements: map[int]desk.Element{2: desk.Lead, 5: desk.NoElement}},
			"20s lead level -70\n25s fiddle level -20\n60s end", "45s open fill-over-lead"},
		{"the fiddle plays a pad", desk.Segment{Number: 1, Elements: map[int]desk.Element{4: desk.Pad}},
			"20s fiddle level -15\n40s end", ""},
	} {
		s := ScriptOf(t, "service", song+c.text)
		j := newJudge(s.Roster)
		j.segments.now = c.segment
		s.Play(j)
		if got := lives(said(j)); got != c.want {
			t.Errorf("%s: got %q, want %q", c.name, got, c.want)
		}
	}
}
