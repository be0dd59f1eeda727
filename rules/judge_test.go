package rules

import (
	"cmp"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"pawl/rules/desk"
)

// anyService draws an hour of a band with hands that raise, lower, mute, bring
// in and recall, mostly upwards so that there is something to find.
func anyService(t *rapid.T) (desk.Roster, []desk.Reading) {
	r := band(5, []string{"band"}, []string{"low"})
	r.Inputs[0].DCAs, r.Inputs[1].DCAs = []int{0}, []int{0}
	r.Inputs[1].Main, r.Inputs[1].Groups = false, []int{0}
	var heard []desk.Reading
	at := time.Duration(0)
	fader := make([]float64, 5)
	for i := range 5 {
		fader[i] = -10
		heard = append(heard, set(desk.InputFader, i, -10), set(desk.InputLevel, i, -20))
	}
	for range rapid.IntRange(0, 50).Draw(t, "events") {
		at += time.Duration(rapid.SampledFrom([]int{0, 1, 40, 99, 100, 101, 150, 600, 601, 3000, 3000, 9000, 9000, 9000, 46000}).Draw(t, "later")) * ms
		i := rapid.IntRange(0, 4).Draw(t, "input")
		var events []desk.Reading
		switch rapid.IntRange(0, 9).Draw(t, "what") {
		case 0:
			events = append(events, set(desk.InputMute, i, float64(rapid.IntRange(0, 1).Draw(t, "on"))))
		case 1:
			events = append(events, set(desk.DCAFader, 0, float64(rapid.IntRange(-6, 6).Draw(t, "dca"))))
		case 2:
			events = append(events, set(desk.InputLevel, i, float64(rapid.IntRange(-70, -10).Draw(t, "level"))))
		case 3:
			events = append(events, set(desk.GroupReduction, 0, float64(rapid.IntRange(0, 9).Draw(t, "reduction"))))
		case 4:
			events = append(events, set(desk.SceneNumber, 0, float64(rapid.IntRange(0, 3).Draw(t, "scene"))))
		case 5: // a stream of steps
			for n := range 5 {
				fader[i] += 0.4
				s := set(desk.InputFader, i, fader[i])
				s.At = time.Duration(n) * 30 * ms
				events = append(events, s)
			}
		default:
			fader[i] += float64(rapid.IntRange(-4, 8).Draw(t, "by")) / 2
			events = append(events, set(desk.InputFader, i, fader[i]))
		}
		for _, e := range events {
			e.At += at
			heard = append(heard, e)
		}
		at = heard[len(heard)-1].At
	}
	return r, heard
}

// judged is everything that is said of a service, in JSON, with the state at its
// end. extra gives times at which to let time pass besides, before each reading.
func judged(t *rapid.T, r desk.Roster, heard []desk.Reading, extra func(from, to time.Duration) []time.Duration) string {
	j := NewJudge(r, DefaultLimits())
	var said []Finding
	var steps []Step
	end := heard[len(heard)-1].At + 5*minute
	pass := func(to time.Duration) {
		for _, at := range extra(j.at, to) {
			j.Advance(at)
			said, steps = append(said, j.Said()...), append(steps, j.Steps()...)
		}
	}
	for _, h := range heard {
		pass(h.At)
		j.Hear(h)
	}
	pass(end)
	j.Advance(end)
	said, steps = append(said, j.Said()...), append(steps, j.Steps()...)
	out, err := json.Marshal(struct {
		Said   []Finding
		Steps  []Step
		Glance Glance
	}{said, steps, j.Glance()})
	if err != nil {
		t.Fatal(err)
	}
	return string(out)
}

