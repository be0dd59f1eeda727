package survey

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pawl/oscmap/wire"
)

// TestNamesOfTheNearest: where DCAs and groups are counted alike by the first argument,
// each has the names whose address is nearest to its fader's, whichever came first; where
// that tells nothing, the names are written as unsure.
func TestNamesOfTheNearest(t *testing.T) {
	for _, c := range []struct {
		name       string
		dca, group string   // addresses of faders
		texts      []string // of names, in the order in which they came
		want       []string
		because    string
	}{
		{name: "after the same beginning", dca: "/dca/fader", group: "/grp/fader", texts: []string{"/dca/name", "/grp/name"},
			want: []string{"dca.name /dca/name", "group.name /grp/name"}},
		{name: "the other way round", dca: "/dca/fader", group: "/grp/fader", texts: []string{"/grp/name", "/dca/name"},
			want: []string{"dca.name /dca/name", "group.name /grp/name"}},
		{name: "deep in the desk", dca: "/desk/hands/up", group: "/desk/sums/up", texts: []string{"/desk/sums/called", "/desk/hands/called"},
			want: []string{"dca.name /desk/hands/called", "group.name /desk/sums/called"}},
		{name: "as deep", dca: "/lift", group: "/pool/lift", texts: []string{"/pool/called", "/called"},
			want: []string{"dca.name /called", "group.name /pool/called"}},
		{name: "of one kind alone", dca: "/dca/fader", group: "/grp/fader", texts: []string{"/grp/name"},
			want: []string{"group.name /grp/name"}},
		{name: "of nobody in particular", dca: "/dfader", group: "/gfader", texts: []string{"/called", "/named"},
			want: []string{"dca.name /called?", "group.name /called?"}, because: "But these may as well be the names: /named #, argument 1 (1–4)"},
		{name: "of either", dca: "/dfader", group: "/gfader", texts: []string{"/called"},
			want: []string{"dca.name /called?", "group.name /called?"}, because: "But they may as well be those of the groups."},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := New(Options{})
			say := func(address string, args ...any) {
				packet, err := wire.AppendMessage(nil, address, args...)
				if err != nil {
					t.Fatal(err)
				}
				s.Hear(0, packet)
			}
			for _, address := range c.texts {
				for i, name := range []string{"low end", "band", "brass", "voices"} {
					say(address, int32(i+1), name+" of "+address)
				}
			}
			for i := range 4 {
				say(c.dca, int32(i+1), float32(-i))
				say(c.group, int32(i+1), float32(-i))
			}
			d := newDrafter(s, nil)
			d.guide = steps{{}} // somebody moved the faders
			for of, address := range map[strip]string{dcaStrip: c.dca, groupStrip: c.group} {
				i := slices.IndexFunc(d.shapes, func(sh *shape) bool { return strings.HasPrefix(sh.pattern(), address+" ") })
				if i < 0 {
					t.Fatalf("no shape %s among %d", address, len(d.shapes))
				}
				p := placed(d.shapes[i].column(1), d.shapes[i].lowest().at)
				p.count(never)
				d.known[of] = family{ok: true, place: p}
			}
			d.nameEntry(dcaStrip, d.known[dcaStrip].place)
			d.nameEntry(groupStrip, d.known[groupStrip].place)
			var got []string
			for _, e := range d.entries {
				text := fmt.Sprintf("%s %s", e.is, strings.TrimPrefix(e.hear[0], "hear: "))
				if e.unsure {
					text += "?"
				}
				got = append(got, text)
			}
			if !slices.Equal(got, c.want) {
				t.Errorf("got %q, want %q", got, c.want)
			}
			if c.because != "" && !strings.Contains(strings.Join(d.entries[0].why, " "), c.because) {
				t.Errorf("the reasons are %q, want %q among them", d.entries[0].why, c.because)
			}
		})
	}
}
