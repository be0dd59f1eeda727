package survey

import (
	"strings"
	"testing"
)

// desk is a bench with a guide that is being answered.
type answered struct {
	*bench
	g *Guide
}

func newAnswered(t *testing.T) answered {
	b := newBench(t)
	b.say("/in/3/up", float32(0.5))
	a := answered{b, b.Guide()}
	b.pass(40)
	a.want("", "Good:")
	a.asks("very bottom")
	return a
}

// move moves input n's fader.
func (a answered) move(n int, to float32) {
	a.t.Helper()
	a.say([]string{"", "/in/1/up", "/in/2/up", "/in/3/up"}[n], to)
	a.pass(20)
}

// want answers, and wants words in what is said.
func (a answered) want(typed string, words ...string) {
	a.t.Helper()
	got := strings.Join(a.g.Answer(typed), "\n")
	for _, w := range words {
		if !strings.Contains(got, w) {
			a.t.Errorf("%q: got %q, want %q in it", typed, got, w)
		}
	}
}

func (a answered) asks(want string) {
	a.t.Helper()
	if got := a.g.Question(); !strings.Contains(got, want) {
		a.t.Errorf("asks %q, want %q in it", got, want)
	}
}

// The scale of these tests: 0 dB at 0.75, -10 at 0.5, -30 at 0.25.

// TestMarksAsPeopleTypeThem: what is printed has no minus, and the bottom has many signs.
func TestMarksAsPeopleTypeThem(t *testing.T) {
	a := newAnswered(t)
	a.move(1, 0)
	a.want("", "I saw /in/1/up")
	a.move(1, 1)
	a.want("10", "I saw /in/1/up")
	a.move(1, 0.75)
	a.want("", "I saw /in/1/up")
	a.move(1, 0.5)
	a.want("10", "It stands below the 0 mark, so 10 is taken as -10.")
	a.move(1, 0)
	for _, typed := range []string{"∞", "-oo", "oo", "off", "−∞", "inf", "closed"} {
		a.want(typed, "The bottom is known already.")
	}
	a.move(1, 0.4)
	a.want("-10", "-10 was given already, at 0.5, and now it stands at 0.4")
	a.want("5", "It stands below the mark -10, so it cannot be at -5.")
	a.want("30 dB", "so 30 db is taken as -30") // and the move is not asked for again
	a.asks("Every further mark")
	a.move(1, 0.9)
	a.want("-3", "It stands above the 0 mark, where no -3 can be.")
	a.want("5", "I saw /in/1/up go from 0.4 to 0.9.")
	a.want("-20", "Nothing changed", "-20 is remembered")
	a.move(1, 0.45)
	a.want("", "I saw /in/1/up go from 0.9 to 0.45.")
	a.want("", "mark") // enough marks
	c, ok := a.g.steps.control(inputStrip, zero, nil)
	if !ok {
		t.Fatal("no fader was found")
	}
	points, _ := c.points()
	want := []point{{1, 10}, {0.75, 0}, {0.5, -10}, {0.4, -30}, {0.9, 5}, {0.45, -20}}
	for i, p := range want {
		if got := points[i]; got.db != p.db || float32(got.x) != float32(p.x) {
			t.Errorf("mark %d is %v, want %v", i, got, p)
		}
	}
}

// TestWrongFader: when another strip moves than was asked for it is named, and what was
// told is not lost.
func TestWrongFader(t *testing.T) {
	a := newAnswered(t)
	a.move(1, 0)
	a.want("", "I saw /in/1/up")
	a.move(3, 1)
	a.want("10", "Input 3's fader moved, to 1, and not input 1's fader, which still stands at 0.", "Put it back")
	a.move(3, 0.5)
	a.move(1, 1)
	a.want("10", "I saw /in/1/up go from 0 to 1.")
	a.asks("0 dB mark")
}

// TestThatWasAnother takes back what was done on the wrong strip from the first.
func TestThatWasAnother(t *testing.T) {
	a := newAnswered(t)
	a.move(2, 0)
	a.want("", "I saw /in/2/up go from 0.5 to 0.")
	a.move(2, 1)
	a.want("10", "I saw /in/2/up")
	a.want("that was input 2", "Then that was not input 1.", "begin again")
	a.asks("Move input 1's fader to its very bottom")
	a.move(2, 0.5)
	a.move(1, 0)
	a.want("", "I saw /in/1/up go from 0.5 to 0.")
	a.move(1, 1)
	a.want("10", "I saw /in/1/up")
	a.move(1, 0.75)
	a.want("", "I saw /in/1/up")
	a.want("stop", "Stopped")
	if draft := a.Draft(a.g, DraftOptions{}); !strings.Contains(draft, "hear: /in/{input:1-3}/up\n") {
		t.Errorf("the draft is\n%s", draft)
	}
}

func TestBack(t *testing.T) {
	a := newAnswered(t)
	a.want("back", "Back to the question before")
	a.asks("nobody touches the desk")
	a.want("back", "This is the first question.")
	a.pass(40)
	a.want("", "Good:")
	a.move(1, 0)
	a.want("", "I saw /in/1/up")
	a.move(1, 0.9)
	a.want("10", "I saw /in/1/up")
	a.want("Back", "Back to the question before")
	a.asks("all the way to the top")
	a.move(1, 1)
	a.want("6", "I saw /in/1/up go from 0.9 to 1.")
	c, _ := a.g.steps.control(inputStrip, zero, nil)
	if points, _ := c.points(); len(points) != 1 || points[0].db != 6 {
		t.Errorf("the marks are %v, want 6 dB alone", points)
	}
	a.want("help", "not that one")
	for a.g.Question() != "" {
		a.want("none", "Left out.")
	}
}

// TestNotThatOne: where two things follow a hand, the person says which it is not.
func TestNotThatOne(t *testing.T) {
	a := newAnswered(t)
	a.want("not that one", "Nothing was seen yet")
	a.say("/in/1/glass", float32(0))
	a.move(1, 0)
	a.want("", "I saw /in/1/", "changed as well")
	a.want("not that one", "Then it is /in/1/")
	first := a.g.refused[0].slot.name()
	a.want("not that one", "Nothing else moved so.", "Back to the question before")
	a.asks("very bottom")
	if moved, _ := a.g.steps.control(inputStrip, zero, a.g.refused); moved.slot != nil {
		t.Errorf("%s is still taken, after %s was refused", moved.slot.name(), first)
	}
}
