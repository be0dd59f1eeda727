package survey

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"pawl/daemon/practice"
	"pawl/daemon/practice/practicetest"
)

// bench is a small desk in a test's hand: two inputs, a meter, and a clock.
type bench struct {
	*Survey
	t  *testing.T
	at time.Duration
}

func newBench(t *testing.T) *bench {
	b := &bench{Survey: New(Options{}), t: t}
	for n := 1; n <= 2; n++ {
		b.say(fmt.Sprintf("/in/%d/up", n), float32(0.5))
		b.say(fmt.Sprintf("/in/%d/shut", n), 0)
	}
	b.pass(50)
	return b
}

func (b *bench) say(address string, args ...any) {
	b.t.Helper()
	b.Hear(b.at, packetOf(b.t, address, args...))
}

// pass lets tenths of a second go by, with a meter moving.
func (b *bench) pass(tenths int) {
	for range tenths {
		b.at += 100 * time.Millisecond
		b.say("/glow", float32(-20-int(b.at/time.Millisecond)%7))
	}
}

func TestGuideTalks(t *testing.T) {
	b := newBench(t)
	g := b.Guide()
	// ask answers a question and wants words in what was said.
	ask := func(typed, want string) {
		t.Helper()
		if got := strings.Join(g.Answer(typed), "\n"); !strings.Contains(got, want) {
			t.Errorf("%q: got %q, want %q in it", typed, got, want)
		}
	}
	next := func(want string) {
		t.Helper()
		if got := g.Question(); !strings.Contains(got, want) {
			t.Errorf("asks %q, want %q in it", got, want)
		}
	}
	next("nobody touches the desk")
	ask("", "That was quick")
	b.pass(40)
	ask("", "1 value moved without a hand")
	next("very bottom")
	b.pass(20)
	ask("", "Nothing changed")
	next("very bottom")
	b.say("/in/1/up", float32(0))
	b.say("/in/1/up-too", float32(-90))
	b.pass(20)
	ask("", "I saw /in/1/up go from 0.5 to 0.")
	next("to the top")
	b.say("/in/1/up", float32(1))
	b.say("/in/1/up-too", float32(10))
	b.pass(20)
	ask("ten", `"ten" is no number of dB`)
	next("to the top")
	ask("+10 dB", "/in/1/up changed as well, to 1.")
	next("0 dB mark")
	b.say("/in/1/up", float32(0.75))
	b.pass(20)
	ask("", "I saw /in/1/up go from 1 to 0.75.")
	for _, m := range []struct {
		at    float32
		typed string
	}{{0.5, "−15"}, {0.25, "-40,0"}} {
		next("another printed mark")
		b.say("/in/1/up", m.at)
		b.pass(20)
		ask(m.typed, "I saw /in/1/up go from")
	}
	next("Every further mark")
	ask("", "bent as the marks are")
	next("Mute input 1")
	ask("none", "Left out")
	next("Move the main's fader")
	ask("none", "Left out")
	next("Move group 1's fader")
	ask("stop", "Stopped")
	next("")
	if said := g.Answer("more"); said != nil || g.Question() != "" {
		t.Errorf("after the end: %q, %q", said, g.Question())
	}
	draft := b.Draft(g, DraftOptions{})
	checked(t, draft)
	for _, want := range []string{"hear: /in/{input:1-2}/up\n", "[0.25, -40], [0.28125, -36.16], ", "Where the main's mute is", "Where the inputs' levels are"} {
		if !strings.Contains(draft, want) {
			t.Errorf("the draft lacks %q:\n%s", want, draft)
		}
	}
}

// TestAnotherHand has somebody else moving faders and muting during every move.
// What is asked about is still told apart, by what the moves have in common.
func TestAnotherHand(t *testing.T) {
	lines := hand(printed)
	d := practicetest.Dialects()[0]
	script := played(t, lines)
	other := func(yield func(time.Duration, []byte) bool) {
		n := 0
		for at, packet := range practice.Play(script, d, practice.Playing{}) {
			if !yield(at, packet) {
				return
			}
			// From the calm on, twice a second, but for the first ten seconds.
			if n++; at > handBegins+10*time.Second && n%60 == 0 {
				who := 2 + n/60%12
				if !yield(at, packetOf(t, fmt.Sprintf("/in/%d/throw", who), float32(n%100)/100)) {
					return
				}
				if !yield(at, packetOf(t, fmt.Sprintf("/in/%d/quiet", who), n/60%2)) {
					return
				}
			}
		}
	}
	s, g, talk := guided(t, other, lines)
	draft := s.Draft(g, DraftOptions{})
	right, missing, wrong := compare(t, d, load(t, d.Map()), load(t, []byte(draft)), g)
	if right != 14 || len(missing) != 3 || len(wrong) > 0 {
		t.Errorf("%d right, missing %v, wrong %v\n%s\n%s", right, missing, wrong, draft, talk)
	}
}

// TestFewMarks gives only the marks the questions insist on, of a scale that is straight
// with sharp bends, as no bent curve expects. It is then less true between them; how much is written down here, so that nobody need
// guess, and the draft says that more marks make it truer.
func TestFewMarks(t *testing.T) {
	for _, c := range []struct {
		name  string
		marks []string
		worst float64 // dB, between the lowest mark and the top
	}{
		{"where the scale bends", []string{"-12", "-36"}, 0.9},
		{"-10 and -30", []string{"-10", "-30"}, 2.3},
		{"-10 and -30, and five more", []string{"-10", "-30", "3", "-6", "-12", "-24", "-36"}, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			lines := hand(c.marks)
			_, g, _ := guided(t, practice.Play(played(t, lines), practicetest.Dialects()[0], practice.Playing{}), lines)
			f, ok := g.steps.control(inputStrip, zero, g.refused)
			if !ok {
				t.Fatal("the fader was not found")
			}
			sc, ok := fit(f.points())
			if !ok {
				t.Fatal("no scale")
			}
			if got := worst(throwAbove(sc.low), sc.db); got > c.worst+0.01 || got < c.worst/4 {
				t.Errorf("%.2f dB off at most, want about %.1f", got, c.worst)
			}
		})
	}
}

// throwAbove is points along the practice desk's scale from a gain up, as its map
// has them: straight lines through these.
func throwAbove(low float64) (all []point) {
	law := scale{keys: "taper: " + taperName, taper: "[[0, -inf], [0.0002, -80], [0.3, -36], [0.6, -12], [0.8, 0], [1, 6]]"}
	law.compile()
	for x := 0.01; x <= 1; x += 0.01 {
		if db := law.db(x); db >= low {
			all = append(all, point{x, db})
		}
	}
	return all
}

// TestNobodyPlays goes through the questions with a silent stage. The faders are
// told; the meters are not, and the draft says so.
func TestNobodyPlays(t *testing.T) {
	lines := hand(printed)
	text := strings.Replace(minute, "play cajon, upright bass, ", "play ", 1)
	d := practicetest.Dialects()[0]
	s, g, _ := guided(t, practice.Play(playedAfter(t, text, lines), d, practice.Playing{}), lines)
	draft := s.Draft(g, DraftOptions{})
	right, missing, wrong := compare(t, d, load(t, d.Map()), load(t, []byte(draft)), g)
	if len(wrong) > 0 {
		t.Errorf("wrong: %v\n%s", wrong, draft)
	}
	unbroken := strings.ReplaceAll(draft, "\n  # ", " ")
	if right < 10 || !slices.Contains(missing, "group.level") || !strings.Contains(unbroken, "nothing was to be heard of group 1") {
		t.Errorf("%d right, missing %v\n%s", right, missing, draft)
	}
}
