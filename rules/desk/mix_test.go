package desk

import (
	"fmt"
	"math"
	"testing"
	"time"
)

// band is a roster of n inputs straight to the main, with these DCAs and groups.
func band(n int, dcas, groups []string) Roster {
	r := Roster{DCAs: dcas, Groups: groups}
	for i := range n {
		r.Inputs = append(r.Inputs, Input{Name: fmt.Sprintf("input %d", i+1), Main: true})
	}
	return r
}

func set(s Signal, index int, value float64) Reading {
	return Reading{Signal: s, Index: index, Value: value}
}

// mixOf is a mix that has heard these readings and stood for ten seconds.
func mixOf(r Roster, heard ...Reading) *Mix {
	m := NewMix(r, DefaultMixLimits(), DefaultMoveLimits())
	for _, h := range heard {
		m.Hear(0, &h)
	}
	stand(m)
	return m
}

func stand(m *Mix) {
	for range meterSlots {
		m.Fold()
	}
}

func totalOf(m *Mix) DBFS {
	var b Balance
	m.balance(&b, 10*time.Second)
	return b.Total()
}

func TestTotal(t *testing.T) {
	one := band(1, []string{"band", "all"}, []string{"low", "high"})
	one.Inputs[0].DCAs = []int{0}
	grouped := one
	grouped.Inputs = []Input{{Name: "x", Groups: []int{0}, DCAs: []int{0}}}
	twice := one
	twice.Inputs = []Input{{Name: "x", Groups: []int{0, 1}}}
	closed := math.Inf(-1)
	for _, c := range []struct {
		name   string
		roster Roster
		heard  []Reading
		want   DBFS
	}{
		{"nothing heard", one, nil, Silence},
		{"a level, and the fader closed", one, []Reading{set(InputLevel, 0, -20)}, Silence},
		{"a fader", one, []Reading{set(InputLevel, 0, -20), set(InputFader, 0, -6)}, -26},
		{"and its DCA", one, []Reading{set(InputLevel, 0, -20), set(InputFader, 0, -6), set(DCAFader, 0, 4)}, -22},
		{"a DCA that it does not follow", one, []Reading{set(InputLevel, 0, -20), set(InputFader, 0, -6), set(DCAFader, 1, 4)}, -26},
		{"the desk says it follows both", one, []Reading{set(InputLevel, 0, -20), set(InputFader, 0, -6),
			set(DCAFader, 0, 4), set(DCAFader, 1, 3), {Signal: InputDCA, To: 1, Value: 1}}, -19},
		{"the desk says it follows none", one, []Reading{set(InputLevel, 0, -20), set(InputFader, 0, -6),
			set(DCAFader, 0, 4), {Signal: InputDCA, To: 0, Value: 0}}, -26},
		{"muted", one, []Reading{set(InputLevel, 0, -20), set(InputFader, 0, -6), set(InputMute, 0, 1)}, Silence},
		{"moved while muted, then not", one, []Reading{set(InputLevel, 0, -20), set(InputFader, 0, -6), set(InputMute, 0, 1),
			set(InputFader, 0, -3), set(InputMute, 0, 0)}, -23},
		{"DCA muted", one, []Reading{set(InputLevel, 0, -20), set(InputFader, 0, -6), set(DCAMute, 0, 1)}, Silence},
		{"DCA closed", one, []Reading{set(InputLevel, 0, -20), set(InputFader, 0, -6), set(DCAFader, 0, closed)}, Silence},
		{"main fader", one, []Reading{set(InputLevel, 0, -20), set(InputFader, 0, -6), set(MainFader, 0, -2)}, -28},
		{"main muted", one, []Reading{set(InputLevel, 0, -20), set(InputFader, 0, -6), set(MainMute, 0, 1)}, Silence},
		{"a group that holds down and makes up", grouped, []Reading{set(InputLevel, 0, -20), set(InputFader, 0, -6),
			set(GroupReduction, 0, 5), set(GroupMakeUp, 0, 2), set(GroupFader, 0, -1)}, -30},
		{"a group muted", grouped, []Reading{set(InputLevel, 0, -20), set(InputFader, 0, -6), set(GroupMute, 0, 1)}, Silence},
		{"in two groups", twice, []Reading{set(InputLevel, 0, -20), set(InputFader, 0, 0)}, DBFS(-20 + 10*math.Log10(2))},
		{"the desk says a group too", one, []Reading{set(InputLevel, 0, -20), set(InputFader, 0, 0),
			{Signal: InputGroup, To: 1, Value: 1}}, DBFS(-20 + 10*math.Log10(2))},
		{"the desk says not to the main", one, []Reading{set(InputLevel, 0, -20), set(InputFader, 0, 0), set(InputMain, 0, 0)}, Silence},
		{"post-fader meter", one, []Reading{set(InputFader, 0, -6), set(DCAFader, 0, 4), {Signal: InputLevel, Value: -22, Post: true}}, -22},
		{"post-fader meter, then the fader moves", one, []Reading{set(InputFader, 0, -6), {Signal: InputLevel, Value: -26, Post: true},
			set(InputFader, 0, 0)}, -20},
		{"post-fader meter behind a closed fader tells nothing", one, []Reading{set(InputLevel, 0, -20), set(InputFader, 0, -70),
			{Signal: InputLevel, Value: -90, Post: true}, set(InputFader, 0, 0)}, -20},
		{"both meters: the one before the fader is believed", one, []Reading{set(InputFader, 0, -6), {Signal: InputLevel, Value: -50, Post: true},
			set(InputLevel, 0, -20), {Signal: InputLevel, Value: -50, Post: true}}, -26},
		{"strips that the roster lacks", one, []Reading{set(InputLevel, 0, -20), set(InputFader, 0, -6), set(InputFader, 1, 0),
			set(InputLevel, 9, 0), set(DCAFader, 2, 10), set(GroupReduction, 7, 9), set(InputMute, -1, 1),
			{Signal: InputDCA, To: 9, Value: 1}, {Signal: InputGroup, To: -1, Value: 1}}, -26},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := totalOf(mixOf(c.roster, c.heard...))
			if got != c.want && math.Abs(float64(got-c.want)) > 1e-9 {
				t.Errorf("got %v, want %v", float64(got), float64(c.want))
			}
		})
	}
}

