package rules

import (
	"testing"
	"time"
)

// TestNamesFromTheDesk: the roster's names stand; what it leaves unnamed takes the
// desk's, also in what is said.
func TestNamesFromTheDesk(t *testing.T) {
	r := Roster{
		Inputs: []Input{{Name: "piano", Main: true}, {Name: "input 2", Main: true}}, DCAs: []string{"DCA 1"}, Groups: []string{"group 1"},
		Unnamed: map[Mover]bool{{StripInput, 1}: true, {StripDCA, 0}: true, {StripGroup, 0}: true},
	}
	j := NewJudge(r, DefaultLimits())
	for _, heard := range []Reading{
		{Signal: InputName, Index: 0, Text: "PNO"},
		{Signal: InputName, Index: 1, Text: " harp "},
		{Signal: InputName, Index: 7, Text: "nobody"},
		{Signal: DCAName, Index: 0, Text: "band"},
		{Signal: GroupName, Index: 0, Text: "   "},
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
	if got := j.roster.Name(Mover{StripDCA, 0}); got != "band DCA" {
		t.Errorf("what is said calls the DCA %q, want \"band DCA\"", got)
	}
	if r.Inputs[1].Name != "input 2" {
		t.Error("the caller's roster was changed")
	}
}

func TestStrips(t *testing.T) {
	j := NewJudge(Roster{Inputs: []Input{{Name: "piano"}, {Name: "harp"}}, Groups: []string{"all"}}, DefaultLimits())
	j.Hear(Reading{At: time.Second, Signal: InputFader, Index: 0, Value: -5})
	j.Hear(Reading{At: 2 * time.Second, Signal: InputMute, Index: 0, Value: 1})
	j.Hear(Reading{At: 3 * time.Second, Signal: GroupLevel, Index: 0, Value: -20})
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
