package rules

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"pawl/rules/desk"
)

// hall is a band of four with a lead, two harmonies, two who speak, a room microphone
// and a click, all open and none of them heard yet.
func hall() desk.Roster {
	r := desk.Roster{DCAs: []string{"voices"}}
	for _, in := range []desk.Input{
		{Name: "bass", Element: desk.Foundation}, {Name: "piano", Element: desk.Rhythm}, {Name: "fiddle", Element: desk.Fill}, {Name: "organ", Element: desk.Pad},
		{Name: "lead", Element: desk.Lead, Voice: true, DCAs: []int{0}}, {Name: "high", Voice: true, DCAs: []int{0}}, {Name: "low", Voice: true, DCAs: []int{0}},
		{Name: "reader", Voice: true}, {Name: "host", Voice: true}, {Name: "room"}, {Name: "click", Cue: true},
	} {
		in.Main = true
		r.Inputs = append(r.Inputs, in)
	}
	return r
}

// hallOrder is a running order for it, its second song recalled as scene 7.
func hallOrder() desk.Order {
	fiddle, seven := 2, 7
	return desk.Order{
		{Name: "opening song", Kind: desk.Music}, {Name: "welcome", Kind: desk.Speech},
		{Name: "reel", Kind: desk.Music, Primary: &fiddle, Elements: map[int]desk.Element{2: desk.Lead, 4: desk.NoElement}, Scene: &seven},
		{Name: "silence", Kind: desk.Quiet},
	}
}

// partsOf plays lines of `TIME plays NAME,…`, `TIME scene N`, `TIME KIND[:NAME]` for a tap,
// `TIME next`, `TIME back` and `TIME end`, and gives the segments that were said.
func partsOf(t *testing.T, j *Judge, r desk.Roster, lines string) string {
	t.Helper()
	var out []string
	for _, line := range strings.Split(strings.TrimSpace(lines), "\n") {
		w := strings.Fields(line)
		at, err := time.ParseDuration(w[0])
		if err != nil {
			t.Fatal(err)
		}
		for next := j.at + time.Second; next <= at; next += time.Second {
			j.Alive(next)
		}
		j.Advance(at)
		rest := strings.Join(w[2:], " ")
		switch w[1] {
		case "plays":
			for i, in := range r.Inputs {
				level := -80.
				if strings.Contains(","+rest+",", ","+in.Name+",") {
					level = -20
				}
				j.Hear(desk.Reading{At: at, Signal: desk.InputFader, Index: i, Value: -5})
				j.Hear(desk.Reading{At: at, Signal: desk.InputLevel, Index: i, Value: level})
			}
		case "scene":
			var n float64
			fmt.Sscan(rest, &n)
			j.Hear(desk.Reading{At: at, Signal: desk.SceneNumber, Value: n})
		case "next", "back", "segment":
			p := Press{Do: NewSegment, Next: w[1] == "next"}
			if w[1] == "back" {
				p.Do = Back
			}
			kind, name, _ := strings.Cut(rest, ":")
			p.Kind, p.Text = desk.SegmentKind(kind), name
			if err := j.Press(p); err != nil {
				out = append(out, fmt.Sprintf("%v refused: %v", at, err))
			}
		case "end":
		default:
			t.Fatalf("%q is no such line", line)
		}
		for _, p := range only[*Parted](j.Take(nil)) {
			out = append(out, fmt.Sprintf("%v %d %s %s %s", time.Duration(p.T).Round(time.Second), p.Number, p.How, p.Kind, p.Name))
		}
	}
	for i := range out {
		out[i] = strings.TrimSpace(out[i])
	}
	return strings.Join(out, "; ")
}

