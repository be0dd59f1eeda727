package survey

import (
	"fmt"
	"strings"
	"testing"
)

// TestAlone: a line for one strip of a kind stands only where no other number may be of that kind.
func TestAlone(t *testing.T) {
	for _, c := range []struct {
		name    string
		numbers []int // of groups, or of what nobody knows
		dcas    bool
		want    string
	}{
		{"one after another", []int{21, 22, 23, 24}, true, ""},
		{"every other", []int{21, 23, 25, 27}, true, "number 23 is behind it"},
		{"the only one", []int{21}, true, ""},
		{"before what is not known", []int{21}, false, "number 31 is behind it"},
	} {
		t.Run(c.name, func(t *testing.T) {
			var all []said
			numbers := append([]int{1, 2, 3, 31, 32}, c.numbers...)
			for _, n := range numbers {
				all = append(all, said{fmt.Sprintf("/row/%d/up", n), []any{float32(-n)}})
			}
			s := surveyOf(t, all...)
			d := newDrafter(s, nil)
			for strip, address := range map[strip]string{inputStrip: "/row/1/up", dcaStrip: "/row/31/up", groupStrip: "/row/21/up"} {
				for _, src := range s.order {
					if src.address == address && (strip != dcaStrip || c.dcas) {
						p, _ := locate(d.shapes, src.slots[0])
						p.count(never)
						d.known[strip] = family{ok: true, place: p}
					}
				}
			}
			if got := d.alone(groupStrip, &d.known[groupStrip].place); got == "" != (c.want == "") || !strings.Contains(got, c.want) {
				t.Errorf("got %q, want %q", got, c.want)
			}
		})
	}
}

// TestRecordOfAStrip: a message may have all that is told of one strip, its name too; the number
// counts the strips and the names tell no kinds apart, two of one name neither.
func TestRecordOfAStrip(t *testing.T) {
	var all []said
	for n, name := range []string{"low", "mid", "high", "air", "low"} {
		args := []any{1 + n, name, float32(50), 1, 0}
		if n > 2 {
			args = args[:4]
		}
		all = append(all, said{"/all/of", args})
	}
	s := surveyOf(t, append(all, all...)...)
	shapes := s.shapes()
	if len(shapes) != 1 || !shapes[0].byArgument || shapes[0].indexAt != 0 || shapes[0].wordAt != -1 || len(shapes[0].members) != 5 {
		t.Errorf("%d shapes, the first %q with %d members", len(shapes), shapes[0].pattern(), len(shapes[0].members))
	}
}
