package rules

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"pawl/rules/desk"
)

// quietStage is a roster of a piano, a fiddle, a voice and a click, each metered and
// silent, with the faders down as they are before anybody arrives.
func quietStage(t *testing.T, change func(*desk.Roster)) *Judge {
	t.Helper()
	r := desk.Roster{
		Inputs: []desk.Input{
			{Name: "piano", Element: desk.Rhythm, Main: true, DCAs: []int{0}},
			{Name: "fiddle", Element: desk.Fill, Main: true, DCAs: []int{0}},
			{Name: "reader's mic", Voice: true, Groups: []int{0}},
			{Name: "click", Cue: true},
		},
		DCAs: []string{"band"}, Groups: []string{"speech"},
	}
	if change != nil {
		change(&r)
	}
	j := newJudge(r)
	for i := range r.Inputs {
		j.Hear(set(desk.InputFader, i, -10))
		j.Hear(set(desk.InputLevel, i, -80))
	}
	j.Hear(set(desk.MainFader, 0, -3))
	return j
}

// soundOf plays an input for a time: its level swings by 3 dB either way, five times a second.
func soundOf(j *Judge, i int, level float64, d time.Duration) { soundOfAs(j, i, level, 3, d) }

func soundOfAs(j *Judge, i int, level, swing float64, d time.Duration) {
	for end, n := j.at+d, 0; j.at < end; n++ {
		by := swing
		if n%2 == 1 {
			by = -swing
		}
		j.Hear(desk.Reading{At: j.at, Signal: desk.InputLevel, Index: i, Value: level + by})
		j.Advance(j.at + desk.Beat)
	}
	j.Hear(desk.Reading{At: j.at, Signal: desk.InputLevel, Index: i, Value: -80})
	j.Advance(j.at + time.Second)
}

func press(t *testing.T, j *Judge, p Press) {
	t.Helper()
	if err := j.Press(p); err != nil {
		t.Fatalf("%+v: %v", p, err)
	}
}

func begin(t *testing.T, j *Judge) {
	t.Helper()
	j.Advance(j.at + time.Second)
	press(t, j, Press{Do: LineCheck, On: true})
	j.Advance(j.at + desk.Beat)
}

// line is an input of the line check in a word or two: "open: muted low-cut".
func line(in LineInput) string {
	all := []string{string(in.State) + ":"}
	for _, r := range in.Remarks {
		all = append(all, string(r.Kind))
	}
	return strings.TrimSuffix(strings.Join(all, " "), ":")
}

func lines(j *Judge) []string {
	var all []string
	for _, in := range j.LinePicture().Inputs {
		all = append(all, line(in))
	}
	return all
}