// TestGainIsTheSameByAnyRoad: a fader's own short way through the mix must leave
// what deriving everything again would.
func TestGainIsTheSameByAnyRoad(t *testing.T) {
	r := band(2, []string{"band"}, nil)
	r.Inputs[0].DCAs = []int{0}
	m := mixOf(r, set(InputFader, 0, -6), set(DCAFader, 0, -3), set(InputFader, 1, 0), set(InputMute, 1, 1))
	m.hear(set(InputFader, 0, -2))
	m.hear(set(InputFader, 1, -2))
	short := m.now.gain[0]
	if m.stale {
		t.Error("an input's fader made everything stale")
	}
	m.stale = true
	m.refresh()
	if m.now.gain[0] != short || m.now.gain[1] != 0 {
		t.Errorf("gains %v, want %v and 0", m.now.gain, short)
	}
}

func TestReductionIsAMeanAndNotTheLastNeedle(t *testing.T) {
	r := band(1, nil, []string{"band"})
	r.Inputs[0].Main, r.Inputs[0].Groups = false, []int{0}
	m := mixOf(r, set(InputLevel, 0, -20), set(InputFader, 0, 0), set(GroupReduction, 0, 2))
	m.hear(set(GroupReduction, 0, 12))
	m.Fold()
	if got := totalOf(m); math.Abs(float64(got+22)) > 0.1 {
		t.Errorf("total %v after one deep beat, want about -22 dBFS", got)
	}
}

func TestActive(t *testing.T) {
	r := band(4, []string{"band", "empty"}, []string{"low"})
	r.Inputs[0].DCAs = []int{0}
	r.Inputs[3].Main, r.Inputs[3].Groups = false, []int{0}
	m := mixOf(r, set(InputLevel, 0, -20), set(InputFader, 0, -6), set(InputLevel, 1, -70), set(InputFader, 1, 0),
		set(InputLevel, 2, -20), set(InputFader, 2, -70), set(InputLevel, 3, -20), set(InputFader, 3, 0), set(GroupMute, 0, 1))
	for _, c := range []struct {
		name string
		who  Mover
		want bool
	}{
		{"playing and open", Mover{Strip: StripInput, Index: 0}, true},
		{"open and silent", Mover{Strip: StripInput, Index: 1}, false},
		{"playing and closed", Mover{Strip: StripInput, Index: 2}, false},
		{"its group muted", Mover{Strip: StripInput, Index: 3}, false},
		{"a muted group", Mover{Strip: StripGroup, Index: 0}, false},
		{"a DCA with one playing", Mover{Strip: StripDCA, Index: 0}, true},
		{"a DCA of nobody", Mover{Strip: StripDCA, Index: 1}, false},
		{"the main", Mover{Strip: StripMain, Index: 0}, true},
		{"no mover", Mover{}, false},
	} {
		if got := m.active(c.who); got != c.want {
			t.Errorf("%s: active %v, want %v", c.name, got, c.want)
		}
	}
}