func TestSegmentsByThemselves(t *testing.T) {
	for _, c := range []struct{ name, lines, want string }{
		{"a band", "0s plays bass,piano,lead\n9m end", "5s 1 heard music"},
		{"a talker, then a band, then nothing", "0s plays reader\n1m plays bass,piano\n2m plays\n3m end", "8s 1 heard speech; 1m5s 2 heard music; 2m13s 3 heard quiet"},
		{"the lead speaks after a song", "0s plays bass,piano,lead\n1m plays lead\n2m end", "5s 1 heard music; 1m11s 2 heard speech"},
		{"two talk", "0s plays bass,piano\n1m plays reader,host\n2m end", "5s 1 heard music; 1m10s 2 heard speech"},
		{"two sing without the band", "0s plays bass,piano,lead,high\n1m plays lead,high\n2m plays high,low\n3m end", "5s 1 heard music"},
		{"a line sung alone", "0s plays bass,piano,lead\n1m plays lead\n1m7s plays bass,piano,lead\n2m end", "5s 1 heard music"},
		{"a piano alone under a prayer", "0s plays bass,piano,lead\n1m plays piano,reader\n2m plays piano\n3m end", "5s 1 heard music"},
		{"the same after speech", "0s plays reader\n1m plays piano,reader\n3m end", "8s 1 heard speech"},
		{"a room microphone beside a talker", "0s plays reader,room\n1m end", "8s 1 heard speech"},
		{"a click alone", "0s plays click\n1m end", "10s 1 heard quiet"},
		{"a piano after quiet", "0s plays\n1m plays piano\n2m end", "10s 1 heard quiet; 1m8s 2 heard music"},
		{"a talker with pauses of four seconds", "0s plays\n30s plays reader\n34s plays\n38s plays reader\n42s plays\n1m10s end", "10s 1 heard quiet; 38s 2 heard speech; 55s 3 heard quiet"},
		{"one note of a second instrument", "0s plays reader\n30s plays reader,piano,bass\n31s plays reader\n1m end", "8s 1 heard speech"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := hall()
			if got := partsOf(t, NewJudge(r, DefaultLimits(), Options{Stale: 5 * time.Second}), r, c.lines); got != c.want {
				t.Errorf("got  %s\nwant %s", got, c.want)
			}
		})
	}
}

// TestWhoPlaysBehindWords: players who begin behind a speaker, with a pad among them, are no music; who played before
// the words is, and whoever comes to a pad that carries them.
func TestWhoPlaysBehindWords(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"who try a song while somebody speaks", stop + talk(20, 34) + `
			34s organ level -22
			34s fiddle level -24` + talk(34, 70), "5s music, 31s speech"},
		{"a fiddle that comes to a pad, and goes on when the speaker has paused", stop + talk(20, 34) + `
			34s organ level -22` + talk(34, 40) + `
			40s fiddle level -24` + talk(40, 42) + `
			42s reader level -70
			48s reader level -14`, "5s music, 31s speech, 47s music"},
		{"who played before the words, softly, and swell", `
			18s organ level -32
			18s fiddle level -36` + stop + `
			20s organ level -32` + talk(20, 40) + `
			40s organ level -18
			40s fiddle level -20` + talk(40, 70), "5s music, 31s speech, 45s music"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := ScriptOf(t, "service", song+c.text+"\n70s end")
			j := newJudge(s.Roster)
			s.Play(j)
			var out []string
			for _, p := range only[*Parted](j.Take(nil)) {
				out = append(out, fmt.Sprintf("%v %s", time.Duration(p.T).Truncate(time.Second), p.Kind))
			}
			if got := strings.Join(out, ", "); got != c.want {
				t.Errorf("got  %s\nwant %s", got, c.want)
			}
		})
	}
}