func wantLines(t *testing.T, j *Judge, want ...string) {
	t.Helper()
	if got := lines(j); !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

// TestLineCheckInTurn: one after another is asked for, and who has sounded for ten seconds
// as they should is done without a press.
func TestLineCheckInTurn(t *testing.T) {
	j := quietStage(t, nil)
	begin(t, j)
	wantLines(t, j, "asked", "waiting", "waiting", "waiting")
	soundOf(j, 0, -18, 5*time.Second)
	if p := j.LinePicture(); p.Inputs[0].Sounded < 5 || p.Inputs[0].Sounded > 5.6 || p.Sounds {
		t.Errorf("sounded for %v s, sounds %v; want five and half a second of its end, and no more now", p.Inputs[0].Sounded, p.Sounds)
	}
	wantLines(t, j, "asked", "waiting", "waiting", "waiting")
	soundOf(j, 0, -18, 5*time.Second)
	wantLines(t, j, "done", "asked", "waiting", "waiting")
	press(t, j, Press{Do: LineLater, Number: 2})
	j.Advance(j.at + desk.Beat)
	wantLines(t, j, "done", "later", "asked", "waiting")
	soundOf(j, 2, -20, 10*time.Second)
	soundOf(j, 3, -20, 10*time.Second)
	wantLines(t, j, "done", "asked", "done", "done")
	j.Take(nil)
	soundOf(j, 1, -20, 10*time.Second)
	if j.LineCheckOn() {
		t.Fatalf("all are done and it is on: %q", lines(j))
	}
	ended := only[*LineChecked](j.Take(nil))
	if len(ended) != 1 || ended[0].How != LineAllDone || ended[0].Main != -3 || j.LinePicture().Last != ended[0] {
		t.Fatalf("ended %+v, want one that is all done, with the main at -3", ended)
	}
	sum := ended[0].What[0]
	for name, want := range map[string]float64{"checked": 4, "all": 4, "fine": 4} {
		if got := figure(t, sum, name); got != want {
			t.Errorf("%s %v, want %v", name, got, want)
		}
	}
}

// TestLineLevels: hand-worked. Half of the beats 3 dB up and half 3 dB down are
// 10·lg((10^0.3+10^-0.3)/2) = 0.97 dB above their middle.
func TestLineLevels(t *testing.T) {
	for _, c := range []struct {
		name        string
		level, peak float64
		want        string
		by          float64 // of what to try
	}{
		{"at the least", -24.96, -20, "done", 0},
		{"low by half a decibel", -25.4, -20, "asked: low", 0.5},   // the mean is −24.43, 0.43 below
		{"low by six", -31, -20, "asked: low", 6},                  // −30.03: 6.03, which shows as 6.0
		{"low, with room for two", -31, -8.2, "asked: low", 2},     // peaks at −8.2 leave 2.2
		{"low, and without room", -31, -6.4, "done", 0},            // 0.4: a gain has halves
		{"at the most", -13, -7, "done", 0},                        // −12.03
		{"hot", -10, -7, "asked: hot", 3},                          // −9.03: 2.97
		{"hot, and its peaks more so", -12, -2, "asked: hot", 4.5}, // −11.03: 0.97; peaks 4 over and to be under
		{"peaks", -20, -6, "asked: peaks", 0.5},
		{"peaks just under", -20, -6.1, "done", 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			j := quietStage(t, nil)
			j.Hear(set(desk.InputPeak, 0, -80))
			begin(t, j)
			for range 105 {
				j.Hear(desk.Reading{At: j.at, Signal: desk.InputPeak, Index: 0, Value: c.peak})
				soundsABeat(j, 0, c.level)
			}
			in := j.LinePicture().Inputs[0]
			if got := line(in); got != c.want {
				t.Fatalf("got %q, mean %v, peak %v; want %q", got, in.Mean, in.Peak, c.want)
			}
			if c.by != 0 {
				if got := figure(t, in.Remarks[0].Try, "by"); got != c.by {
					t.Errorf("by %v, want %v", got, c.by)
				}
			}
			if mean := c.level + 0.97; in.Mean.Above(desk.DBFS(mean)).Abs() > 0.02 {
				t.Errorf("mean %v, want %v", in.Mean, mean)
			}
		})
	}
}

// soundsABeat is one beat of an input, 3 dB up or down in turn.
func soundsABeat(j *Judge, i int, level float64) {
	by := 3.0
	if j.beats%2 == 1 {
		by = -3
	}
	j.Hear(desk.Reading{At: j.at, Signal: desk.InputLevel, Index: i, Value: level + by})
	j.Advance(j.at + desk.Beat)
}