func TestBasis(t *testing.T) {
	for _, c := range []struct {
		name  string
		heard []Reading
		want  Basis
	}{
		{"nothing", nil, NoBasis},
		{"faders", []Reading{set(InputFader, 0, 0), set(InputFader, 1, 0)}, OnFaders},
		{"meters", []Reading{set(InputFader, 0, 0), set(InputLevel, 0, -20)}, OnMeters},
		{"partly", []Reading{set(InputFader, 0, 0), set(InputFader, 1, 0), set(InputLevel, 0, -20)}, Partly},
		{"meters of closed inputs only", []Reading{set(InputFader, 0, 0), set(InputLevel, 1, -20)}, OnFaders},
	} {
		if got := mixOf(band(2, nil, nil), c.heard...).basis(); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

// TestFadersAlone: without meters every input counts as equally loud, so one of
// two up by 6 dB is what the check file says of two equal ones.
func TestFadersAlone(t *testing.T) {
	m := mixOf(band(2, nil, nil), set(InputFader, 0, 0), set(InputFader, 1, 0))
	before := totalOf(m)
	m.hear(set(InputFader, 0, 6))
	// 3.962928 dB is the first case of testdata/checks/attribution.json.
	if got := totalOf(m).Above(before); math.Abs(float64(got)-3.962928) > 1e-6 {
		t.Errorf("rose %v, want 3.962928 dB", float64(got))
	}
	m.hear(set(InputLevel, 0, -10))
	stand(m)
	var b Balance
	m.balance(&b, time.Second)
	if b.stage[1] != b.stage[0] {
		t.Errorf("the unmetered one counts %v, want the mean of the others, %v", b.stage[1], b.stage[0])
	}
}

func TestMeter(t *testing.T) {
	var m meter
	if got := m.mean(time.Second); got != 0 {
		t.Errorf("unheard: %v, want nothing", got)
	}
	m.hear(1)
	if got := m.mean(time.Second); got != 1 {
		t.Errorf("before the first beat: %v, want the last reading", got)
	}
	m.hear(3)
	m.fold()
	if got := m.mean(10 * time.Second); got != 2 {
		t.Errorf("after a beat: %v, want the mean of its readings", got)
	}
	for range 10 {
		m.fold() // nothing heard: the last reading holds
	}
	if got := m.mean(time.Second); got != 3 {
		t.Errorf("a second later: %v, want 3", got)
	}
	if got, want := m.mean(time.Hour), Power(32)/11; math.Abs(float64(got-want)) > 1e-12 {
		t.Errorf("of all: %v, want %v", got, want)
	}
}

func TestManyStrips(t *testing.T) {
	var names []string
	for k := range 80 {
		names = append(names, fmt.Sprint("dca ", k))
	}
	r := band(80, names, names)
	r.Inputs[79].DCAs, r.Inputs[79].Groups, r.Inputs[79].Main = []int{3, 70}, []int{79}, false
	m := mixOf(r, set(InputFader, 79, 0), set(InputLevel, 79, -20), set(DCAFader, 70, -5), set(GroupFader, 79, -1), set(DCAFader, 6, -9))
	if got := totalOf(m); math.Abs(float64(got+26)) > 1e-9 {
		t.Errorf("total %v, want -26 dBFS: DCA 71 and group 80 count like any other", got)
	}
	m.Hear(0, &Reading{Signal: InputDCA, Index: 79, To: 79, Value: 1})
	m.hear(set(DCAFader, 79, -4))
	if got := totalOf(m); math.Abs(float64(got+30)) > 1e-9 {
		t.Errorf("total %v, want -30 dBFS", got)
	}
}

func TestStackedAbsurdGainsStayNumbers(t *testing.T) {
	var names []string
	r := band(1, nil, nil)
	for k := range 200 {
		names = append(names, "x")
		r.Inputs[0].DCAs = append(r.Inputs[0].DCAs, k)
	}
	r.DCAs = names
	m := mixOf(r, set(InputLevel, 0, 40), set(InputFader, 0, 40), set(MainFader, 0, math.Inf(-1)))
	for k := range 200 {
		m.hear(set(DCAFader, k, 40))
	}
	if got := totalOf(m); got != Silence {
		t.Errorf("total %v behind a closed main, want silence", got)
	}
	m.hear(set(MainFader, 0, 0))
	if got := totalOf(m); got != DBFS(40+mostGain) {
		t.Errorf("total %v, want no more than %v", float64(got), 40+mostGain)
	}
}

func TestRosterThatPointsNowhere(t *testing.T) {
	for _, in := range []Input{{DCAs: []int{1}}, {DCAs: []int{-1}}, {Groups: []int{0}}, {DCAs: []int{64}}} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%+v was taken", in)
				}
			}()
			NewMix(Roster{Inputs: []Input{in}, DCAs: []string{"band"}}, DefaultMixLimits(), DefaultMoveLimits())
		}()
	}
}

