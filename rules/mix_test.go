package rules

import (
	"fmt"
	"math"
	"testing"
	"time"

	"pawl/rules/desk"
)

// band is a roster of n inputs straight to the main, with these DCAs and groups.
func band(n int, dcas, groups []string) desk.Roster {
	r := desk.Roster{DCAs: dcas, Groups: groups}
	for i := range n {
		r.Inputs = append(r.Inputs, desk.Input{Name: fmt.Sprintf("input %d", i+1), Main: true})
	}
	return r
}

func set(s desk.Signal, index int, value float64) desk.Reading {
	return desk.Reading{Signal: s, Index: index, Value: value}
}

// mixOf is a mix that has heard these readings and stood for ten seconds.
func mixOf(r desk.Roster, heard ...desk.Reading) *Mix {
	m := NewMix(r, DefaultLimits().Mix)
	for _, h := range heard {
		m.apply(&h)
	}
	stand(m)
	return m
}

func stand(m *Mix) {
	for range meterSlots {
		m.fold()
	}
}

func totalOf(m *Mix) desk.DBFS {
	var b Balance
	m.balance(&b, 10*time.Second)
	return b.total(m.routes)
}

func TestTotal(t *testing.T) {
	one := band(1, []string{"band", "all"}, []string{"low", "high"})
	one.Inputs[0].DCAs = []int{0}
	grouped := one
	grouped.Inputs = []desk.Input{{Name: "x", Groups: []int{0}, DCAs: []int{0}}}
	twice := one
	twice.Inputs = []desk.Input{{Name: "x", Groups: []int{0, 1}}}
	closed := math.Inf(-1)
	for _, c := range []struct {
		name   string
		roster desk.Roster
		heard  []desk.Reading
		want   desk.DBFS
	}{
		{"nothing heard", one, nil, desk.Silence},
		{"a level, and the fader closed", one, []desk.Reading{set(desk.InputLevel, 0, -20)}, desk.Silence},
		{"a fader", one, []desk.Reading{set(desk.InputLevel, 0, -20), set(desk.InputFader, 0, -6)}, -26},
		{"and its DCA", one, []desk.Reading{set(desk.InputLevel, 0, -20), set(desk.InputFader, 0, -6), set(desk.DCAFader, 0, 4)}, -22},
		{"a DCA that it does not follow", one, []desk.Reading{set(desk.InputLevel, 0, -20), set(desk.InputFader, 0, -6), set(desk.DCAFader, 1, 4)}, -26},
		{"the desk says it follows both", one, []desk.Reading{set(desk.InputLevel, 0, -20), set(desk.InputFader, 0, -6),
			set(desk.DCAFader, 0, 4), set(desk.DCAFader, 1, 3), {Signal: desk.InputDCA, To: 1, Value: 1}}, -19},
		{"the desk says it follows none", one, []desk.Reading{set(desk.InputLevel, 0, -20), set(desk.InputFader, 0, -6),
			set(desk.DCAFader, 0, 4), {Signal: desk.InputDCA, To: 0, Value: 0}}, -26},
		{"muted", one, []desk.Reading{set(desk.InputLevel, 0, -20), set(desk.InputFader, 0, -6), set(desk.InputMute, 0, 1)}, desk.Silence},
		{"moved while muted, then not", one, []desk.Reading{set(desk.InputLevel, 0, -20), set(desk.InputFader, 0, -6), set(desk.InputMute, 0, 1),
			set(desk.InputFader, 0, -3), set(desk.InputMute, 0, 0)}, -23},
		{"DCA muted", one, []desk.Reading{set(desk.InputLevel, 0, -20), set(desk.InputFader, 0, -6), set(desk.DCAMute, 0, 1)}, desk.Silence},
		{"DCA closed", one, []desk.Reading{set(desk.InputLevel, 0, -20), set(desk.InputFader, 0, -6), set(desk.DCAFader, 0, closed)}, desk.Silence},
		{"main fader", one, []desk.Reading{set(desk.InputLevel, 0, -20), set(desk.InputFader, 0, -6), set(desk.MainFader, 0, -2)}, -28},
		{"main muted", one, []desk.Reading{set(desk.InputLevel, 0, -20), set(desk.InputFader, 0, -6), set(desk.MainMute, 0, 1)}, desk.Silence},
		{"a group that holds down and makes up", grouped, []desk.Reading{set(desk.InputLevel, 0, -20), set(desk.InputFader, 0, -6),
			set(desk.GroupReduction, 0, 5), set(desk.GroupMakeUp, 0, 2), set(desk.GroupFader, 0, -1)}, -30},
		{"a group muted", grouped, []desk.Reading{set(desk.InputLevel, 0, -20), set(desk.InputFader, 0, -6), set(desk.GroupMute, 0, 1)}, desk.Silence},
		{"in two groups", twice, []desk.Reading{set(desk.InputLevel, 0, -20), set(desk.InputFader, 0, 0)}, desk.DBFS(-20 + 10*math.Log10(2))},
		{"the desk says a group too", one, []desk.Reading{set(desk.InputLevel, 0, -20), set(desk.InputFader, 0, 0),
			{Signal: desk.InputGroup, To: 1, Value: 1}}, desk.DBFS(-20 + 10*math.Log10(2))},
		{"the desk says not to the main", one, []desk.Reading{set(desk.InputLevel, 0, -20), set(desk.InputFader, 0, 0), set(desk.InputMain, 0, 0)}, desk.Silence},
		{"post-fader meter", one, []desk.Reading{set(desk.InputFader, 0, -6), set(desk.DCAFader, 0, 4), {Signal: desk.InputLevel, Value: -22, Post: true}}, -22},
		{"post-fader meter, then the fader moves", one, []desk.Reading{set(desk.InputFader, 0, -6), {Signal: desk.InputLevel, Value: -26, Post: true},
			set(desk.InputFader, 0, 0)}, -20},
		{"post-fader meter behind a closed fader tells nothing", one, []desk.Reading{set(desk.InputLevel, 0, -20), set(desk.InputFader, 0, -70),
			{Signal: desk.InputLevel, Value: -90, Post: true}, set(desk.InputFader, 0, 0)}, -20},
		{"strips that the roster lacks", one, []desk.Reading{set(desk.InputLevel, 0, -20), set(desk.InputFader, 0, -6), set(desk.InputFader, 1, 0),
			set(desk.InputLevel, 9, 0), set(desk.DCAFader, 2, 10), set(desk.GroupReduction, 7, 9), set(desk.InputMute, -1, 1),
			{Signal: desk.InputDCA, To: 9, Value: 1}, {Signal: desk.InputGroup, To: -1, Value: 1}}, -26},
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
	m := mixOf(r, set(desk.InputFader, 0, -6), set(desk.DCAFader, 0, -3), set(desk.InputFader, 1, 0), set(desk.InputMute, 1, 1))
	m.hear(set(desk.InputFader, 0, -2))
	m.hear(set(desk.InputFader, 1, -2))
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
	m := mixOf(r, set(desk.InputLevel, 0, -20), set(desk.InputFader, 0, 0), set(desk.GroupReduction, 0, 2))
	m.hear(set(desk.GroupReduction, 0, 12))
	m.fold()
	if got := totalOf(m); math.Abs(float64(got+22)) > 0.1 {
		t.Errorf("total %v after one deep beat, want about -22 dBFS", got)
	}
}

func TestActive(t *testing.T) {
	r := band(4, []string{"band", "empty"}, []string{"low"})
	r.Inputs[0].DCAs = []int{0}
	r.Inputs[3].Main, r.Inputs[3].Groups = false, []int{0}
	m := mixOf(r, set(desk.InputLevel, 0, -20), set(desk.InputFader, 0, -6), set(desk.InputLevel, 1, -70), set(desk.InputFader, 1, 0),
		set(desk.InputLevel, 2, -20), set(desk.InputFader, 2, -70), set(desk.InputLevel, 3, -20), set(desk.InputFader, 3, 0), set(desk.GroupMute, 0, 1))
	for _, c := range []struct {
		name string
		who  desk.Mover
		want bool
	}{
		{"playing and open", desk.Mover{Strip: desk.StripInput, Index: 0}, true},
		{"open and silent", desk.Mover{Strip: desk.StripInput, Index: 1}, false},
		{"playing and closed", desk.Mover{Strip: desk.StripInput, Index: 2}, false},
		{"its group muted", desk.Mover{Strip: desk.StripInput, Index: 3}, false},
		{"a muted group", desk.Mover{Strip: desk.StripGroup, Index: 0}, false},
		{"a DCA with one playing", desk.Mover{Strip: desk.StripDCA, Index: 0}, true},
		{"a DCA of nobody", desk.Mover{Strip: desk.StripDCA, Index: 1}, false},
		{"the main", desk.Mover{Strip: desk.StripMain, Index: 0}, true},
		{"no mover", desk.Mover{}, false},
	} {
		if got := m.Active(c.who); got != c.want {
			t.Errorf("%s: active %v, want %v", c.name, got, c.want)
		}
	}
}

func TestBasis(t *testing.T) {
	for _, c := range []struct {
		name  string
		heard []desk.Reading
		want  Basis
	}{
		{"nothing", nil, NoBasis},
		{"faders", []desk.Reading{set(desk.InputFader, 0, 0), set(desk.InputFader, 1, 0)}, OnFaders},
		{"meters", []desk.Reading{set(desk.InputFader, 0, 0), set(desk.InputLevel, 0, -20)}, OnMeters},
		{"partly", []desk.Reading{set(desk.InputFader, 0, 0), set(desk.InputFader, 1, 0), set(desk.InputLevel, 0, -20)}, Partly},
		{"meters of closed inputs only", []desk.Reading{set(desk.InputFader, 0, 0), set(desk.InputLevel, 1, -20)}, OnFaders},
	} {
		if got := mixOf(band(2, nil, nil), c.heard...).Basis(); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

// TestFadersAlone: without meters every input counts as equally loud, so one of
// two up by 6 dB is what the check file says of two equal ones.
func TestFadersAlone(t *testing.T) {
	m := mixOf(band(2, nil, nil), set(desk.InputFader, 0, 0), set(desk.InputFader, 1, 0))
	before := totalOf(m)
	m.hear(set(desk.InputFader, 0, 6))
	// 3.962928 dB is the first case of testdata/checks/attribution.json.
	if got := totalOf(m).Above(before); math.Abs(float64(got)-3.962928) > 1e-6 {
		t.Errorf("rose %v, want 3.962928 dB", float64(got))
	}
	m.hear(set(desk.InputLevel, 0, -10))
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
	if got, want := m.mean(time.Hour), desk.Power(32)/11; math.Abs(float64(got-want)) > 1e-12 {
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
	m := mixOf(r, set(desk.InputFader, 79, 0), set(desk.InputLevel, 79, -20), set(desk.DCAFader, 70, -5), set(desk.GroupFader, 79, -1), set(desk.DCAFader, 6, -9))
	if got := totalOf(m); math.Abs(float64(got+26)) > 1e-9 {
		t.Errorf("total %v, want -26 dBFS: DCA 71 and group 80 count like any other", got)
	}
	m.apply(&desk.Reading{Signal: desk.InputDCA, Index: 79, To: 79, Value: 1})
	m.hear(set(desk.DCAFader, 79, -4))
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
	m := mixOf(r, set(desk.InputLevel, 0, 40), set(desk.InputFader, 0, 40), set(desk.MainFader, 0, math.Inf(-1)))
	for k := range 200 {
		m.hear(set(desk.DCAFader, k, 40))
	}
	if got := totalOf(m); got != desk.Silence {
		t.Errorf("total %v behind a closed main, want silence", got)
	}
	m.hear(set(desk.MainFader, 0, 0))
	if got := totalOf(m); got != desk.DBFS(40+mostGain) {
		t.Errorf("total %v, want no more than %v", float64(got), 40+mostGain)
	}
}

func TestRosterThatPointsNowhere(t *testing.T) {
	for _, in := range []desk.Input{{DCAs: []int{1}}, {DCAs: []int{-1}}, {Groups: []int{0}}, {DCAs: []int{64}}} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%+v was taken", in)
				}
			}()
			NewMix(desk.Roster{Inputs: []desk.Input{in}, DCAs: []string{"band"}}, DefaultLimits().Mix)
		}()
	}
}