// TestLiveIsReplay: a live judge is woken whenever a timer fires or a page asks; a
// replay is not. The same readings must make the same findings all the same.
func TestLiveIsReplay(t *testing.T) {
	spoke := false
	rapid.Check(t, func(t *rapid.T) {
		r, heard := anyService(t)
		want := judged(t, r, heard, func(from, to time.Duration) []time.Duration { return nil })
		spoke = spoke || strings.Contains(want, "ratchet")
		got := judged(t, r, heard, func(from, to time.Duration) []time.Duration {
			if to <= from {
				return nil
			}
			var at []time.Duration
			for range rapid.IntRange(0, 4).Draw(t, "wakes") {
				at = append(at, from+time.Duration(rapid.Int64Range(0, int64(to-from)).Draw(t, "wake")))
			}
			slices.Sort(at)
			return at
		})
		if got != want {
			t.Fatalf("woken at other times:\ngot  %s\nwant %s", got, want)
		}
	})
	if !spoke {
		t.Error("no drawn service made anything speak: the test proves nothing")
	}
}

// TestReplaysWokenAtEveryTimer does the same with the written services, woken
// just when Next says.
func TestReplaysWokenAtEveryTimer(t *testing.T) {
	paths, _ := filepath.Glob("../testdata/replays/*.txt")
	for _, path := range paths {
		file, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		head, _, _ := strings.Cut(string(file), wantLine)
		s := scriptOf(t, path, head)
		plain, woken := NewJudge(s.roster, DefaultLimits()), NewJudge(s.roster, DefaultLimits())
		for _, r := range s.readings {
			plain.Hear(r)
			for next := woken.Next(); next < r.At; next = woken.Next() {
				woken.Advance(next)
			}
			woken.Hear(r)
		}
		plain.Advance(s.at)
		woken.Advance(s.at)
		a, _ := json.Marshal(plain.Said())
		b, _ := json.Marshal(woken.Said())
		if string(a) != string(b) {
			t.Errorf("%s: woken\n%s\nplain\n%s", path, b, a)
		}
	}
}

// TestAnyServiceIsSane: whatever hands do, every finding is whole and in order.
func TestAnyServiceIsSane(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r, heard := anyService(t)
		j := NewJudge(r, DefaultLimits())
		for _, h := range heard {
			j.Hear(h)
		}
		j.Advance(heard[len(heard)-1].At + 10*minute)
		open := map[int]bool{}
		last := time.Duration(0)
		for _, f := range j.Said() {
			switch {
			case f.At < last:
				t.Errorf("finding at %v after one at %v", f.At, last)
			case f.Phase == Open && open[f.Number]:
				t.Errorf("%d opened twice", f.Number)
			case f.Phase != Open && !open[f.Number]:
				t.Errorf("%d %v before it opened", f.Number, f.Phase)
			case f.Text == "" || f.Phase != Eased && f.Try == "":
				t.Errorf("%d has no words: %+v", f.Number, f)
			case f.Held != (f.HeldBy != ""):
				t.Errorf("%d held %v by %q", f.Number, f.Held, f.HeldBy)
			case len(f.Movers) == 0 || len(f.Inputs) != len(f.Movers):
				t.Errorf("%d is about %v, %v", f.Number, f.Movers, f.Inputs)
			case strings.Contains(f.Text+f.Try, "-0.0") || strings.Contains(f.Text+f.Try, "NaN") || strings.Contains(f.Text+f.Try, "Inf"):
				t.Errorf("%q %q", f.Text, f.Try)
			case strings.Contains(f.Try, "main"):
				t.Errorf("%q would move the main", f.Try)
			case !slices.IsSortedFunc(f.Evidence, func(a, b Evidence) int { return cmp.Compare(a.At, b.At) }):
				t.Errorf("evidence out of order: %+v", f.Evidence)
			}
			open[f.Number], last = f.Phase != Eased, f.At
			for _, v := range []desk.DB{f.Rise, f.Faders, f.Stage} {
				if math.IsNaN(float64(v)) || math.IsInf(float64(v), 0) {
					t.Errorf("a part is %v", v)
				}
			}
		}
		for n, is := range open {
			if is {
				t.Errorf("%d never eased, ten minutes after the last word", n)
			}
		}
	})
}

