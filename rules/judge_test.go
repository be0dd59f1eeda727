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

	"pawl/daemon/practice/practicetest"
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

// anyPresses draws what somebody presses during a service: what is on the screen,
// what is not, and all else.
func anyPresses(t *rapid.T, end time.Duration) (presses []TimedPress) {
	for range rapid.IntRange(0, 12).Draw(t, "presses") {
		presses = append(presses, TimedPress{
			At: time.Duration(rapid.Int64Range(0, int64(end)).Draw(t, "when")),
			Press: Press{
				Do: rapid.SampledFrom(Presses).Draw(t, "do"), Number: rapid.IntRange(0, 3).Draw(t, "number"), On: rapid.Bool().Draw(t, "on"),
				Kind: rapid.SampledFrom(append([]desk.SegmentKind{""}, desk.SegmentKinds...)).Draw(t, "kind"),
				Text: rapid.SampledFrom([]string{"", "a song", "reel", "welcome"}).Draw(t, "text"), Next: rapid.Bool().Draw(t, "next"),
			},
		})
		// A tap is taken back within a minute or not at all, which two draws seldom come to.
		if last := presses[len(presses)-1]; last.Press.Do == NewSegment && rapid.Bool().Draw(t, "taken back") {
			presses = append(presses, TimedPress{At: last.At + time.Duration(rapid.Int64Range(0, int64(50*time.Second)).Draw(t, "soon")), Press: Press{Do: Back}})
		}
	}
	slices.SortFunc(presses, func(a, b TimedPress) int { return cmp.Compare(a.At, b.At) })
	return presses
}

// anyOrder has a part for one of the scenes that anyService draws.
var anyOrder = func() desk.Order {
	one := 1
	return desk.Order{
		{Name: "reel", Kind: desk.Music, Primary: &one, Elements: map[int]desk.Element{1: desk.Lead}, Scene: &one}, {Name: "welcome", Kind: desk.Speech},
	}
}()

// judged is everything that is said of a service, in JSON, with the picture at its
// end. extra gives times at which to let time pass besides, before each reading.
func judged(t *rapid.T, r desk.Roster, o Options, heard []desk.Reading, presses []TimedPress, extra func(from, to time.Duration) []time.Duration) string {
	j := NewJudge(r, DefaultLimits(), o)
	var entries []Entry
	end := heard[len(heard)-1].At + 5*minute
	pass := func(to time.Duration) {
		for _, at := range extra(j.at, to) {
			j.Advance(at)
			entries = append(entries, j.Take(nil)...)
		}
	}
	press := func(until time.Duration) {
		for ; len(presses) > 0 && presses[0].At < until; presses = presses[1:] {
			pass(presses[0].At)
			j.Advance(presses[0].At)
			_ = j.Press(presses[0].Press) // what is refused must be refused both times
		}
	}
	for _, h := range heard {
		press(h.At)
		pass(h.At)
		j.Alive(h.At)
		j.Hear(h)
	}
	press(end)
	pass(end)
	j.Advance(end)
	entries = append(entries, j.Take(nil)...)
	out, err := json.Marshal(struct {
		Entries []Entry
		Picture Picture
	}{entries, j.Picture()})
	if err != nil {
		t.Fatal(err)
	}
	return string(out)
}

