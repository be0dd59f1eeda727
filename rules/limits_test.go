package rules

import (
	"slices"
	"strings"
	"testing"

	"pawl/rules/desk"
)

// TestLimitsTable: every limit says what it is and has a name that a house file can
// use, every section is a rule's or one of the four that all share, and the defaults
// make sense.
func TestLimitsTable(t *testing.T) {
	seen := map[string]bool{}
	for _, r := range DefaultLimits().Table() {
		if r.Name == "" || r.Doc == "" || r.From == "" || r.Default == "" {
			t.Errorf("%+v lacks something", r)
		}
		if SectionDoc(r.Section) == "" {
			t.Errorf("the section %q has the name of no rule", r.Section)
		}
		if name := r.Section + "." + r.Name; seen[name] || strings.ToLower(name) != name {
			t.Errorf("%q stands twice, or is not in small letters", name)
		}
		seen[r.Section+"."+r.Name] = true
	}
	if wrong := DefaultLimits().Check(); len(wrong) > 0 {
		t.Errorf("the defaults make no sense: %+v", wrong)
	}
}

func TestKindsAreWhole(t *testing.T) {
	for _, k := range Kinds {
		if k.Name == "" || k.Summary == "" || len(k.Needs) == 0 || len(k.Says) == 0 || k.New == nil {
			t.Errorf("%+v lacks something", k.Name)
		}
	}
}

func TestLimitsThatMakeNoSense(t *testing.T) {
	for _, c := range []struct {
		spoil func(*Limits)
		want  string
	}{
		{func(l *Limits) { l.Ratchet.Nudge = 1 }, "ratchet.nudge"},
		{func(l *Limits) { l.Ratchet.Eased = 2 }, "ratchet.eased"},
		{func(l *Limits) { l.Ratchet.Whisper = 0 }, "ratchet.whisper"},
		{func(l *Limits) { l.Ratchet.Movers = 0 }, "ratchet.movers"},
		{func(l *Limits) { l.Ratchet.Accepted = 0 }, "ratchet.accepted"},
		{func(l *Limits) { l.Mix.Gate = 1 }, "mix.gate"},
		{func(l *Limits) { l.Mix.ShowOver = desk.Minute }, "mix.show-over"},
		{func(l *Limits) { l.Moves.Still = -1 }, "moves.still"},
		{func(l *Limits) { l.Calm.Most = 0 }, "calm.most"},
		{func(l *Limits) { l.SqueezedGroup.Eased = 4 }, "squeezed-group.eased"},
		{func(l *Limits) { l.SqueezedGroup.Nudge = 2 }, "squeezed-group.whisper"},
		{func(l *Limits) { l.SqueezedInput.Target = 12 }, "squeezed-input.target"},
		{func(l *Limits) { l.MainDown.Back = 3 }, "main-down.back"},
		{func(l *Limits) { l.MainDown.Listening = 20 }, "main-down.listening-level"},
		{func(l *Limits) { l.RoomLoud.Limit = 0 }, "room-loud.limit"},
		{func(l *Limits) { l.RoomLoud.Offset = desk.Off }, "room-loud.offset"},
		{func(l *Limits) { l.Segments.Speech = 0 }, "segments.speech"},
	} {
		l := DefaultLimits()
		c.spoil(&l)
		if wrong := l.Check(); !slices.ContainsFunc(wrong, func(w WrongLimit) bool { return w.Path == c.want && w.Text != "" }) {
			t.Errorf("%s: found %+v", c.want, wrong)
		}
	}
}
