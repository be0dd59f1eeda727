package rules

import (
	"testing"
	"time"

	"pawl/rules/desk"
)

// TestNamesFromTheDesk: the roster's names stand; what it leaves unnamed takes the
// desk's, also in what is said.
func TestNamesFromTheDesk(t *testing.T) {
	r := desk.Roster{
		Inputs: []desk.Input{{Name: "piano", Main: true}, {Name: "input 2", Main: true}}, DCAs: []string{"DCA 1"}, Groups: []string{"group 1"},
		Unnamed: map[desk.Mover]bool{{Strip: desk.StripInput, Index: 1}: true, {Strip: desk.StripDCA, Index: 0}: true, {Strip: desk.StripGroup, Index: 0}: true},
	}
	j := newJudge(r)
	for _, heard := range []desk.Reading{
		{Signal: desk.InputName, Index: 0, Text: "PNO"},
		{Signal: desk.InputName, Index: 1, Text: " harp "},
		{Signal: desk.InputName, Index: 7, Text: "nobody"},
		{Signal: desk.DCAName, Index: 0, Text: "band"},
		{Signal: desk.GroupName, Index: 0, Text: "   "},
	} {
		j.Hear(heard)
	}
	var got []string
	for _, s := range j.Strips() {
		got = append(got, s.Name)
	}
	want := []string{"piano", "harp", "band", "group 1", "main"}
	for i := range want {
		if got[i] != want[i] {
			t.Errorf("strip %d is called %q, want %q", i, got[i], want[i])
		}
	}
	if got := j.who(dcaMover(0)).Name; got != "band" {
		t.Errorf("what is said calls the DCA %q, want \"band\"", got)
	}
	if r.Inputs[1].Name != "input 2" {
		t.Error("the caller's roster was changed")
	}
}

func TestStrips(t *testing.T) {
	j := newJudge(desk.Roster{Inputs: []desk.Input{{Name: "piano"}, {Name: "harp"}}, Groups: []string{"all"}})
	j.Hear(desk.Reading{At: time.Second, Signal: desk.InputFader, Index: 0, Value: -5})
	j.Hear(desk.Reading{At: 2 * time.Second, Signal: desk.InputMute, Index: 0, Value: 1})
	j.Hear(desk.Reading{At: 3 * time.Second, Signal: desk.GroupLevel, Index: 0, Value: -20})
	s := j.Strips()
	if p := s[0]; !p.FaderHeard || p.Fader != -5 || !p.Muted || p.Metered || p.HeardAt != 2*time.Second {
		t.Errorf("piano is %+v, want its fader where the hand left it, muted, heard at 2 s, no meter", p)
	}
	if h := s[1]; h.Heard || h.FaderHeard {
		t.Errorf("harp is %+v, want nothing heard", h)
	}
	if g := s[2]; !g.Metered || g.Level != -20 || g.FaderHeard {
		t.Errorf("the group is %+v, want its level and no fader", g)
	}
}