func TestSegmentsOfAnOrder(t *testing.T) {
	for _, c := range []struct{ name, lines, want string }{
		{"one after another", "0s plays bass,piano\n10s next\n20s next\n30s next\n40s next\n50s next",
			"5s 1 heard music; 10s 2 tap music opening song; 20s 3 tap speech welcome; 30s 4 tap music reel; 40s 5 tap quiet silence; 50s refused: refused.no-next"},
		{"by name, in any case, and on from there", "0s plays\n1s segment :Welcome\n2s next", "1s 2 tap speech welcome; 2s 3 tap music reel"},
		{"by name, of another kind", "0s plays\n1s segment music:welcome\n5s end", "1s 2 tap music welcome"},
		{"a name that is not in it", "0s plays bass,piano\n10s segment speech:notices\n12s next", "5s 1 heard music; 10s 2 tap speech notices; 12s 3 tap music opening song"},
		{"a song that still fades is no news", "0s plays bass,piano\n1m segment :welcome\n1m20s plays reader\n2m end", "5s 1 heard music; 1m0s 2 tap speech welcome"},
		{"what begins after the tap is", "0s plays reader\n1m segment :opening song\n1m2s plays bass,piano\n2m plays reader\n2m30s plays bass,piano\n3m end",
			"8s 1 heard speech; 1m0s 2 tap music opening song; 2m10s 2 heard speech opening song; 2m35s 2 heard music opening song"},
		{"a part that is over", "0s plays bass,piano\n1m next\n2m plays reader\n6m end",
			"5s 1 heard music; 1m0s 2 tap music opening song; 2m10s 2 heard speech opening song; 4m2s 3 heard speech"},
		{"a tap that was wrong", "0s plays bass,piano\n1m segment speech:notices\n5m end", "5s 1 heard music; 1m0s 2 tap speech notices; 3m0s 3 heard music"},
		{"a song of piano and voice is not over", "0s plays reader\n1m next\n1m5s plays piano,lead\n9m end", "8s 1 heard speech; 1m0s 2 tap music opening song"},
		{"by scene", "0s plays bass,piano\n10s scene 3\n20s scene 7\n30s scene 7\n40s next", "5s 1 heard music; 20s 2 scene music reel; 40s 3 tap quiet silence"},
		{"a scene soon after a tap", "0s plays bass,piano\n20s segment :welcome\n25s scene 7\n40s scene 3\n50s scene 7\n1m end",
			"5s 1 heard music; 20s 2 tap speech welcome; 50s 3 scene music reel"},
		{"the scene of the part that it is", "0s plays bass,piano\n20s segment :reel\n50s scene 7\n1m end", "5s 1 heard music; 20s 2 tap music reel"},
		{"taken back", "0s plays bass,piano\n20s next\n25s next\n30s back\n31s back\n35s next",
			"5s 1 heard music; 20s 2 tap music opening song; 25s 3 tap speech welcome; 30s 2 back music opening song; 31s refused: refused.no-tap; 35s 4 tap speech welcome"},
		{"taken back too late", "0s plays bass,piano\n20s next\n1m21s back", "5s 1 heard music; 20s 2 tap music opening song; 1m21s refused: refused.no-tap"},
		{"taken back once a scene has come", "0s plays bass,piano\n20s next\n40s scene 7\n45s back",
			"5s 1 heard music; 20s 2 tap music opening song; 40s 3 scene music reel; 45s refused: refused.no-tap"},
		{"taken back while somebody begins to speak", "0s plays bass,piano\n1m plays reader\n1m6s next\n1m7s back\n2m end",
			"5s 1 heard music; 1m6s 2 tap music opening song; 1m7s 1 back music; 1m10s 3 heard speech"},
		{"a name alone is kept, whatever is heard", "0s plays bass,piano\n20s segment :notices\n1m plays reader\n9m end",
			"5s 1 heard music; 20s 2 tap music notices; 1m10s 2 heard speech notices"},
		{"no kind is what is heard", "0s plays bass,piano\n20s segment\n1m plays reader\n2m end", "5s 1 heard music; 20s 2 tap music; 1m10s 3 heard speech"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := hall()
			if got := partsOf(t, NewJudge(r, DefaultLimits(), Options{Stale: 5 * time.Second, Order: hallOrder()}), r, c.lines); got != c.want {
				t.Errorf("got  %s\nwant %s", got, c.want)
			}
		})
	}
}

func TestNoOrder(t *testing.T) {
	j := newJudge(hall())
	if err := j.Press(Press{Do: NewSegment, Next: true}); err != ErrNoOrder {
		t.Errorf("%v, want the next of no order refused", err)
	}
	if got := only[*Pressed](j.Take(nil)); len(got) != 0 {
		t.Errorf("%+v, want no trace of what was refused", got)
	}
}

// TestWhatIsNotMeteredIsNotHeard: an open input without a meter may be playing, or not.
func TestWhatIsNotMeteredIsNotHeard(t *testing.T) {
	for _, c := range []struct {
		name    string
		fader   float64
		metered string // and silent, but for the reader
		want    desk.SegmentKind
	}{
		{"no meters", -5, "", desk.AnyKind},
		{"no meters and nothing open", math.Inf(-1), "", desk.AnyKind},
		{"a band that may be playing", -5, "lead,high,low,reader,host,room", desk.AnyKind},
		{"a voice that may be singing", -5, "bass,piano,fiddle,organ,high,low,host,room", desk.AnyKind},
		{"a click that may be running", -5, "bass,piano,fiddle,organ,lead,high,low,reader,host,room", desk.Speech},
		{"everything closed", math.Inf(-1), "bass", desk.Quiet},
	} {
		r := hall()
		j := newJudge(r)
		for i, in := range r.Inputs {
			j.Hear(desk.Reading{Signal: desk.InputFader, Index: i, Value: c.fader})
			if strings.Contains(","+c.metered+",", ","+in.Name+",") {
				level := -90.
				if in.Name == "reader" {
					level = -20
				}
				j.Hear(desk.Reading{Signal: desk.InputLevel, Index: i, Value: level})
			}
		}
		j.Advance(minute)
		if got := j.Picture().Segment; got.Kind != c.want || got.Number != 1 {
			t.Errorf("%s: %+v, want %q", c.name, got, c.want)
		}
	}
}