func TestResidual(t *testing.T) {
	var r residual
	for i := range 59 {
		r.add(-20, -20-desk.DBFS(i%2)*7)
	}
	if got := r.wander(); got != 0 {
		t.Errorf("wander %v before there is a minute, want 0", got)
	}
	r.add(-20, -20)
	r.add(desk.Silence, -20)
	r.add(-20, desk.Silence)
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
	m := NewMix(r, DefaultLimits().Mix)
	if got := m.Squeeze(0); got.Known || got.Group != "band" {
		t.Errorf("got %+v before anything was heard", got)
	}
	m.hear(set(desk.InputFader, 0, 0))
	m.hear(set(desk.InputLevel, 0, -20))
	for i := range 1200 { // two minutes, the reduction growing from 0 to 12 dB
		m.hear(set(desk.GroupReduction, 0, float64(i)/100))
		m.fold()
	}
	got := m.Squeeze(0)
	if !got.Active || !got.Known || math.Abs(float64(got.Median-11)) > 0.02 || math.Abs(float64(got.Low-6.6)) > 0.02 || math.Abs(float64(got.High-11.4)) > 0.02 {
		t.Errorf("got %+v, want median 11, low 6.6, high 11.4 and active", got)
	}
	m.hear(set(desk.InputMute, 0, 1))
	for range 100 {
		m.fold()
	}
	if now := m.Squeeze(0); now.Active || now.Median != got.Median {
		t.Errorf("muted: %+v, want not active and the last it did", now)
	}
}

func (m *Mix) hear(r desk.Reading) { m.apply(&r) }