func TestResidual(t *testing.T) {
	var r residual
	for i := range 59 {
		r.add(-20, -20-DBFS(i%2)*7)
	}
	if got := r.wander(); got != 0 {
		t.Errorf("wander %v before there is a minute, want 0", got)
	}
	r.add(-20, -20)
	r.add(Silence, -20)
	r.add(-20, Silence)
	if got := r.wander(); got != 7 {
		t.Errorf("wander %v, want 7.0 dB", got)
	}
	for range 60 {
		r.add(-30, -20)
	}
	if got := r.wander(); got != 0 {
		t.Errorf("wander %v of a steady difference, want 0", got)
	}
}

func TestSqueeze(t *testing.T) {
	r := band(1, nil, []string{"band"})
	r.Inputs[0].Main, r.Inputs[0].Groups = false, []int{0}
	m := NewMix(r, DefaultMixLimits(), DefaultMoveLimits())
	v := m.View()
	m.hear(set(InputFader, 0, 0))
	m.hear(set(InputLevel, 0, -20))
	m.Fold()
	if got := v.Squeeze(0); got.Known || !got.Active {
		t.Errorf("got %+v while it plays and no reduction was heard, want it active and not known", got)
	}
	for i := range 1200 { // two minutes, the reduction growing from 0 to 12 dB
		m.hear(set(GroupReduction, 0, float64(i)/100))
		m.Fold()
	}
	got := v.Squeeze(0)
	// The histograms have steps of 0.1 dB, so a figure may be off by half of one.
	if !got.Active || !got.Known || math.Abs(float64(got.Median-11)) > 0.051 || math.Abs(float64(got.Low-6.6)) > 0.051 || math.Abs(float64(got.High-11.4)) > 0.051 {
		t.Errorf("got %+v, want median 11, low 6.6, high 11.4 and active", got)
	}
	m.hear(set(InputMute, 0, 1))
	for range 100 {
		m.Fold()
	}
	if now := v.Squeeze(0); now.Active || now.Median != got.Median {
		t.Errorf("muted: %+v, want not active and the last it did", now)
	}
}

func (m *Mix) hear(r Reading) { m.Hear(0, &r) }

// TestEverySignalIsKept: whatever a map may hear is there for a rule or a screen to
// ask for, in its unit; what nobody said is not known.
func TestEverySignalIsKept(t *testing.T) {
	r := band(2, []string{"dca"}, []string{"group"})
	m := NewMix(r, DefaultMixLimits(), DefaultMoveLimits())
	v := m.View()
	for _, s := range Signals() {
		if _, ok := v.Latest(s, 0); ok {
			t.Errorf("%v is known before it was heard", s)
		}
		lo, _ := s.Range()
		m.hear(Reading{Signal: s, Value: lo, Text: "x"})
		if got, ok := v.Latest(s, 0); !ok || got != lo {
			t.Errorf("%v is %v, %v; want %v", s, got, ok, lo)
		}
	}
	m.hear(set(InputPeak, 1, -2))
	m.hear(set(GroupLevelIn, 0, -10))
	m.hear(set(GroupLevel, 0, -14))
	m.hear(set(MainPeak, 0, -1))
	m.hear(set(RoomLevel, 0, 84))
	m.Fold()
	if n := v.PeaksOver(1, -3, time.Second); n != 1 || v.PeaksOver(1, -1, time.Second) != 0 {
		t.Errorf("%d beats with a peak over -3 dBFS, want the one", n)
	}
	if n := v.MainPeaksOver(-1, time.Second); n != 1 {
		t.Errorf("%d beats with a main peak at -1 dBFS, want the one", n)
	}
	in, _ := v.GroupIn(0, time.Second)
	out, _ := v.GroupOut(0, time.Second)
	room, _ := v.RoomLevel(time.Second)
	for what, d := range map[string]DB{"in": in.Above(-10), "out": out.Above(-14), "room": room.Above(84)} {
		if d.Abs() > 10 { // the first reading of each was the least there is, and shares the beat
			t.Errorf("%s is off by %v", what, d)
		}
	}
}