// TestLineMended: a gain that is set begins the ten seconds anew, and a setting that is
// mended goes by itself.
func TestLineMended(t *testing.T) {
	j := quietStage(t, nil)
	j.Hear(set(desk.InputLowCut, 2, 0))
	j.Hear(set(desk.InputSourceGain, 2, 30))
	begin(t, j)
	press(t, j, Press{Do: LineAsk, Number: 3})
	soundOf(j, 2, -36, 11*time.Second)
	if got := lines(j)[2]; got != "asked: low low-cut" {
		t.Fatalf("got %q, want a low voice without its low cut", got)
	}
	j.Hear(desk.Reading{At: j.at, Signal: desk.InputSourceGain, Index: 2, Value: 42})
	soundOf(j, 2, -24, 3*time.Second)
	if in := j.LinePicture().Inputs[2]; in.Checked || in.Sounded < 3 || in.Sounded > 3.6 {
		t.Errorf("%+v: want three seconds since the gain was set", in)
	}
	soundOf(j, 2, -20, 8*time.Second)
	if got := lines(j); got[2] != "open: low-cut" || got[0] != "asked" {
		t.Fatalf("got %q, want the voice open with its low cut, and the piano asked", got)
	}
	j.Hear(desk.Reading{At: j.at, Signal: desk.InputLowCut, Index: 2, Value: 1})
	j.Advance(j.at + desk.Beat)
	if got := lines(j)[2]; got != "done" {
		t.Errorf("got %q once the low cut is on", got)
	}
}

// TestLineSettings: what the desk is set to, and what to say of it.
func TestLineSettings(t *testing.T) {
	for _, c := range []struct {
		name   string
		asked  int
		change func(*desk.Roster)
		heard  []desk.Reading
		want   string
	}{
		{"muted though it sounds", 0, nil, []desk.Reading{set(desk.InputMute, 0, 1)}, "open: muted"},
		{"muted by its DCA", 0, nil, []desk.Reading{set(desk.DCAMute, 0, 1)}, "open: muted"},
		{"nowhere", 0, func(r *desk.Roster) { r.Inputs[0].Main = false }, nil, "open: nowhere"},
		{"a cue nowhere", 3, nil, nil, "done"},
		{"a cue in the main", 3, nil, []desk.Reading{set(desk.InputMain, 3, 1)}, "open: cue"},
		{"a cue in the main, closed", 3, nil, []desk.Reading{set(desk.InputMain, 3, 1), set(desk.InputFader, 3, -50)}, "done"},
		{"a low cut that nobody tells of", 2, nil, nil, "done"},
		{"an instrument without a low cut", 0, nil, []desk.Reading{set(desk.InputLowCut, 0, 0)}, "done"},
		{"another name", 0, nil, []desk.Reading{{Signal: desk.InputName, Text: "Organ"}}, "open: name"},
		{"the same name, short", 2, nil, []desk.Reading{{Signal: desk.InputName, Index: 2, Text: "READERS"}}, "done"},
		{"held down", 0, nil, []desk.Reading{set(desk.InputReduction, 0, 11)}, "asked: squeezed"},
		{"held down as is ordinary", 0, nil, []desk.Reading{set(desk.InputReduction, 0, 10)}, "done"},
	} {
		t.Run(c.name, func(t *testing.T) {
			j := quietStage(t, c.change)
			for _, r := range c.heard {
				j.Hear(r)
			}
			begin(t, j)
			press(t, j, Press{Do: LineAsk, Number: c.asked + 1})
			soundOf(j, c.asked, -18, 11*time.Second)
			if got := lines(j)[c.asked]; got != c.want {
				t.Errorf("got %q, want %q", got, c.want)
			}
		})
	}
}

