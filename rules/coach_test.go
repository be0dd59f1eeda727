package rules

import (
	"errors"
	"strings"
	"testing"
	"time"
)

// TestLineToTheOperator: a line stands until it is read, taken back, replaced, or has stood
// long enough, and who sent it is told which.
func TestLineToTheOperator(t *testing.T) {
	j := newJudge(hall())
	at := func(d time.Duration) { j.Alive(d); j.Advance(d) }
	press := func(p Press) {
		t.Helper()
		if err := j.Press(p); err != nil {
			t.Fatal(err)
		}
	}
	stands := func(want string) {
		t.Helper()
		got := ""
		if on := j.Picture().Told; on != nil {
			got = on.Text
		}
		if got != want {
			t.Errorf("at %v %q stands, want %q", j.at, got, want)
		}
	}
	at(time.Second)
	stands("")
	press(Press{Do: Tell, Text: "  one "})
	stands("one")
	press(Press{Do: TellSeen, Number: 1})
	stands("")
	if err := j.Press(Press{Do: TellBack, Number: 1}); !errors.Is(err, ErrNoLine) {
		t.Errorf("taken back after it was read: %v, want %v", err, ErrNoLine)
	}
	press(Press{Do: Tell, Text: "two"})
	press(Press{Do: Tell, Text: "three"})
	stands("three")
	if err := j.Press(Press{Do: TellSeen, Number: 2}); !errors.Is(err, ErrNoLine) {
		t.Errorf("one that was replaced is read: %v, want %v", err, ErrNoLine)
	}
	press(Press{Do: TellBack, Number: 3})
	at(10 * time.Second)
	press(Press{Do: Tell, Text: "four"})
	at(10*time.Second + toldStays - 1)
	stands("four")
	at(10*time.Second + toldStays)
	stands("")
	press(Press{Do: Tell, Text: "five"})
	var got []string
	for _, l := range j.Book().Lines {
		got = append(got, l.Text+" "+string(l.State))
	}
	if want := "five on, four gone, three back, two replaced, one seen"; strings.Join(got, ", ") != want {
		t.Errorf("the lines are %q, want %q", strings.Join(got, ", "), want)
	}
	if err := j.Press(Press{Do: Tell, Text: strings.Repeat("ñ", MostTold)}); err != nil {
		t.Errorf("%d characters: %v", MostTold, err)
	}
	for _, bad := range []string{"", "  ", strings.Repeat("n", MostTold+1), "two\nlines"} {
		if err := j.Press(Press{Do: Tell, Text: bad}); err == nil {
			t.Errorf("%q was sent", bad)
		}
	}
}

// TestNotesHaveTheirMoment: a note is about when its first letter was typed, which no clock
// that began earlier may put into the future.
func TestNotesHaveTheirMoment(t *testing.T) {
	j := newJudge(hall())
	j.Alive(time.Minute)
	for _, p := range []Press{
		{Do: Note, Text: "typed for 20 s", At: Moment(40 * time.Second)}, {Do: Question, Text: "who leads?"}, {Do: Note, Text: "of another clock", At: Moment(time.Hour)},
	} {
		if err := j.Press(p); err != nil {
			t.Fatal(err)
		}
	}
	want := []Noted{{Moment(time.Minute), "of another clock", false}, {Moment(time.Minute), "who leads?", true}, {Moment(40 * time.Second), "typed for 20 s", false}}
	got := j.Book().Notes
	for i := range want {
		if got[i] != want[i] {
			t.Errorf("note %d is %+v, want %+v", i, got[i], want[i])
		}
	}
	if err := j.Press(Press{Do: Note, Text: "before", At: -1}); err == nil {
		t.Error("a note before the service was taken")
	}
}

// TestTracesSayWhy: what became of a finding is told from its opening to its end, and while
// the coach holds, why nobody else sees it.
func TestTracesSayWhy(t *testing.T) {
	const climb = "20s piano fader -6\n30s accordion fader -6\n40s fiddle fader -6\n"
	trace := func(text string, presses ...TimedPress) Trace {
		t.Helper()
		s := ScriptOf(t, "service", fourEqual+text)
		s.Presses = append(s.Presses, presses...)
		j := newJudge(s.Roster)
		s.Play(j)
		b := j.Book()
		if len(b.Traces) != 1 {
			t.Fatalf("%d findings, want 1", len(b.Traces))
		}
		return b.Traces[0]
	}
	shown := trace(climb + "50s end")
	if !shown.On || shown.Shown == nil || shown.HeldBack != nil || shown.Ended != nil || shown.Seen != nil || len(shown.Finding.Facts) != 0 {
		t.Errorf("one on the screen is %+v", shown)
	}
	seen := trace(climb + "50s press seen 1\n52s end")
	if seen.On || seen.Seen == nil || seen.HeldBack == nil || seen.HeldBack.ID != "held.seen" {
		t.Errorf("one that was seen is %+v, %+v", seen, seen.HeldBack)
	}
	hold := TimedPress{10 * time.Second, Press{Do: Hold, On: true}}
	held := trace(climb+"50s end", hold)
	if held.On || held.Shown != nil || held.HeldBack == nil || held.HeldBack.ID != "held.coach" {
		t.Errorf("one that the coach holds is %+v, %+v", held, held.HeldBack)
	}
	over := trace(climb+"50s piano fader -10\n51s accordion fader -10\n52s fiddle fader -10\n70s end", hold)
	if over.Ended == nil || over.HeldBack == nil || over.HeldBack.ID != "held.coach" {
		t.Errorf("one that ended while the coach held is %+v, %+v", over, over.HeldBack)
	}
}
