package survey

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"pawl/daemon/practice"
	"pawl/daemon/practice/practicetest"
)

// TestProves plants false lines in a draft that is right, and wants each to become a comment that
// says what was read, and no other line to.
func TestProves(t *testing.T) {
	lines := hand(printed)
	s, g, _ := guided(t, practice.Play(played(t, lines), practicetest.Dialects()[0], practice.Playing{}), lines)
	fresh := func() *drafter {
		d := newDrafter(s, g)
		d.strips()
		d.meters()
		return d
	}
	if d := fresh(); d.prove(DraftOptions{}) {
		t.Fatalf("a draft that is right does not hold: %s", d.write(DraftOptions{}))
	}
	for _, c := range []struct {
		is, from, to string // what is put in the place of what, in the line's hearing or value
		why          string
	}{
		{"input.fader", "/throw", "/thrown", "it reads nothing at all"},
		{"input.mute", "arg: 0", "arg: 0, invert: yes", "input 1 was muted, and it reads the other"},
		{"input.mute", "arg: 0", "arg: 0, words: {7: 0, 1: 1}", "none of its words"},
		{"input.mute", "1-16", "1-3", "it is for 3 of the 16 inputs"},
		{"input.mute", "/in/{input:1-16}", "/in/{input:2-16=1}", "input 1 was muted, and it reads nothing"},
		{"main.mute", "/whole/quiet", "/fold/1/quiet", "the main was muted, and it reads nothing"},
		{"main.fader", "/whole/throw", "/fold/1/throw", "the main's fader was"},
		{"main.level", "unit: dBFS", "unit: dBFS, offset: 30", "nothing leaves a desk above full scale"},
		{"main.level", "unit: dBFS", "unit: dBFS, offset: -12", "off what the groups make"},
		{"input.level", "unit: dBFS", "unit: dBFS, offset: 60", "which no desk has"},
		{"group.level", "/needles/fold", "/needles/fold/before", "though it is taken behind it"},
		{"group.fader", "arg: 0, taper: travel", "arg: 0, unit: dB", "group 1's fader was closed, and it reads"},
		{"dca.fader", "/hand/{dca:1-4}/throw", "/fold/{dca:1-4}/throw", "DCA 1's fader was"},
	} {
		d := fresh()
		planted := -1
		for i := range d.entries {
			e := &d.entries[i]
			if e.is != c.is || e.unsure {
				continue
			}
			hear, value := strings.Replace(e.hear[0], c.from, c.to, 1), strings.Replace(e.value, c.from, c.to, 1)
			if hear != e.hear[0] {
				e.hear[0], planted = hear, i
			} else if value != e.value {
				e.value, planted = value, i
			}
		}
		if planted < 0 {
			t.Errorf("%s has no %s", c.is, c.from)
			continue
		}
		for d.prove(DraftOptions{}) {
		}
		for i, e := range d.entries {
			why := strings.Join(e.why, " ")
			switch doubted := strings.Contains(why, "played to what was heard"); {
			case i == planted && (!e.unsure || !strings.Contains(why, c.why)):
				t.Errorf("%s with %s: %s", c.is, c.to, why)
			case i != planted && doubted:
				t.Errorf("%s with %s: %s as well: %s", c.is, c.to, e.is, why)
			}
		}
	}
}

// TestNarrows has rows of six in which the last two places hold no strip.
func TestNarrows(t *testing.T) {
	for _, spare := range []struct {
		name  string
		fader float32
		mute  int32
		to    int
	}{{"closed and muted", -200, 1, 4}, {"beyond any fader", 6553, 0, 4}, {"as the others", -3, 0, 6}, {"closed", -200, 0, 6}} {
		b := &bench{Survey: New(Options{}), t: t}
		b.say("/up", float32(-10), float32(-10), float32(-10), float32(-10), spare.fader, spare.fader)
		b.say("/shut", int32(0), int32(0), int32(0), int32(0), spare.mute, spare.mute)
		d := newDrafter(b.Survey, nil)
		d.entries = []entry{
			{is: "input.fader", hear: []string{"hear: /up"}, value: "args: 0, each: input:1-6, unit: dB, minus-infinity: -200"},
			{is: "input.mute", hear: []string{"hear: /shut"}, value: "args: 0, each: input:1-6"},
		}
		for d.prove(DraftOptions{}) {
		}
		for _, e := range d.entries {
			if want := fmt.Sprintf("each: input:1-%d", spare.to); e.unsure || !strings.Contains(e.value, want) {
				t.Errorf("%s: %s has %s, %v; want %s", spare.name, e.is, e.value, e.why, want)
			}
		}
	}
}

// TestTapeBounded floods what is kept for the proof, in one step and in many.
func TestTapeBounded(t *testing.T) {
	s := New(Options{})
	g := s.Guide()
	big := make([]byte, 4000)
	for i := range 60_000 {
		s.Hear(time.Duration(i)*time.Millisecond, packetOf(t, fmt.Sprintf("/f/%d", i%5000), int32(i), big[:i%4000]))
		if i%1500 == 0 {
			g.ask()
		}
	}
	n, bytes := 0, 0
	for _, m := range s.tape.all() {
		n, bytes = n+1, bytes+len(m.data)
	}
	if n == 0 || n > mostTaped || bytes > mostTapedBytes || !s.tape.lost || n != s.tape.n || bytes != s.tape.bytes {
		t.Errorf("%d messages of %d bytes are kept, and %d of %d are counted; lost %v", n, bytes, s.tape.n, s.tape.bytes, s.tape.lost)
	}
}

// TestTapeKeepsTheLast wants the last of each step, in the order in which they came.
func TestTapeKeepsTheLast(t *testing.T) {
	s := New(Options{})
	g := s.Guide()
	for i := range 100 {
		s.Hear(time.Duration(i), packetOf(t, "/a", float32(i)))
		s.Hear(time.Duration(i), packetOf(t, fmt.Sprintf("/once/%d", i), float32(i)))
		if i == 49 {
			g.ask()
		}
	}
	var a int
	last := beginning
	for _, m := range s.tape.all() {
		if m.n <= last {
			t.Fatalf("%d comes after %d", m.n, last)
		}
		last = m.n
		if strings.HasPrefix(string(m.data), "/a\x00") {
			a++
		}
	}
	if a != 2*tapedInStep || len(s.tape.all()) != a+100 {
		t.Errorf("%d of one address and %d in all", a, len(s.tape.all()))
	}
}