// TestLiveIsReplay: a live judge is woken whenever a timer fires or a page asks; a
// replay is not. The same readings and presses must make the same entries all the same.
func TestLiveIsReplay(t *testing.T) {
	practicetest.SkipRaced(t)
	spoke, stood, parted := false, false, map[desk.Began]bool{}
	rapid.Check(t, func(t *rapid.T) {
		r, heard := anyService(t)
		r.Inputs[4].Voice = true
		o := Options{Stale: 20 * time.Second, Order: anyOrder}
		if rapid.Bool().Draw(t, "the map does not say") {
			o.Stale, o.Steady = 0, true
		}
		presses := anyPresses(t, heard[len(heard)-1].At+4*minute)
		want := judged(t, r, o, heard, presses, func(from, to time.Duration) []time.Duration { return nil })
		stood = stood || o.Steady && strings.Contains(want, `"entry":"link"`)
		spoke = spoke || strings.Contains(want, "ratchet")
		for _, how := range []desk.Began{desk.Tapped, desk.Recalled, desk.Overheard, desk.TakenBack} {
			parted[how] = parted[how] || strings.Contains(want, `"how":"`+string(how)+`"`)
		}
		got := judged(t, r, o, heard, presses, func(from, to time.Duration) []time.Duration {
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
	if !spoke || !stood {
		t.Errorf("a drawn service made something speak: %v, and a desk whose map does not say was away in one: %v; want both", spoke, stood)
	}
	for _, how := range []desk.Began{desk.Tapped, desk.Recalled, desk.Overheard, desk.TakenBack} {
		if !parted[how] {
			t.Errorf("no drawn service had a segment that began by %q", how)
		}
	}
}

// TestReplaysWokenAtEveryTimer does the same with the written services, woken
// just when Next says.
func TestReplaysWokenAtEveryTimer(t *testing.T) {
	practicetest.SkipRaced(t)
	paths, _ := filepath.Glob("../testdata/replays/*.txt")
	for _, path := range paths {
		file, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		head, _, _ := strings.Cut(string(file), WantLine)
		s := ScriptOf(t, path, head)
		plain, woken := NewJudge(s.Roster, s.Limits, Options{}), NewJudge(s.Roster, s.Limits, Options{})
		s.Play(plain)
		for _, r := range s.Readings {
			for next := woken.Next(); next < r.At; next = woken.Next() {
				woken.Advance(next)
			}
			woken.Hear(r)
		}
		woken.Advance(s.At)
		a, _ := json.Marshal(plain.Take(nil))
		b, _ := json.Marshal(woken.Take(nil))
		if len(s.Presses) == 0 && string(a) != string(b) {
			t.Errorf("%s: woken\n%s\nplain\n%s", path, b, a)
		}
	}
}

// TestAnyServiceIsSane: whatever hands do, every finding is whole and in order.
func TestAnyServiceIsSane(t *testing.T) {
	practicetest.SkipRaced(t)
	rapid.Check(t, func(t *rapid.T) {
		r, heard := anyService(t)
		j := newJudge(r)
		for _, h := range heard {
			j.Hear(h)
		}
		j.Advance(heard[len(heard)-1].At + 10*minute)
		music := j.seen.Music()
		for i := range r.Inputs { // what holds as long as its cause does eases when nobody plays
			j.Hear(set(desk.InputLevel, i, math.Inf(-1)))
		}
		j.Advance(j.at + 2*minute)
		open, rule := map[int]bool{}, map[int]string{}
		last := Moment(0)
		for _, f := range said(j) {
			switch {
			case f.T < last:
				t.Errorf("finding at %v after one at %v", f.T, last)
			case f.State == Open && open[f.Number]:
				t.Errorf("%d opened twice", f.Number)
			case f.State != Open && !open[f.Number]:
				t.Errorf("%d %v before it opened", f.Number, f.State)
			case len(f.What) == 0 || f.State != Eased && f.Try.ID == "":
				t.Errorf("%d says nothing: %+v", f.Number, f)
			case f.State != Eased && f.Shown != (f.HeldBack == nil):
				t.Errorf("%d shown %v, held back by %v", f.Number, f.Shown, f.HeldBack)
			case len(f.About) == 0 || len(f.Inputs) != len(f.About):
				t.Errorf("%d is about %v, %v", f.Number, f.About, f.Inputs)
			case slices.ContainsFunc(f.Try.Who["who"], func(w desk.Who) bool { return w.Strip == desk.StripMain }):
				t.Errorf("%+v would move the main", f.Try)
			case !slices.IsSortedFunc(f.Facts, func(a, b Fact) int { return cmp.Compare(a.T, b.T) }):
				t.Errorf("facts out of order: %+v", f.Facts)
			}
			open[f.Number], rule[f.Number], last = f.State != Eased, f.Rule, f.T
			for _, g := range f.Figures {
				if math.IsNaN(g.Value) || math.IsInf(g.Value, 0) {
					t.Errorf("%s is %v", g.Name, g.Value)
				}
			}
		}
		for n, is := range open {
			// A level is kept by ten minutes of music, not of silence.
			if is && (music || rule[n] != "ratchet") {
				t.Errorf("%d of %s never eased, ten minutes after the last word and two of silence", n, rule[n])
			}
		}
	})
}

func TestTimeGoesForwardOnly(t *testing.T) {
	j := newJudge(band(1, nil, nil))
	j.Hear(desk.Reading{At: minute, Signal: desk.InputFader, Value: -10})
	j.Hear(desk.Reading{At: time.Second, Signal: desk.InputFader, Value: -5})
	j.Hear(desk.Reading{At: -time.Second, Signal: desk.InputLevel, Value: -20})
	j.Advance(0)
	j.Advance(2 * minute)
	var raises []*Moved
	for _, m := range only[*Moved](j.Take(nil)) {
		if m.Kind == desk.Raise {
			raises = append(raises, m)
		}
	}
	if len(raises) != 1 || raises[0].Began != Moment(minute) {
		t.Errorf("raises %+v, want one at 1m0s: what comes late counts as now", raises)
	}
}

// TestVeryLongGaps: a capture whose machine set its clock half way holds decades.
func TestVeryLongGaps(t *testing.T) {
	for _, gap := range []time.Duration{time.Hour, 24 * time.Hour, 56 * 365 * 24 * time.Hour, math.MaxInt64} {
		s := ScriptOf(t, "service", fourEqual+"20s piano fader -6\n25s accordion fader -6\n30s fiddle fader -6\n35s end")
		j := newJudge(s.Roster)
		for _, r := range s.Readings {
			j.Hear(r)
		}
		j.Hear(desk.Reading{At: gap, Signal: desk.InputFader, Index: 3, Value: -6})
		j.Advance(min(gap, endOfTime) + minute)
		all := j.Take(nil)
		if got := tellings(only[*Finding](all)); got != "open nudge, eased nudge" {
			t.Errorf("%v: %q", gap, got)
		}
		if gap > endOfTime {
			continue
		}
		raises := 0
		for _, m := range only[*Moved](all) {
			if m.Kind == desk.Raise {
				raises++
			}
		}
		if raises != 4 {
			t.Errorf("%v: %d raises, want the one after the gap too", gap, raises)
		}
		for i := range 3 {
			j.Hear(desk.Reading{At: j.at + 5*time.Second, Signal: desk.InputFader, Index: i, Value: 0})
		}
		j.Advance(j.at + 4*minute)
		if got := tellings(said(j)); got != "open nudge, eased nudge" {
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
		j := newJudge(r)
		for _, s := range desk.Signals() {
			for _, i := range []int{0, 63, 64, n - 1, n, -1} {
				j.Hear(desk.Reading{At: j.at + 10*ms, Signal: s, Index: i, To: i, Value: 1})
			}
		}
		j.Advance(minute)
		g := j.Picture()
		if len(g.Groups) != n || len(g.Parts) != 5 || g.Lead.ID == "" {
			t.Errorf("%d inputs: %+v", n, g)
		}
		if err := j.Press(Press{Do: SetMark}); err != nil {
			t.Errorf("%d inputs: %v", n, err)
		}
		if g = j.Picture(); g.Split != (desk.Split{}) || g.Playing == 0 && g.Mark.Set {
			t.Errorf("%d inputs: %q just after a mark", n, g.Lead.ID)
		}
	}
}

func TestMark(t *testing.T) {
	for _, c := range []struct {
		name string
		text string
		at   time.Duration
		how  desk.How
	}{
		{"none before there is music", "5s end", 0, ""},
		{"the music began", "20s end", 10 * time.Second, desk.MusicBegan},
		{"a first dump is no scene", "50ms piano mute 1\n51ms accordion mute 1\n52ms fiddle mute 1\n53ms lead mute 1\n54ms harp mute 1\n55ms scene number 4\n60s end", 0, ""},
		{"a scene, once it has stood", "21s scene number 2\n40s end", 31 * time.Second, desk.SceneChanged},
		{"another routing", "20s piano dca 0\n40s end", 30 * time.Second, desk.Rerouted},
		{"a scene in silence waits for the music", `
			20s piano level -inf
			20s accordion level -inf
			20s fiddle level -inf
			20s lead level -inf
			41s scene number 2
			80s piano level -20
			80s accordion level -20
			80s fiddle level -20
			100s end`, 90 * time.Second, desk.SceneChanged},
		{"a level that was kept", "20s piano fader -6\n25s accordion fader -6\n30s fiddle fader -6\n220s end", 210 * time.Second, desk.LevelKept},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, j := serve(t, fourEqual+c.text)
			m := j.Picture().Mark
			late := time.Duration(m.T) - c.at
			if m.Set != (c.how != "") || m.How != c.how || late < 0 || late > time.Second {
				t.Errorf("marked %v at %v because %q, want about %v, %q", m.Set, m.T, m.How, c.at, c.how)
			}
		})
	}
}

func TestPicture(t *testing.T) {
	led := strings.NewReplacer("fiddle pad", "fiddle fill", "lead none", "lead lead").Replace(fourEqual)
	_, j := serve(t, led+"20s piano fader -4\n30s lead level -18\n60s end")
	p := j.Picture()
	if p.Lead.ID != "glance.little-louder" || p.Rest.ID != "glance.mostly-faders" || p.Causes.ID != "glance.causes" || p.Rise.Shown() != 2.8 || p.Split.Faders.Shown() != 2.3 || p.Split.Stage.Shown() != 0.5 {
		t.Errorf("got %+v of %+v, want +2.8 dB: 2.3 from the faders, 0.5 from the stage", p.Split, p.Lead)
	}
	if (p.Rise - p.Total.Above(p.Mark.Total)).Abs() > 1e-9 {
		t.Errorf("rise %v, total %v, at the mark %v", p.Rise, p.Total, p.Mark.Total)
	}
	var parts []string
	for _, part := range p.Parts {
		name := ""
		if part.Lead != nil {
			name = part.Lead.Name
		}
		parts = append(parts, part.Element.String()+" "+name)
	}
	if got := strings.Join(parts, ", "); got != "foundation , pad accordion, rhythm piano, lead lead, fill fiddle" {
		t.Errorf("parts %s", got)
	}
}

func TestGlance(t *testing.T) {
	marked := func(how desk.How, faders, stage, groups, main desk.DB) Picture {
		s := desk.Split{Faders: faders, Stage: stage, Groups: groups, Main: main}
		return Picture{Basis: desk.OnMeters, Playing: 4, Total: -18, Mark: MarkPicture{Set: true, How: how}, Rise: s.Total(), Split: s}
	}
	for _, c := range []struct {
		name    string
		picture Picture
		want    string
	}{
		{"nothing is known", Picture{}, "closed"},
		{"no mark yet", Picture{Basis: desk.OnMeters}, "listening"},
		{"nobody plays", Picture{Mark: MarkPicture{Set: true}}, "silent"},
		{"nothing leaves", Picture{Mark: MarkPicture{Set: true}, Playing: 3, Total: desk.Silence}, "shut"},
		{"as it was", marked(desk.ByHand, 0.4, 0.5, 0, 0), "as-hand"},
		{"1 dB as it is shown", marked(desk.MusicBegan, 0.96, 0, 0, 0), "little-louder mostly-faders"},
		{"just not", marked(desk.MusicBegan, 0.94, 0, 0, 0), "as-music"},
		{"the faders follow the stage", marked(desk.LevelKept, 2, -2.1, 0, 0), "as-accepted faders-made-up"},
		{"and the other way round", marked(desk.SceneChanged, -2, 2.1, 0, 0), "as-scene stage-made-up"},
		{"louder", marked(desk.ByHand, 3, 0, 0, 0), "louder mostly-faders"},
		{"by the stage", marked(desk.ByHand, 1, 2.5, 0, 0), "louder mostly-stage"},
		{"by both", marked(desk.ByHand, 1, 1.2, 0, 0), "little-louder faders-and-stage"},
		{"by the main", marked(desk.ByHand, 0, 0.5, 0, -4), "quieter mostly-main"},
		{"by a group's fader", marked(desk.ByHand, 0, 0, 2, 0), "little-louder mostly-groups"},
		{"by many things", marked(desk.ByHand, 1, -1, 1, 1.5), "little-louder mostly-main"},
		{"by really many things", marked(desk.ByHand, 1, 0, 1.5, 1.5), "louder several"},
		{"a little quieter", marked(desk.ByHand, -2, 0.2, 0, 0), "little-quieter mostly-faders"},
	} {
		c.picture.glance()
		got := strings.TrimSpace(strings.ReplaceAll(c.picture.Lead.ID+" "+c.picture.Rest.ID, "glance.", ""))
		if got != c.want {
			t.Errorf("%s: got %q, want %q", c.name, got, c.want)
		}
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
		if got := j.Picture().Explained; got != c.want {
			v := j.view()
			t.Errorf("%s: explained %v, want %v (wander %v)", c.name, got, c.want, v.Unexplained())
		}
	}
}

func TestSeenAndNotNow(t *testing.T) {
	all, j := serve(t, fourEqual+"20s piano fader -6\n25s accordion fader -6\n30s fiddle fader -6\n40s end")
	if len(all) != 1 || !all[0].Shown || j.Picture().Card != all[0] {
		t.Fatalf("said %+v, card %+v", all, j.Picture().Card)
	}
	for _, p := range []Press{{Do: Seen, Number: 99}, {Do: NotNow}} {
		if err := j.Press(p); err != ErrGone {
			t.Errorf("%+v: %v, want it refused", p, err)
		}
	}
	if err := j.Press(Press{Do: NotNow, Number: 1}); err != nil || j.Picture().Card != nil {
		t.Errorf("%v, card %+v once it was put off", err, j.Picture().Card)
	}
	if err := j.Press(Press{Do: Seen, Number: 1}); err != ErrGone {
		t.Errorf("%v, want what is gone refused", err)
	}
	for i, db := range []float64{-3, -1, 2} {
		j.Hear(desk.Reading{At: 41*time.Second + time.Duration(i)*time.Second, Signal: desk.InputFader, Index: i, Value: db})
	}
	j.Advance(50 * time.Second)
	grew := said(j)
	if len(grew) == 0 || grew[len(grew)-1].Shown || grew[0].HeldBack == nil || grew[0].HeldBack.ID != "held.not-now" {
		t.Errorf("after not now: %+v, want it grown and held", grew)
	}
}

// TestPressesAreEntries: what was taken is in the stream with its time, what was
// refused is not.
func TestPressesAreEntries(t *testing.T) {
	_, j := serve(t, fourEqual+"40s end")
	for _, p := range []Press{
		{Do: Note, Text: "the horn is late"}, {Do: NewSegment, Kind: desk.Speech, Text: "reading"}, {Do: Hold, On: true}, {Do: SetMark},
		{Do: "dance"}, {Do: Note}, {Do: NewSegment, Kind: "encore"}, {Do: Note, Text: "two\nlines"}, {Do: Note, Text: strings.Repeat("x", MostText+1)},
	} {
		_ = j.Press(p)
	}
	var got []string
	for _, e := range j.Take(nil) {
		got = append(got, string(e.Head().Entry))
		if time.Duration(e.Head().T) != 40*time.Second {
			t.Errorf("%+v is not of now", e)
		}
	}
	if all := strings.Join(got, " "); all != "press press segment press press mark" {
		t.Errorf("entries %s", all)
	}
	if p := j.Picture(); p.Segment.Name != "reading" || p.Segment.Number != 2 || !p.Hold {
		t.Errorf("the picture has %+v, hold %v", p.Segment, p.Hold)
	}
}

// TestEntriesAreNumbered: from one, without a gap, in order of time.
func TestEntriesAreNumbered(t *testing.T) {
	s := ScriptOf(t, "service", fourEqual+"20s piano fader -6\n25s accordion fader -6\n30s fiddle fader -6\n40s press seen 1\n60s end")
	j := newJudge(s.Roster)
	s.Play(j)
	last := Moment(0)
	for i, e := range j.Take(nil) {
		if h := e.Head(); h.N != uint64(i+1) || h.T < last {
			t.Errorf("entry %d is %+v after %v", i+1, h, last)
		}
		last = e.Head().T
	}
}

// TestAwayDeskKeepsNothing: a desk that nobody hears has not kept a level. The entries say that
// it was gone, and after as long as anybody waits nothing is left of what was said.
func TestAwayDeskKeepsNothing(t *testing.T) {
	s := ScriptOf(t, "service", fourEqual+"20s piano fader -6\n25s accordion fader -6\n30s fiddle fader -6\n35s end")
	j := NewJudge(s.Roster, DefaultLimits(), Options{Stale: 5 * time.Second})
	for _, r := range s.Readings {
		for at := j.at; at < r.At; at += time.Second {
			j.Alive(at)
		}
		j.Hear(r)
	}
	j.Advance(10 * minute)
	all := j.Take(nil)
	if got := tellings(of(only[*Finding](all), "ratchet")); got != "open nudge, held nudge" {
		t.Errorf("%q, want the card open: nobody kept anything", got)
	}
	j.Advance(20 * minute)
	over := j.Take(nil)
	if got := of(only[*Finding](over), "ratchet"); tellings(got) != "eased nudge" || got[0].Accepted {
		t.Errorf("%q, want it over, and accepted by nobody", tellings(got))
	}
	all = append(all, over...)
	if got := tellings(of(only[*Finding](all), "quiet-desk")); got != "open now, eased now" {
		t.Errorf("%q, want it told that the desk is away, and not for ever", got)
	}
	if l := only[*Linked](all); len(l) != 1 || l[0].Heard || time.Duration(l[0].T) > 36*time.Second {
		t.Errorf("link %+v, want it quiet about 5 s after the last packet", l)
	}
	if n := len(only[*Second](all)); n > 30 {
		t.Errorf("%d seconds told, want none while the desk is away", n)
	}
	for at := 20 * minute; at <= 23*minute+30*time.Second; at += time.Second {
		j.Alive(at)
	}
	back := j.Take(nil)
	if l := only[*Linked](back); len(l) != 1 || !l[0].Heard || time.Duration(l[0].Away) < 19*minute {
		t.Errorf("link %+v, want it back after more than 19 min", l)
	}
	if got := tellings(only[*Finding](back)); got != "" {
		t.Errorf("%q, want nothing of what was done before it was away", got)
	}
	if m := only[*Marked](back); len(m) != 1 || m[0].How != desk.MusicBegan {
		t.Errorf("marks %+v, want one of the music that is heard again", m)
	}
}

// TestFiguresKeepTheirOrder: what is told first is read back first.
func TestFiguresKeepTheirOrder(t *testing.T) {
	told := Figures{DB("rise", 2.5), DB("faders", 2), Level("at", desk.Silence), Number("count", 3)}
	written, err := json.Marshal(told)
	if err != nil {
		t.Fatal(err)
	}
	var got Figures
	if err := json.Unmarshal(written, &got); err != nil || !slices.Equal(got, told) {
		t.Errorf("%s is read as %+v (%v)", written, got, err)
	}
	for _, wrong := range []string{`[1]`, `{"rise":1}`, `{"rise_db":"x"}`, `3`} {
		if json.Unmarshal([]byte(wrong), &got) == nil {
			t.Errorf("%s was taken for figures", wrong)
		}
	}
	if err := json.Unmarshal([]byte("null"), &got); err != nil || got != nil {
		t.Errorf("null is read as %+v (%v)", got, err)
	}
}

// TestLevelsAreAsked: who does not ask for levels gets none, and who does has one for
// every second, with what the entry of that second says.
func TestLevelsAreAsked(t *testing.T) {
	for _, asked := range []bool{false, true} {
		r := desk.Roster{Inputs: []desk.Input{{Name: "piano", Main: true}, {Name: "fiddle", Main: true}}}
		j := NewJudge(r, DefaultLimits(), Options{Stale: 5 * time.Second, Levels: asked})
		for s := range 60 {
			at := time.Duration(s) * time.Second
			j.Alive(at)
			for i := range r.Inputs {
				j.Hear(desk.Reading{At: at, Signal: desk.InputFader, Index: i, Value: float64(-5 * i)})
			}
		}
		j.Advance(70 * time.Second)
		levels := j.TakeLevels(nil)
		if !asked {
			if len(levels) > 0 {
				t.Errorf("%d seconds of levels that nobody asked for", len(levels))
			}
			continue
		}
		if len(levels) != 70 || levels[69].Heard || !levels[60].Heard || levels[30].Inputs[1].Gain != -5 {
			t.Errorf("%d seconds of levels, the last %+v; want 70, and the desk away at the end", len(levels), levels[len(levels)-1])
		}
		for _, e := range j.Take(nil) {
			s, ok := e.(*Second)
			if !ok {
				continue
			}
			l := levels[time.Duration(s.T)/time.Second-1]
			if l.T != s.T || l.Total != s.Total || l.Split != s.Split || l.Playing != s.Playing {
				t.Errorf("levels %+v of the second %+v", l, s)
			}
		}
		if again := j.TakeLevels(nil); len(again) > 0 {
			t.Errorf("%d seconds taken twice", len(again))
		}
	}
}