// TestAwayDeskIsNotQuiet: nothing is heard of a desk that is away, which is no silence.
func TestAwayDeskIsNotQuiet(t *testing.T) {
	r := hall()
	j := NewJudge(r, DefaultLimits(), Options{Stale: 5 * time.Second})
	partsOf(t, j, r, "0s plays bass,piano\n30s plays")
	j.Advance(10 * minute)
	if got := j.Picture().Segment; got.Kind != desk.Music {
		t.Errorf("%+v, want the music that it was", got)
	}
}

// TestWhoPlaysWhatInASegment: elements and the primary are the segment's, and the
// roster's again after it.
func TestWhoPlaysWhatInASegment(t *testing.T) {
	r := hall()
	j := NewJudge(r, DefaultLimits(), Options{Order: hallOrder()})
	partsOf(t, j, r, "0s plays bass,piano,fiddle,lead\n20s end")
	look := func(want string) {
		t.Helper()
		v := j.view()
		lead, _ := v.Primary(desk.Lead)
		_, fill := v.Primary(desk.Fill)
		got := fmt.Sprint(r.Inputs[lead].Name, " ", fill, " ", v.Input(2).Element, " ", v.Element(4))
		for _, p := range j.Picture().Parts {
			if p.Element == desk.Lead && p.Present {
				got += " " + p.Lead.Name
			}
		}
		if got != want {
			t.Errorf("%s\nwant %s", got, want)
		}
	}
	look("lead true fill lead lead")
	partsOf(t, j, r, "21s segment :reel")
	look("fiddle false lead none fiddle")
	partsOf(t, j, r, "22s back")
	look("lead true fill lead lead")
}

// TestNotNowIsForASegment: another segment ends it, another kind of the same does not,
// and a tap that was taken back has not ended it either.
func TestNotNowIsForASegment(t *testing.T) {
	r := hall()
	j := NewJudge(r, DefaultLimits(), Options{Order: hallOrder()})
	silent := func() bool { _, silent := j.past.silenced["a rule"]; return silent }
	partsOf(t, j, r, "0s plays bass,piano\n20s next")
	j.past.silenced["a rule"] = time.Hour
	if partsOf(t, j, r, "30s plays reader\n50s end"); !silent() {
		t.Error("what is said between two verses ended it")
	}
	if partsOf(t, j, r, "55s next"); silent() {
		t.Error("another part did not end it")
	}
	if partsOf(t, j, r, "58s back"); !silent() {
		t.Error("it was not given back with the tap")
	}
}

// TestFollowKeepsTheSegment: a house file that is read again is of the same service.
func TestFollowKeepsTheSegment(t *testing.T) {
	r := hall()
	j := NewJudge(r, DefaultLimits(), Options{Order: hallOrder()})
	partsOf(t, j, r, "0s plays bass,piano\n10s scene 7\n12s next")
	edited := append(desk.Order{{Name: "prelude", Kind: desk.Music}}, hallOrder()...)
	n := j.Follow("Hall", r, DefaultLimits(), Options{Order: edited})
	if got := n.Picture().Segment; got.Name != "silence" || got.Part != 5 || got.Number != 3 || got.Next != "" {
		t.Errorf("%+v, want the part that it was, where it now stands", got)
	}
	if got := partsOf(t, n, r, "13s scene 7\n14s end"); got != "" {
		t.Errorf("%s, want the scene that is recalled already to begin nothing", got)
	}
	gone := j.Follow("Hall", r, DefaultLimits(), Options{})
	if got := gone.Picture().Segment; got.Name != "silence" || got.Part != 0 {
		t.Errorf("%+v, want the name without its place in an order that is gone", got)
	}
}
