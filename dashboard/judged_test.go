package dashboard

import (
	"reflect"
	"testing"
	"time"

	"pawl/rules"
	"pawl/rules/desk"
)

// What the judge itself says, of every kind, keeps to the schema in both languages;
// it was made from the types, and the judge says which word each has.
func TestWhatIsJudgedKeepsToTheSchema(t *testing.T) {
	form := schema(t, "")
	c := bilingual(t)
	pictures, all := harbourService(t)
	seen := map[rules.EntryKind]bool{}
	for _, e := range all {
		kind := e.Head().Entry
		seen[kind] = true
		if known := entries[kind]; known == nil || reflect.TypeOf(known) != reflect.TypeOf(e) {
			t.Errorf("the judge says a %T as %q", e, kind)
		}
	}
	if len(seen) != len(entries) {
		t.Errorf("the judge said %v, want every kind", seen)
	}
	for _, p := range pictures {
		for _, tag := range []string{"en", "de"} {
			data, err := frame{Frame: "beat", Now: Now{Picture: p, Link: Link{Phase: Hearing}}, Entries: all}.encode(newVoice(c.For(tag)))
			if err != nil {
				t.Fatal(err)
			}
			checkJSON(t, form, data)
		}
	}
	if pictures[1].Card == nil || pictures[0].Mark.Set {
		t.Error("the pictures have no card, or a mark from the start")
	}
}

// harbourService is four inputs that go up in turns, with somebody who presses, a desk
// that goes quiet for a while, and a house file that is read again at the end. The
// pictures are of the start, of the raises and of the end.
func harbourService(t *testing.T) (pictures []rules.Picture, all []rules.Entry) {
	t.Helper()
	roster := desk.Roster{}
	for i, name := range []string{"piano", "accordion", "fiddle", "upright bass"} {
		roster.Inputs = append(roster.Inputs, desk.Input{Name: name, Element: desk.Element(i + 1), Main: true})
	}
	options := rules.Options{Stale: 5 * time.Second}
	j := rules.NewJudge(roster, rules.DefaultLimits(), options)
	look := func() { pictures = append(pictures, j.Picture()) }
	look()
	hear := func(second, input int, db float64) {
		at := time.Duration(second) * time.Second
		j.Alive(at)
		j.Hear(desk.Reading{At: at, Signal: desk.InputFader, Index: input, Value: db})
	}
	for i := range roster.Inputs {
		hear(0, i, -10)
	}
	for s := 1; s < 240; s++ {
		hear(s, 0, -10)
		if s > 60 && s%15 == 0 {
			hear(s, s/15%4, -10+2.5*float64(s/75))
		}
	}
	look()
	for _, p := range []rules.Press{{Do: rules.SetMark}, {Do: rules.NewSegment, Kind: desk.Speech}, {Do: rules.Note, Text: "the reading"}, {Do: rules.LineCheck, On: true}, {Do: rules.LineCheck}} {
		if err := j.Press(p); err != nil {
			t.Fatal(err)
		}
	}
	hear(300, 0, -10)
	j = j.Follow("Harbour Hall", roster, rules.DefaultLimits(), options)
	look()
	return pictures, j.Take(nil)
}
