package rules

import (
	"testing"
	"time"

	"pawl/rules/desk"
)

// TestKnown: a fresh judge that is told what another knows has the same mix.
func TestKnown(t *testing.T) {
	r := desk.Roster{
		Inputs: []desk.Input{{Name: "piano", DCAs: []int{0}, Groups: []int{0}}, {Name: "input 2", Main: true}},
		DCAs:   []string{"band"}, Groups: []string{"all"}, Unnamed: map[desk.Mover]bool{{Strip: desk.StripInput, Index: 1}: true},
	}
	old := NewJudge(r, DefaultLimits())
	for i, heard := range []desk.Reading{
		{Signal: desk.InputFader, Index: 0, Value: -5}, {Signal: desk.InputFader, Index: 1, Value: -3}, {Signal: desk.DCAFader, Value: 2},
		{Signal: desk.InputLevel, Index: 0, Value: -20}, {Signal: desk.InputLevel, Index: 1, Value: -30}, {Signal: desk.GroupReduction, Value: 4},
		{Signal: desk.InputName, Index: 1, Text: "harp"}, {Signal: desk.InputDCA, Index: 1, To: 0, Value: 1}, {Signal: desk.MainFader, Value: -1},
		{Signal: desk.DCAMute, Value: 0}, {Signal: desk.MainMute, Value: 1}, {Signal: desk.MainMute, Value: 0}, {Signal: desk.SceneNumber, Value: 3},
	} {
		heard.At = time.Duration(i) * time.Second
		old.Hear(heard)
	}
	old.Advance(30 * time.Second)
	fresh := NewJudge(r, DefaultLimits())
	for _, k := range old.Known() {
		k.At = 0
		fresh.Hear(k)
	}
	fresh.Advance(11 * time.Second)
	want, got := old.Glance(), fresh.Glance()
	if abs(got.Total.Above(want.Total)) > 0.001 || want.Total == desk.Silence {
		t.Errorf("total %v, want %v", got.Total, want.Total)
	}
	other := r
	other.Inputs = []desk.Input{{Name: "piano", Main: true}, {Name: "input 2", Main: true}}
	edited := NewJudge(other, DefaultLimits())
	for _, k := range old.Known() {
		k.At = 0
		edited.Hear(k)
	}
	if p := edited.mix.routes[0]; p.dcas.has(0) || p.groups.has(0) || !p.main {
		t.Errorf("piano goes %+v, want as the new roster says: the desk said nothing of it", p)
	}
	if !edited.mix.routes[1].dcas.has(0) {
		t.Error("input 2 has left the DCA that the desk put it in")
	}
	if got := fresh.Strips()[1].Name; got != "harp" {
		t.Errorf("input 2 is called %q, want the desk's name", got)
	}
	if len(fresh.Said()) != 0 {
		t.Error("being told is nothing to speak of")
	}
	muted := NewJudge(r, DefaultLimits())
	muted.Hear(desk.Reading{Signal: desk.InputMute, Index: 0, Value: 1})
	var again []desk.Reading
	for _, k := range muted.Known() {
		if k.Signal == desk.InputMute {
			again = append(again, k)
		}
	}
	if len(again) != 1 || !again[0].On() {
		t.Errorf("a mute is known as %v, want it once and on", again)
	}
}