func TestTimeGoesForwardOnly(t *testing.T) {
	j := NewJudge(band(1, nil, nil), DefaultLimits())
	j.Hear(desk.Reading{At: minute, Signal: desk.InputFader, Value: -10})
	j.Hear(desk.Reading{At: time.Second, Signal: desk.InputFader, Value: -5})
	j.Hear(desk.Reading{At: -time.Second, Signal: desk.InputLevel, Value: -20})
	j.Advance(0)
	j.Advance(2 * minute)
	if s := j.Steps(); len(s) != 1 || s[0].At != minute {
		t.Errorf("steps %+v, want one at 1m0s: what comes late counts as now", s)
	}
}

// TestVeryLongGaps: a capture whose machine set its clock half way holds decades.
func TestVeryLongGaps(t *testing.T) {
	for _, gap := range []time.Duration{time.Hour, 24 * time.Hour, 56 * 365 * 24 * time.Hour, math.MaxInt64} {
		s := scriptOf(t, "service", fourEqual+"20s piano fader -6\n25s accordion fader -6\n30s fiddle fader -6\n35s end")
		j := NewJudge(s.roster, DefaultLimits())
		for _, r := range s.readings {
			j.Hear(r)
		}
		j.Hear(desk.Reading{At: gap, Signal: desk.InputFader, Index: 3, Value: -6})
		j.Advance(min(gap, endOfTime) + minute)
		if got := tellings(j.Said()); got != "open nudge, eased nudge" {
			t.Errorf("%v: %q", gap, got)
		}
		if gap > endOfTime {
			continue
		}
		if len(j.Steps()) != 4 {
			t.Errorf("%v: the raise after the gap is no step", gap)
		}
		for i := range 3 {
			j.Hear(desk.Reading{At: j.at + 5*time.Second, Signal: desk.InputFader, Index: i, Value: 0})
		}
		j.Advance(j.at + 4*minute)
		if got := tellings(j.Said()); got != "open nudge, eased nudge" {
			t.Errorf("%v: %q after the gap, want judging to go on", gap, got)
		}
	}
}

func TestDesksOfEverySize(t *testing.T) {
	for _, n := range []int{0, 1, 2, 64, 65, 200} {
		var names []string
		for range n {
			names = append(names, "x")
		}
		r := band(n, names, names)
		for i := range n {
			r.Inputs[i].DCAs, r.Inputs[i].Groups = []int{i}, []int{n - 1}
		}
		j := NewJudge(r, DefaultLimits())
		for _, s := range desk.Signals() {
			for _, i := range []int{0, 63, 64, n - 1, n, -1} {
				j.Hear(desk.Reading{At: j.at + 10*ms, Signal: s, Index: i, To: i, Value: 1})
			}
		}
		j.Advance(minute)
		g := j.Glance()
		if len(g.Squeezes) != n || len(g.Parts) != 5 || g.Sentence() == "" {
			t.Errorf("%d inputs: %+v", n, g)
		}
		j.Mark()
		if g = j.Glance(); g.Split != (Split{}) || g.Playing == 0 && g.Marked {
			t.Errorf("%d inputs: %q just after a mark", n, g.Sentence())
		}
	}
}

func TestMark(t *testing.T) {
	for _, c := range []struct {
		name string
		text string
		at   time.Duration
		how  string
	}{
		{"none before there is music", "5s end", 0, ""},
		{"the music began", "20s end", 10 * time.Second, MarkedStart},
		{"a first dump is no scene", "50ms piano mute 1\n51ms accordion mute 1\n52ms fiddle mute 1\n53ms lead mute 1\n54ms harp mute 1\n55ms scene number 4\n60s end", 0, ""},
		{"a scene, once it has stood", "21s scene number 2\n40s end", 31 * time.Second, MarkedScene},
		{"another routing", "20s piano dca 0\n40s end", 30 * time.Second, MarkedReroute},
		{"a scene in silence waits for the music", `
			20s piano level -inf
			20s accordion level -inf
			20s fiddle level -inf
			20s lead level -inf
			41s scene number 2
			80s piano level -20
			80s accordion level -20
			80s fiddle level -20
			100s end`, 90 * time.Second, MarkedScene},
		{"a level that was kept", "20s piano fader -6\n25s accordion fader -6\n30s fiddle fader -6\n220s end", 210 * time.Second, MarkedAccepted},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, j := serve(t, fourEqual+c.text)
			g := j.Glance()
			late := g.MarkedAt - c.at
			if g.Marked != (c.how != "") || g.MarkedHow != c.how || late < 0 || late > time.Second {
				t.Errorf("marked %v at %v because %q, want about %v, %q", g.Marked, g.MarkedAt, g.MarkedHow, c.at, c.how)
			}
		})
	}
}

