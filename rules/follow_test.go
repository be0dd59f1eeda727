package rules

import (
	"testing"
	"time"

	"pawl/rules/desk"
)

// TestFollow: a judge that goes on by another house file has the same mix, and
// counts its entries on.
func TestFollow(t *testing.T) {
	r := desk.Roster{
		Inputs: []desk.Input{{Name: "piano", DCAs: []int{0}, Groups: []int{0}}, {Name: "input 2", Main: true}},
		DCAs:   []string{"band"}, Groups: []string{"all"}, Unnamed: map[desk.Mover]bool{{Strip: desk.StripInput, Index: 1}: true},
	}
	old := newJudge(r)
	for i, heard := range []desk.Reading{
		{Signal: desk.InputFader, Index: 0, Value: -5}, {Signal: desk.InputFader, Index: 1, Value: -3}, {Signal: desk.DCAFader, Value: 2},
		{Signal: desk.InputLevel, Index: 0, Value: -20}, {Signal: desk.InputLevel, Index: 1, Value: -30}, {Signal: desk.GroupReduction, Value: 2},
		{Signal: desk.InputName, Index: 1, Text: "harp"}, {Signal: desk.InputDCA, Index: 1, To: 0, Value: 1}, {Signal: desk.MainFader, Value: -1},
		{Signal: desk.DCAMute, Value: 0}, {Signal: desk.MainMute, Value: 1}, {Signal: desk.MainMute, Value: 0}, {Signal: desk.SceneNumber, Value: 3},
	} {
		heard.At = time.Duration(i) * time.Second
		old.Hear(heard)
	}
	old.Advance(30 * time.Second)
	want := old.Picture()
	other := r
	other.Inputs = []desk.Input{{Name: "piano", Main: true}, {Name: "input 2", Main: true}}
	other.Unnamed = r.Unnamed
	edited := old.Follow("Hall", other, DefaultLimits(), Options{})
	fresh := old.Follow("Hall", r, DefaultLimits(), Options{})
	fresh.Advance(fresh.at + 11*time.Second) // means over ten seconds are its own then
	if got := fresh.Picture(); (got.Total.Above(want.Total)).Abs() > 0.001 || want.Total == desk.Silence {
		t.Errorf("total %v, want %v", got.Total, want.Total)
	}
	v := edited.view()
	if v.Drives(desk.Mover{Strip: desk.StripDCA}, 0) || v.Drives(desk.Mover{Strip: desk.StripGroup}, 0) {
		t.Error("piano is in the DCA or group still, want as the new roster says: the desk said nothing of it")
	}
	if !v.Drives(desk.Mover{Strip: desk.StripDCA}, 1) {
		t.Error("input 2 has left the DCA that the desk put it in")
	}
	first := fresh.Take(nil)
	if h := only[*Housed](first); len(h) != 1 || h[0].House != "Hall" {
		t.Errorf("%+v, want the house read again once", h)
	}
	for i, e := range first {
		if e.Head().N != uint64(i+1) {
			t.Errorf("entry %d is numbered %d", i+1, e.Head().N)
		}
	}
	if got := fresh.Strips()[1].Name; got != "harp" {
		t.Errorf("input 2 is called %q, want the desk's name", got)
	}
	if f := only[*Finding](first); len(f) != 0 {
		t.Errorf("being told is nothing to speak of: %+v", f)
	}
	muted := newJudge(r)
	muted.Hear(desk.Reading{Signal: desk.InputMute, Index: 0, Value: 1})
	again := muted.Follow("Hall", r, DefaultLimits(), Options{})
	if v := again.view(); !v.Muted(desk.Mover{Strip: desk.StripInput}) {
		t.Error("a mute was forgotten")
	}
}