// TestLineWrongOneAnswers: the fiddle is asked for and the piano sounds.
func TestLineWrongOneAnswers(t *testing.T) {
	j := quietStage(t, nil)
	begin(t, j)
	press(t, j, Press{Do: LineAsk, Number: 2})
	j.Advance(j.at + desk.Beat)
	soundOf(j, 0, -20, 2*time.Second)
	wantLines(t, j, "waiting", "asked", "waiting", "waiting")
	soundOf(j, 0, -20, 2*time.Second)
	wantLines(t, j, "waiting", "asked: answers", "waiting", "waiting")
	if who := j.LinePicture().Inputs[1].Remarks[0].Says.Who["who"][0].Name; who != "piano" {
		t.Errorf("%s answers, want the piano", who)
	}
	// What the fiddle's microphone hears of the piano, 15 dB down, is no fiddle.
	for range 40 {
		j.Hear(desk.Reading{At: j.at, Signal: desk.InputLevel, Index: 1, Value: -35})
		j.Hear(desk.Reading{At: j.at, Signal: desk.InputLevel, Index: 0, Value: -20})
		j.Advance(j.at + desk.Beat)
	}
	if got := j.LinePicture().Inputs[1]; got.Sounded != 0 {
		t.Errorf("sounded for %v s by what it hears of the piano", got.Sounded)
	}
	soundOf(j, 1, -20, 2*time.Second)
	wantLines(t, j, "waiting", "asked", "waiting", "waiting")
}

// TestLinePlaysOn: who was asked last plays to the end of the phrase, and answers nobody;
// after a silence it would.
func TestLinePlaysOn(t *testing.T) {
	j := quietStage(t, nil)
	begin(t, j)
	for range 160 {
		soundsABeat(j, 0, -20)
	}
	wantLines(t, j, "done", "asked", "waiting", "waiting")
	j.Hear(desk.Reading{At: j.at, Signal: desk.InputLevel, Index: 0, Value: -80})
	j.Advance(j.at + 3*time.Second)
	for range 40 {
		soundsABeat(j, 0, -20)
	}
	wantLines(t, j, "done", "asked: answers", "waiting", "waiting")
}

// TestLineTogether: one source in two plugs, and a second microphone that is not one.
func TestLineTogether(t *testing.T) {
	for _, c := range []struct {
		name    string
		between float64 // decibels
		stray   float64 // that it strays by, now up and now down
		want    string
	}{
		{"one source", -4, 0, "asked: together"},
		{"set otherwise", -7, 0, "done"},
		{"a microphone of its own", -4, 1, "done"},
	} {
		t.Run(c.name, func(t *testing.T) {
			j := quietStage(t, nil)
			begin(t, j)
			for n := range 115 {
				level := -22 + 6*float64(n/10%2) // swings slowly enough to show over half a second
				stray := c.stray * float64(1-n/3%2*2)
				j.Hear(desk.Reading{At: j.at, Signal: desk.InputLevel, Index: 0, Value: level})
				j.Hear(desk.Reading{At: j.at, Signal: desk.InputLevel, Index: 1, Value: level + c.between + stray})
				j.Advance(j.at + desk.Beat)
			}
			if got := lines(j)[0]; got != c.want {
				t.Errorf("got %q, want %q", got, c.want)
			}
		})
	}
}

// TestLineHum: a low sound that does not move is nobody playing, and nothing at all is
// said after a while.
func TestLineHum(t *testing.T) {
	j := quietStage(t, nil)
	begin(t, j)
	j.Advance(j.at + 14*time.Second)
	wantLines(t, j, "asked", "waiting", "waiting", "waiting")
	j.Advance(j.at + 2*time.Second)
	wantLines(t, j, "asked: unheard", "waiting", "waiting", "waiting")
	soundOfAs(j, 0, -40, 0.2, 11*time.Second)
	wantLines(t, j, "asked: steady", "waiting", "waiting", "waiting")
	press(t, j, Press{Do: LineDone, Number: 1})
	j.Advance(j.at + desk.Beat)
	wantLines(t, j, "done: steady", "asked", "waiting", "waiting")
}