func TestHowLongItPlays(t *testing.T) {
	m := mixOf(band(1, nil, nil), set(InputFader, 0, 0), set(InputLevel, 0, -20))
	v := m.View()
	beats := func(n int) {
		for range n {
			m.Fold()
		}
	}
	was := v.PlayingFor(0)
	beats(20)
	if got := v.PlayingFor(0) - was; got != 2*time.Second || v.PausedFor(0) != 0 {
		t.Errorf("it has played %v longer, and paused %v; want 2 s and not at all", got, v.PausedFor(0))
	}
	m.hear(set(InputMute, 0, 1))
	beats(31)
	if got := v.PausedFor(0); got != 3*time.Second || v.PlayingFor(0) != 0 {
		t.Errorf("it has paused for %v, want 3 s", got)
	}
}

// TestWhoSoundsNow: somebody who stops is silent at once, though still playing for a
// breath; and what a microphone hears of the others is not its own sound.
func TestWhoSoundsNow(t *testing.T) {
	m := mixOf(band(2, nil, nil), set(InputFader, 0, 0), set(InputLevel, 0, -20), set(InputFader, 1, 0))
	v := m.View()
	fold := func(d time.Duration) {
		for range int(d / Beat) {
			m.Fold()
		}
	}
	fold(10 * time.Second)
	if !v.Sounds(0) || v.Sounds(1) {
		t.Errorf("the first sounds %v, and the one without a meter %v", v.Sounds(0), v.Sounds(1))
	}
	m.hear(set(InputLevel, 0, -45)) // above the gate
	fold(time.Second)
	if v.Sounds(0) || !v.Playing(0) {
		t.Errorf("in its breath it sounds %v and plays %v, want only the second", v.Sounds(0), v.Playing(0))
	}
	fold(2 * time.Minute)
	if v.Sounds(0) {
		t.Error("two minutes of bleed are taken for its sound")
	}
	m.hear(set(InputLevel, 0, -34)) // softer than it was, and by less than those two minutes and 15 dB
	fold(time.Second)
	if !v.Sounds(0) {
		t.Error("a softer song is taken for bleed")
	}
	m.hear(set(InputMute, 0, 1))
	if v.Sounds(0) {
		t.Error("it sounds though it is muted")
	}
}

func TestWhatASegmentChanges(t *testing.T) {
	r := band(3, nil, nil)
	r.Inputs[1].Element, r.Inputs[2].Element = Rhythm, Rhythm
	m := mixOf(r)
	v := m.View()
	first := func() int {
		if i, ok := v.Primary(Rhythm); ok {
			return i
		}
		return -1
	}
	if first() != 1 {
		t.Errorf("the primary is %d, want the first of its element", first())
	}
	v.Segment.Elements = map[int]Element{1: Lead}
	if first() != 2 || v.Element(1) != Lead || v.Element(2) != Rhythm {
		t.Errorf("where the first leads, the primary is %d", first())
	}
	zero, beyond := 0, 3
	if v.Segment.Primary = &zero; first() != 2 {
		t.Errorf("the segment names 0, which has no rhythm, and the primary is %d", first())
	}
	if v.Segment.Elements[0] = Rhythm; first() != 0 {
		t.Errorf("the segment names 0, and the primary is %d", first())
	}
	delete(v.Segment.Elements, 0)
	if v.Segment.Primary = &beyond; first() != 2 {
		t.Errorf("an input that is not there is the primary: %d", first())
	}
	v.Segment.Primary, v.Segment.Elements = nil, map[int]Element{1: Pad, 2: NoElement}
	if first() != -1 {
		t.Errorf("nobody has the rhythm, and the primary is %d", first())
	}
}

// TestMomentIsThisBeat: no loudness of before is in it, and each view has its own.
func TestMomentIsThisBeat(t *testing.T) {
	m := mixOf(band(1, nil, nil), set(InputFader, 0, -10), set(InputLevel, 0, -20))
	m.Fold()
	v := m.View()
	if got := v.Moment().Share(0).Level(); (got + 30).Above(0).Abs() > 0.01 {
		t.Errorf("its share is %v, want -30 dBFS", got)
	}
	m.hear(set(InputLevel, 0, -40))
	m.Fold()
	if v = m.View(); (v.Moment().Share(0).Level() + 50).Above(0).Abs() > 0.01 {
		t.Errorf("its share a beat later is %v, want -50 dBFS", v.Moment().Share(0).Level())
	}
}
