package rules

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"pawl/rules/desk"
)

// TestMarkBack: a stray touch of the mark is taken back as though it had not been.
func TestMarkBack(t *testing.T) {
	const climb = "20s piano fader -6\n30s accordion fader -6\n36s fiddle fader -6\n"
	for _, c := range []struct {
		name, presses string
		how           desk.How
		above, silent bool // the mix is above the mark; a rule was put off and is so still
	}{
		{"untouched", "", desk.MusicBegan, true, false},
		{"set", "50s press mark\n", desk.ByHand, false, false},
		{"set and taken back", "50s press mark\n54s press mark-back\n", desk.MusicBegan, true, false},
		{"of two the newer", "48s press mark\n50s press mark\n54s press mark-back\n", desk.ByHand, false, false},
		{"what was put off stays so", "46s press not-now 1\n50s press mark\n54s press mark-back\n", desk.MusicBegan, true, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, j := serve(t, fourEqual+climb+c.presses+"58s end")
			p := j.Picture()
			if above := p.Rise.Reaches(1); p.Mark.How != c.how || above != c.above {
				t.Errorf("measured from the mark by %q, %v above it; want %q, and above it %v", p.Mark.How, p.Rise, c.how, c.above)
			}
			if silent := len(j.past.silenced) > 0; silent != c.silent {
				t.Errorf("a rule is silent: %v, want %v", silent, c.silent)
			}
		})
	}
}

// TestMarkBackIsRefused where there is nothing fresh to take back: before any, twice, too
// late, and after a mark that came by itself.
func TestMarkBackIsRefused(t *testing.T) {
	for _, c := range []struct {
		name, presses, end string
		want               error
	}{
		{"no mark by hand", "", "58s end", ErrNoMark},
		{"taken back already", "50s press mark\n52s press mark-back", "58s end", ErrNoMark},
		{"in time", "50s press mark", "60s end", nil},
		{"too late", "50s press mark", "60.1s end", ErrNoMark},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, j := serve(t, fourEqual+c.presses+"\n"+c.end)
			if err := j.Press(Press{Do: MarkBack}); !errors.Is(err, c.want) {
				t.Errorf("got %v, want %v", err, c.want)
			}
		})
	}
	_, j := serve(t, fourEqual+"50s press mark\n51s end")
	j.accept()
	if err := j.Press(Press{Do: MarkBack}); !errors.Is(err, ErrNoMark) {
		t.Errorf("after a level that was kept: got %v, want %v", err, ErrNoMark)
	}
}

// TestMarkBackInSilence: pressed while nobody plays, a mark is for what is played next, and
// taken back for nothing: no entry but the two presses.
func TestMarkBackInSilence(t *testing.T) {
	s := ScriptOf(t, "silence", "input piano rhythm\n10s end")
	j := newJudge(s.Roster)
	s.Play(j)
	j.Take(nil)
	for _, do := range []Do{SetMark, MarkBack} {
		if err := j.Press(Press{Do: do}); err != nil {
			t.Fatal(err)
		}
	}
	if all := j.Take(nil); len(all) != 2 || j.mark.next != desk.MusicBegan || j.marked.Set {
		t.Errorf("%d entries, then waiting for a mark by %q; want the two presses and the music's", len(all), j.mark.next)
	}
}

// TestMarkBackLeavesNoTrace: wherever in a service somebody marks and takes it back, a little
// later everything is measured as in the same service without.
func TestMarkBackLeavesNoTrace(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		type event struct {
			at   float64
			what string
		}
		var moves []event
		for at := 20; at < 60; at += rapid.IntRange(4, 12).Draw(t, "later") {
			who := rapid.SampledFrom([]string{"piano", "accordion", "fiddle", "lead", "harp"}).Draw(t, "who")
			moves = append(moves, event{float64(at), fmt.Sprintf("%s fader %d", who, rapid.IntRange(-14, -4).Draw(t, "fader"))})
		}
		at := float64(rapid.IntRange(150, 700).Draw(t, "marked, tenths")) / 10
		back := at + float64(rapid.IntRange(0, 100).Draw(t, "taken back, tenths"))/10
		picture := func(presses ...event) Picture {
			text := fourEqual
			all := append(slices.Clone(moves), presses...)
			slices.SortStableFunc(all, func(a, b event) int { return cmp.Compare(a.at, b.at) })
			for _, e := range all {
				text += fmt.Sprintf("%gs %s\n", e.at, e.what)
			}
			s := ScriptOf(&testing.T{}, "service", text+"90s end")
			j := newJudge(s.Roster)
			s.Play(j)
			return j.Picture()
		}
		without, with := picture(), picture(event{at, "press mark"}, event{back, "press mark-back"})
		if with.Mark != without.Mark || with.Split != without.Split || with.Rise != without.Rise {
			t.Errorf("marked at %g s, taken back at %g s: from %+v, %v; without from %+v, %v", at, back, with.Mark, with.Split, without.Mark, without.Split)
		}
	})
}

// The entry of a mark that was taken back tells what is measured from again.
func TestMarkBackIsSaid(t *testing.T) {
	s := ScriptOf(t, "said", fourEqual+"50s press mark\n54s press mark-back\n58s end")
	j := newJudge(s.Roster)
	s.Play(j)
	var marks []Marked
	for _, e := range j.Take(nil) {
		if m, ok := e.(*Marked); ok {
			marks = append(marks, *m)
		}
	}
	if len(marks) != 3 || marks[1].How != desk.ByHand || marks[1].Back ||
		!marks[2].Back || marks[2].How != marks[0].How || marks[2].Total != marks[0].Total || marks[2].T != Moment(54*time.Second) {
		t.Errorf("said %+v, want the third to be the first again", marks)
	}
}