// TestLineWithoutMeters: nobody is asked to play for a meter that is not there, and a
// meter behind a closed fader shows what it showed last.
func TestLineWithoutMeters(t *testing.T) {
	j := newJudge(band(2, nil, nil))
	j.Hear(set(desk.InputMute, 1, 1))
	begin(t, j)
	if p := j.LinePicture(); p.Asked != 0 || p.Metered != 0 {
		t.Errorf("asked %d, %d metered; want nobody", p.Asked, p.Metered)
	}
	wantLines(t, j, "unmetered", "unmetered: muted")
	press(t, j, Press{Do: LineDone, Number: 1})
	j.Hear(desk.Reading{At: j.at, Signal: desk.InputFader, Index: 1, Value: -10})
	j.Hear(desk.Reading{At: j.at, Signal: desk.InputMute, Index: 1, Value: 0})
	j.Hear(desk.Reading{At: j.at, Signal: desk.InputLevel, Index: 1, Value: -20, Post: true})
	j.Advance(j.at + desk.Beat)
	wantLines(t, j, "done", "asked")
	j.Hear(desk.Reading{At: j.at, Signal: desk.InputFader, Index: 1, Value: -90})
	j.Advance(j.at + 11*time.Second)
	wantLines(t, j, "done", "asked: meter")
}

