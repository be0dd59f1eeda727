package desk

import (
	"testing"
	"time"
)

// TestMutedBy: the mute that is found is one that keeps the input from the main.
func TestMutedBy(t *testing.T) {
	r := band(2, []string{"low", "all"}, []string{"a", "b"})
	r.Inputs[0].DCAs = []int{1}
	r.Inputs[0].Main, r.Inputs[0].Groups = false, []int{1}
	r.Inputs[1].Groups = []int{1} // and the main directly
	in, dca, group := Mover{StripInput, 0}, Mover{StripDCA, 1}, Mover{StripGroup, 1}
	for _, c := range []struct {
		name  string
		heard []Reading
		want  Mover
		muted bool
	}{
		{"nothing", nil, Mover{}, false},
		{"its own", []Reading{set(InputMute, 0, 1), set(DCAMute, 1, 1)}, in, true},
		{"its DCA's", []Reading{set(DCAMute, 1, 1)}, dca, true},
		{"its group's", []Reading{set(GroupMute, 1, 1)}, group, true},
		{"those of others", []Reading{set(DCAMute, 0, 1), set(GroupMute, 0, 1), set(InputMute, 1, 1)}, Mover{}, false},
	} {
		m := mixOf(r, c.heard...)
		v := m.View()
		if by, muted := v.MutedBy(0); muted != c.muted || muted && by != c.want {
			t.Errorf("%s: muted %v by %v, want %v by %v", c.name, muted, by, c.muted, c.want)
		}
	}
	m := mixOf(r, set(GroupMute, 1, 1))
	v := m.View()
	if by, muted := v.MutedBy(1); muted {
		t.Errorf("one that feeds the main beside its group is muted by %v, want by nobody", by)
	}
}

func TestFedAndGate(t *testing.T) {
	r := band(3, nil, []string{"a"})
	r.Inputs[0].Main = false
	r.Inputs[1].Main, r.Inputs[1].Groups = false, []int{0}
	r.Inputs[2].Gate = -35
	m := mixOf(r)
	v := m.View()
	if v.Fed(0) || !v.Fed(1) || !v.Fed(2) {
		t.Error("fed is one with a way to the main, by a group or directly")
	}
	if v.Gate(0).Above(-50).Abs() > 1e-9 || v.Gate(2).Above(-35).Abs() > 1e-9 {
		t.Errorf("gates %v and %v, want -50 dBFS, which is everybody's, and its own of -35", v.Gate(0), v.Gate(2))
	}
}

// TestPeakStandIn: levels stand in for a peak that the desk does not meter, and are
// forgotten when it does; a peak after the fader is taken back to before it.
func TestPeakStandIn(t *testing.T) {
	m := NewMix(band(2, nil, nil), DefaultMixLimits(), DefaultMoveLimits())
	v := m.View()
	if _, heard := v.Peak(0, time.Second); heard {
		t.Error("a peak before anything was heard")
	}
	if _, heard := v.MainPeak(time.Second); heard {
		t.Error("a main peak before anything was heard")
	}
	near := func(what string, got DBFS, want DBFS) {
		t.Helper()
		if got.Above(want).Abs() > 1e-6 {
			t.Errorf("%s is %v, want %v", what, got, want)
		}
	}
	m.hear(set(InputLevel, 0, -2))
	m.hear(set(MainLevel, 0, -4))
	m.Fold()
	peak, _ := v.Peak(0, time.Second)
	near("the level that stands in", peak, -2)
	main, _ := v.MainPeak(time.Second)
	near("the main level that stands in", main, -4)
	if v.MainPeakMetered() {
		t.Error("a level counts as a peak")
	}
	m.hear(set(InputPeak, 0, -9))
	m.hear(set(MainPeak, 0, -1))
	m.hear(set(InputLevel, 0, -2))
	m.Fold()
	peak, _ = v.Peak(0, time.Second)
	near("the peak itself", peak, -9)
	main, _ = v.MainPeak(time.Second)
	near("the main peak itself", main, -1)
	if !v.MainPeakMetered() {
		t.Error("a peak counts as a level")
	}

	post := func(value float64) Reading {
		r := set(InputPeak, 1, value)
		r.Post = true
		return r
	}
	m.hear(post(-12)) // and its fader was not heard of
	m.hear(set(InputFader, 1, -10))
	m.hear(post(-12))
	m.Fold()
	peak, _ = v.Peak(1, time.Second)
	near("a peak after a fader at -10 dB", peak, -2)
}

// TestMainPeaksStandIn: where the main's level is not told its peaks tell that something
// leaves the desk, and one level is believed alone. The model is compared with a level only.
func TestMainPeaksStandIn(t *testing.T) {
	m := NewMix(band(1, nil, nil), DefaultMixLimits(), DefaultMoveLimits())
	v := m.View()
	if _, heard := v.MainLevel(Beat); heard {
		t.Error("a main level before anything was heard")
	}
	m.hear(set(MainPeak, 0, -8))
	m.Fold()
	if l, heard := v.MainLevel(Beat); !heard || l.Above(-20).Abs() > 0.01 {
		t.Errorf("by peaks at -8 dBFS the main has %v, heard %v, want -20", l, heard)
	}
	if m.main.own {
		t.Error("what was made of peaks counts as the desk's own level")
	}
	m.hear(set(MainLevel, 0, -15))
	m.hear(set(MainPeak, 0, -8))
	m.Fold()
	if l, _ := v.MainLevel(Beat); l.Above(-15).Abs() > 0.01 {
		t.Errorf("with a level of its own the main has %v, want -15", l)
	}
	if l, _ := v.MainLevel(LongestBeats); l.Above(-15).Abs() > 0.01 {
		t.Errorf("over ten seconds the main has %v: what was made of its peaks is not forgotten", l)
	}
}
