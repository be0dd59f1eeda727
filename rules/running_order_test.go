package rules

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"pawl/rules/desk"
)

func orderedJudge() *Judge {
	j := NewJudge(hall(), DefaultLimits(), Options{Order: hallOrder()})
	j.Alive(time.Second)
	return j
}

// told is the order in a line: what is on in brackets, what is next with an arrow.
func toldOrder(j *Judge) string {
	var all []string
	for _, p := range j.Book().Order {
		text := p.Name
		if p.Now {
			text = "[" + text + "]"
		}
		if p.Next {
			text = ">" + text
		}
		all = append(all, text)
	}
	return strings.Join(all, ", ")
}

func TestOrderIsEdited(t *testing.T) {
	j := orderedJudge()
	for _, step := range []struct {
		press Press
		want  string
		err   error
	}{
		{Press{Do: NewSegment, Next: true}, "[opening song], >welcome, reel, silence", nil},
		{Press{Do: OrderMove, Number: 3, Place: 2}, "[opening song], >reel, welcome, silence", nil},
		{Press{Do: OrderMove, Number: 1, Place: 4}, "reel, welcome, silence, [opening song]", nil}, // where it is now, nothing comes next
		{Press{Do: OrderMove, Number: 1, Place: 1}, "[opening song], >reel, welcome, silence", nil},
		{Press{Do: OrderAdd, Text: "notices", Kind: desk.Speech, Place: 2}, "[opening song], >notices, reel, welcome, silence", nil},
		{Press{Do: OrderAdd, Text: "Reel ", Kind: desk.Music}, "[opening song], >notices, reel, welcome, silence", ErrTaken},
		{Press{Do: OrderAdd, Text: "encore", Kind: desk.Music}, "[opening song], >notices, reel, welcome, silence, encore", nil},
		{Press{Do: OrderRename, Number: 5, Text: "reel"}, "[opening song], >notices, reel, welcome, silence, encore", ErrTaken},
		{Press{Do: OrderRename, Number: 5, Text: "Notices"}, "[opening song], >Notices, reel, welcome, silence, encore", nil},
		{Press{Do: OrderRename, Number: 1, Text: "first song"}, "[first song], >Notices, reel, welcome, silence, encore", nil},
		{Press{Do: NewSegment, Next: true}, "first song, [Notices], >reel, welcome, silence, encore", nil},
		{Press{Do: OrderRemove, Number: 5}, "first song, >reel, welcome, silence, encore", nil}, // it goes on, and what followed it comes next
		{Press{Do: OrderRemove, Number: 5}, "first song, >reel, welcome, silence, encore", ErrNoPart},
		{Press{Do: Back}, "[first song], >reel, welcome, silence, encore", nil},
		{Press{Do: OrderKind, Number: 1, Kind: desk.Speech}, "[first song], >reel, welcome, silence, encore", nil},
		{Press{Do: OrderReset}, ">opening song, welcome, reel, silence", nil},
	} {
		if err := j.Press(step.press); !errors.Is(err, step.err) {
			t.Fatalf("%+v: %v, want %v", step.press, err, step.err)
		}
		if got := toldOrder(j); got != step.want {
			t.Errorf("after %+v the order is %q, want %q", step.press, got, step.want)
		}
	}
	if s := j.Picture().Segment; s.Name != "first song" || s.Kind != desk.Speech || s.Next != "opening song" {
		t.Errorf("the segment is %+v", s)
	}
	if j.Book().Edited {
		t.Error("the order of the house file counts as edited")
	}
}

// TestHouseFileKeepsItsOrder: what was changed for a service is never written into what the
// house file gave, and stays when another house file has the same order.
func TestHouseFileKeepsItsOrder(t *testing.T) {
	order := hallOrder()
	j := NewJudge(hall(), DefaultLimits(), Options{Order: order})
	j.Alive(time.Second)
	for _, p := range []Press{{Do: OrderRename, Number: 2, Text: "hello"}, {Do: OrderMove, Number: 4, Place: 1}} {
		if err := j.Press(p); err != nil {
			t.Fatal(err)
		}
	}
	const want = ">silence, opening song, hello, reel"
	j = j.Follow("hall", hall(), DefaultLimits(), Options{Order: hallOrder()})
	if got := toldOrder(j); got != want || !j.Book().Edited {
		t.Errorf("by the same order it is %q, want %q", got, want)
	}
	j = j.Follow("hall", hall(), DefaultLimits(), Options{Order: order[:2]})
	if got := toldOrder(j); got != ">opening song, welcome" {
		t.Errorf("by another order it is %q", got)
	}
	if fmt.Sprint(names(order)) != fmt.Sprint(names(hallOrder())) {
		t.Errorf("the house's own order became %v", names(order))
	}
}

func names(o desk.Order) (all []string) {
	for _, p := range o {
		all = append(all, p.Name)
	}
	return all
}

// TestOrderStaysWhole: whatever is pressed, every part has a number and a name of its own, one
// at most is on, and the next follows the one that was reached.
func TestOrderStaysWhole(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		j := orderedJudge()
		for n := range rapid.IntRange(1, 40).Draw(t, "presses") {
			before := j.Book().Order
			p := Press{
				Do:     rapid.SampledFrom([]Do{NewSegment, NewSegment, Back, OrderAdd, OrderRemove, OrderMove, OrderRename, OrderKind, OrderReset}).Draw(t, "do"),
				Number: rapid.IntRange(0, 8).Draw(t, "number"), Place: rapid.IntRange(0, 6).Draw(t, "place"), Next: rapid.Bool().Draw(t, "next"),
				Kind: rapid.SampledFrom(desk.SegmentKinds).Draw(t, "kind"), Text: rapid.SampledFrom([]string{"reel", "jig", "air", "march", "WELCOME"}).Draw(t, "text"),
			}
			j.Advance(time.Duration(n+2) * time.Second)
			err := j.Press(p)
			after := j.Book().Order
			if err != nil && !slices.EqualFunc(before, after, func(a, b OrderPart) bool {
				return a.Number == b.Number && a.Name == b.Name && a.Now == b.Now && a.Next == b.Next
			}) {
				t.Fatalf("%+v was refused with %v and changed the order", p, err)
			}
			numbers, called, on, next := map[int]bool{}, map[string]bool{}, 0, ""
			for _, o := range after {
				name := strings.ToLower(o.Name)
				if numbers[o.Number] || called[name] || o.Kind == desk.AnyKind {
					t.Fatalf("after %+v the order is %+v", p, after)
				}
				numbers[o.Number], called[name] = true, true
				if o.Now {
					on++
				}
				if o.Next {
					next = o.Name
				}
			}
			if s := j.Picture().Segment; on > 1 || next != s.Next || on == 1 && !after[s.Part-1].Now {
				t.Fatalf("after %+v %d are on, %q is next, and the segment is %+v", p, on, next, s)
			}
			if err == nil && p.Do == OrderMove && p.Place > 0 && p.Place <= len(after) && after[p.Place-1].Number != p.Number {
				t.Fatalf("%+v gave %+v", p, after)
			}
		}
	})
}