// TestLineDesk: what is about no one input.
func TestLineDesk(t *testing.T) {
	j := quietStage(t, func(r *desk.Roster) {
		r.DCAs, r.Groups = append(r.DCAs, "spare", "voices"), append(r.Groups, "spare")
		r.Inputs[2].DCAs = []int{2}
	})
	j.Hear(set(desk.DCAFader, 0, -3))
	j.Hear(set(desk.DCAFader, 2, 0.5))
	j.Hear(set(desk.GroupRatio, 0, 4))
	begin(t, j)
	var got []string
	for _, r := range j.LinePicture().Desk {
		got = append(got, fmt.Sprintf("%s %v %s", r.Kind, r.Says.Figures, r.Says.Who["who"][0].Name))
	}
	want := []string{"dca [{at -3 db} {inputs 2 count}] band", "empty-dca [] spare", "ratio [{ratio 4 db} {most 3 count}] speech", "empty-group [] spare"}
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

// TestLineMainMoved: by more than the limit, either way, or closed.
func TestLineMainMoved(t *testing.T) {
	l := defaultLineCheckLimits()
	for _, c := range []struct {
		now, was desk.DB
		want     bool
	}{{-4, -4, false}, {-4, -5, false}, {-4, -5.1, true}, {-6, -4, true}, {desk.Off, -4, true}, {desk.Off, desk.Off, false}} {
		if _, got := l.MainMoved(c.now, c.was); got != c.want {
			t.Errorf("%v after %v: %v, want %v", c.now, c.was, got, c.want)
		}
	}
}

// TestLinePresses: what is refused changes nothing, so that two people may press at once.
func TestLinePresses(t *testing.T) {
	j := quietStage(t, nil)
	j.Advance(j.at + time.Second)
	refused := func(p Press, want error) {
		t.Helper()
		before := j.stamped
		if err := j.Press(p); !errors.Is(err, want) || j.stamped != before {
			t.Errorf("%+v: got %v and %d entries, want %v and none", p, err, j.stamped-before, want)
		}
	}
	refused(Press{Do: LineCheck}, ErrNoCheck)
	refused(Press{Do: LineAsk, Number: 1}, ErrNoCheck)
	begin(t, j)
	refused(Press{Do: LineCheck, On: true}, ErrChecking)
	refused(Press{Do: LineAsk, Number: 5}, ErrNoInput)
	refused(Press{Do: LineDone}, ErrNoInput)
	press(t, j, Press{Do: LineLater, Number: 1})
	refused(Press{Do: LineLater, Number: 1}, ErrNotAsked)
	j.Advance(j.at + desk.Beat)
	press(t, j, Press{Do: LineDone, Number: 2})
	refused(Press{Do: LineDone, Number: 2}, ErrInputDone)
	j.Take(nil)
	press(t, j, Press{Do: LineCheck})
	e := only[*LineChecked](j.Take(nil))
	if len(e) != 1 || e[0].State != LineEnded || e[0].How != LineStopped || figure(t, e[0].What[0], "checked") != 0 || len(e[0].What[1].Who["who"]) != 4 {
		t.Errorf("ended %+v, want four that were not heard", e)
	}
}

// TestLineForgotten: one that everybody has left is over by itself, and a desk that is away
// does not make anybody unheard.
func TestLineForgotten(t *testing.T) {
	j := NewJudge(band(1, nil, nil), DefaultLimits(), Options{Stale: 5 * time.Second})
	j.Alive(0)
	j.Hear(set(desk.InputLevel, 0, -80))
	begin(t, j)
	j.Advance(19 * time.Minute)
	if got := lines(j); len(got) != 1 || got[0] != "asked" {
		t.Errorf("got %q of a desk that went away at once", got)
	}
	j.Advance(21 * time.Minute)
	e := only[*LineChecked](j.Take(nil))
	if len(e) != 2 || e[1].How != LineForgot || j.LineCheckOn() {
		t.Errorf("entries %+v, want it begun and forgotten", e)
	}
}

// TestLineOverAReload: who is called as they were stays as far as they were.
func TestLineOverAReload(t *testing.T) {
	j := quietStage(t, nil)
	begin(t, j)
	soundOf(j, 0, -18, 10*time.Second)
	press(t, j, Press{Do: LineLater, Number: 2})
	n := band(3, nil, nil)
	n.Inputs[0].Name, n.Inputs[1].Name = "piano", "viola"
	j = j.Follow("", n, DefaultLimits(), Options{})
	j.Advance(j.at + desk.Beat)
	wantLines(t, j, "done", "asked", "waiting")
}

// TestLineNoAllocation: none is on and a beat costs nothing; one is on and a beat of it
// leaves no garbage either.
func TestLineNoAllocation(t *testing.T) {
	j := benchDesk(16)
	for i := range 16 {
		j.Hear(desk.Reading{At: j.at, Signal: desk.InputLevel, Index: i, Value: -40})
	}
	j.Advance(j.at + 10*time.Second)
	press(t, j, Press{Do: LineCheck, On: true})
	j.Take(nil)
	turn := func() {
		for range 20 {
			j.link.heard = j.at
			j.Advance(j.at + desk.Beat)
		}
		j.check.touched = j.at
	}
	turn()
	before := j.stamped
	if n := testing.AllocsPerRun(20, turn); n > float64(j.stamped-before)/21 {
		t.Errorf("%v allocations in two seconds", n)
	}
	if got := lines(j)[0]; !strings.HasPrefix(got, "asked") {
		t.Errorf("got %q, want the first still asked", got)
	}
}

// TestNobodyIsAskedFor: numbers between the roster's, which nobody named and which have no
// level, are in no list, and do not keep the line check from its end.
func TestNobodyIsAskedFor(t *testing.T) {
	r := desk.Roster{Inputs: []desk.Input{{Name: "piano", Main: true}}, Unnamed: map[desk.Mover]bool{}}
	for i := 1; i < 98; i++ {
		r.Unnamed[desk.Mover{Strip: desk.StripInput, Index: i}] = true
		r.Inputs = append(r.Inputs, desk.Input{Name: fmt.Sprintf("input %d", i+1), Main: true})
	}
	j := newJudge(r)
	j.Hear(set(desk.InputFader, 0, -10))
	j.Hear(set(desk.InputLevel, 0, -80))
	j.Hear(set(desk.InputLevel, 50, -80)) // it has a level, so somebody may be there
	if p := j.LinePicture(); p.All != 2 {
		t.Errorf("%d inputs are to be checked, want 2", p.All)
	}
	press(t, j, Press{Do: LineCheck, On: true})
	if p := j.LinePicture(); len(p.Inputs) != 2 || p.Inputs[0].Who.Name != "piano" || p.Inputs[1].Who.Index != 50 {
		t.Errorf("the line check lists %+v", p.Inputs)
	}
}