func TestGlance(t *testing.T) {
	_, j := serve(t, fourEqual+"20s piano fader -4\n30s lead level -18\n60s end")
	g := j.Glance()
	if got, want := g.Sentence(), "+2.8 dB since the mark: 2.3 from the faders, 0.5 from the stage."; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	if !near(g.Split.Total(), g.Total.Above(g.MarkTotal)) {
		t.Errorf("split %+v, total %v, at the mark %v", g.Split, g.Total, g.MarkTotal)
	}
	var parts []string
	for _, p := range g.Parts {
		parts = append(parts, p.Element.String()+" "+p.Primary)
	}
	if got := strings.Join(parts, ", "); got != "foundation , pad accordion, rhythm piano, lead lead, fill fiddle" {
		t.Errorf("parts %s", got)
	}
	if got := (Glance{}).Sentence(); got != "No fader is open yet." {
		t.Errorf("got %q", got)
	}
}

// TestUnexplainedMain: a main meter that goes its own way while there is music
// means that the map lacks something; one that idles after it means nothing.
func TestUnexplainedMain(t *testing.T) {
	for _, c := range []struct {
		name, text string
		want       bool
	}{
		{"follows", "0s main level -24\n90s end", true},
		{"goes its own way", "0s main level -24\n50s main level -14\n90s end", false},
		{"idles once the music is over", "0s main level -24\n50s main level -80\n50s piano level -90\n50s accordion level -90\n50s fiddle level -90\n50s lead level -90\n90s end", true},
	} {
		head, tail := c.text, ""
		if at := strings.Index(c.text, "\n"); at > 0 {
			head, tail = c.text[:at+1], c.text[at+1:]
		}
		_, j := serve(t, fourEqual+head+tail)
		if got := j.Glance().Explained; got != c.want {
			t.Errorf("%s: explained %v, want %v (wander %v)", c.name, got, c.want, j.mix.mismatch.wander())
		}
	}
}

func TestSeenAndNotNow(t *testing.T) {
	said, j := serve(t, fourEqual+"20s piano fader -6\n25s accordion fader -6\n30s fiddle fader -6\n40s end")
	if len(said) != 1 || !j.Visible(1) {
		t.Fatalf("said %+v, visible %v", said, j.Visible(1))
	}
	j.Seen(1)
	if j.Visible(1) {
		t.Error("still visible once seen")
	}
	j.Seen(99)
	j.NotNow(said[0])
	for i, db := range []float64{-3, -1, 2} {
		j.Hear(desk.Reading{At: 41*time.Second + time.Duration(i)*time.Second, Signal: desk.InputFader, Index: i, Value: db})
	}
	j.Advance(50 * time.Second)
	grew := j.Said()
	if len(grew) == 0 || !grew[len(grew)-1].Held || !strings.Contains(grew[0].HeldBy, "not now") {
		t.Errorf("after not now: %+v, want it grown and held", grew)
	}
}

func TestStepsAreBounded(t *testing.T) {
	j := NewJudge(band(1, nil, nil), DefaultLimits())
	for i := range 700 {
		j.Hear(desk.Reading{At: time.Duration(i) * time.Second, Signal: desk.InputFader, Value: float64(-10 - i%2)})
	}
	j.Advance(time.Hour)
	if got := len(j.Steps()); got != mostSteps {
		t.Errorf("%d steps, want %d", got, mostSteps)
	}
	if got := len(j.Steps()); got != 0 {
		t.Errorf("%d steps again, want none", got)
	}
}
