package rules

import (
	"testing"
	"time"

	"pawl/rules/desk"
)

// TestSoundCheck plays what a sound check is made of, and holds when it begins and ends. How
// players behave is common practice, from memory.
func TestSoundCheck(t *testing.T) {
	const band = "bass,piano,lead"
	for _, c := range []struct{ name, lines, want string }{
		{"half a song is no song, and a word no speech", `
			1s segment sound-check:
			10s plays lead
			20s plays bass,piano
			60s plays ` + band + `
			180s plays
			240s plays reader
			300s plays ` + band + `
			400s end`,
			"1s 2 tap sound-check"},
		{"the players have left", `
			1s segment sound-check:
			10s plays ` + band + `
			60s plays
			400s end`,
			"1s 2 tap sound-check; 6m3s 3 heard quiet"},
		{"it was quiet before, and they are late", `
			0s plays
			600s segment sound-check:
			800s plays ` + band + `
			880s end`,
			"10s 1 heard quiet; 10m0s 2 tap sound-check"},
		{"somebody welcomes whoever came", `
			1s segment sound-check:
			10s plays ` + band + `
			60s plays host
			200s end`,
			"1s 2 tap sound-check; 3m3s 3 heard speech"},
		{"the first song is tapped, and goes on by itself", `
			1s segment sound-check:
			10s plays ` + band + `
			60s next
			70s plays ` + band + `
			100s plays host
			130s end`,
			"1s 2 tap sound-check; 1m0s 3 tap music opening song; 1m51s 3 heard speech opening song"},
		{"a tap that is taken back", `
			1s segment sound-check:
			10s back
			20s plays ` + band + `
			30s end`,
			"1s 2 tap sound-check; 10s 1 back; 25s 1 heard music"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := hall()
			if got := partsOf(t, NewJudge(r, DefaultLimits(), Options{Order: hallOrder()}), r, c.lines); got != c.want {
				t.Errorf("got  %s\nwant %s", got, c.want)
			}
		})
	}
}

// TestSoundCheckIsNotJudged closes the lead's microphone and has the lead sing into it: in a
// sound check nobody is to be told, and after it somebody is.
func TestSoundCheckIsNotJudged(t *testing.T) {
	for _, checks := range []bool{true, false} {
		r := hall()
		j := NewJudge(r, DefaultLimits(), Options{})
		if checks {
			press(t, j, Press{Do: NewSegment, Kind: desk.SoundCheck})
		}
		j.Hear(desk.Reading{Signal: desk.InputMute, Index: 4, Value: 1})
		play := func(from, to time.Duration, levels map[int]float64) {
			for at := from; at < to; at += 50 * time.Millisecond {
				for i := range r.Inputs {
					level, ok := levels[i]
					if !ok {
						level = -80
					}
					j.Alive(at)
					j.Hear(desk.Reading{At: at, Signal: desk.InputFader, Index: i, Value: -5})
					j.Hear(desk.Reading{At: at, Signal: desk.InputLevel, Index: i, Value: level})
				}
			}
		}
		play(time.Second, 40*time.Second, map[int]float64{4: -20})
		if got := len(only[*Finding](j.Take(nil))); (got == 0) != checks {
			t.Errorf("sound check %v: %d findings of a voice behind a mute", checks, got)
		}
		if !checks {
			continue
		}
		// The band plays for long enough to be a mark, and is none.
		play(40*time.Second, 100*time.Second, map[int]float64{0: -20, 1: -20, 2: -20})
		if j.marked.Set {
			t.Error("a mix of the sound check is the mark")
		}
		press(t, j, Press{Do: NewSegment, Kind: desk.Music})
		play(100*time.Second, 160*time.Second, map[int]float64{0: -20, 1: -20, 2: -20, 4: -20})
		if got := only[*Finding](j.Take(nil)); len(got) == 0 || got[0].Rule != "muted-voice" || !j.marked.Set {
			t.Errorf("the service found %v, mark %v", got, j.marked.Set)
		}
	}
}

// TestSoundCheckKeepsAMarkByHand holds that whoever marks the mix of the sound check measures
// the service from it, and that any other mark of before ends with it.
func TestSoundCheckKeepsAMarkByHand(t *testing.T) {
	for _, byHand := range []bool{true, false} {
		r := hall()
		j := NewJudge(r, DefaultLimits(), Options{})
		lines := `
			1s plays bass,piano,fiddle
			60s end`
		partsOf(t, j, r, lines)
		if !j.marked.Set {
			t.Fatal("no mark")
		}
		press(t, j, Press{Do: NewSegment, Kind: desk.SoundCheck})
		j.Advance(61 * time.Second)
		if byHand {
			press(t, j, Press{Do: SetMark})
		}
		press(t, j, Press{Do: NewSegment, Kind: desk.Quiet})
		if j.marked.Set != byHand {
			t.Errorf("marked by hand %v: a mark is left: %v", byHand, j.marked.Set)
		}
	}
}

// TestLineCheckBeginsASoundCheck holds that who begins a line check before the service need
// not say twice that it has not begun, and that one during the service changes nothing.
func TestLineCheckBeginsASoundCheck(t *testing.T) {
	order := append(desk.Order{{Name: "from two o'clock", Kind: desk.SoundCheck}}, hallOrder()...)
	for _, c := range []struct {
		name  string
		order desk.Order
		lines string
		kind  desk.SegmentKind
		part  string
	}{
		{"before it", hallOrder(), "1s end", desk.SoundCheck, ""},
		{"before it, and it is in the order", order, "1s end", desk.SoundCheck, "from two o'clock"},
		{"in a song", order, "1s plays bass,piano,fiddle\n60s end", desk.Music, ""},
		{"in a part that was tapped", hallOrder(), "1s segment :welcome\n5s end", desk.Speech, "welcome"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := hall()
			j := NewJudge(r, DefaultLimits(), Options{Order: c.order})
			partsOf(t, j, r, c.lines)
			press(t, j, Press{Do: LineCheck, On: true})
			if now := j.segments.now; now.Kind != c.kind || now.Name != c.part {
				t.Errorf("it is %q of kind %q; want %q of kind %q", now.Name, now.Kind, c.part, c.kind)
			}
		})
	}
}
