package practicetest

import (
	"math"
	"slices"
	"testing"

	"pawl/daemon/practice"
	"pawl/oscmap/wire"
	"pawl/rules/desk"
)

// everyHall is a service for each hall but the first, in which every sort of knob that
// its desk has is turned.
var everyHall = map[string]string{
	"Ferry Room": `hall Ferry Room
length 20s
expect nothing
0s play lead voice, piano, reader's mic
1s threshold lead voice to -26 dBFS
1s ratio lead voice to 4:1
2s makeup lead voice to 3 dB
3s raise piano 3 dB over 1s
5s dca singers +2 dB over 1s
7s mute fiddle
8s mute dca players
9s main -2 dB over 1s
11s solo whistle
12s unassign cajon from main
14s reboot 2s`,
	"Long Barn": `hall Long Barn
length 20s
expect nothing
0s play lead voice, first trumpet, timpani left, basses right, right reader, click
1s threshold first trumpet to -30 dBFS
1s ratio first trumpet to 6:1
2s makeup first trumpet to 3 dB
2s makeup brass to 2 dB
3s threshold brass to -40 dBFS
4s dca choir +3 dB over 1s
6s group speech -3 dB over 1s
8s mute group strings, dca band
9s raise barn mic right 3 dB over 1s
14s reboot 2s`,
}

// Each hall's desk is heard through the map beside its house: whatever comes out is
// what the desk is at that moment, and all of it comes out.
func TestHallsTellTheirDesks(t *testing.T) {
	for _, in := range practice.Halls()[1:] {
		t.Run(in.Name(), func(t *testing.T) {
			script, err := practice.ParseScript("s.txt", []byte(everyHall[in.Name()]))
			if err != nil {
				t.Fatal(err)
			}
			h := houseOf(t, in).Map.NewHearer()
			tr := newTruth(t, script, practice.Playing{})
			last := map[practice.Topic]float64{}
			var reader wire.Reader
			var readings []desk.Reading
			for at, packet := range practice.Play(script, practice.Harbour(), practice.Playing{}) {
				tr.until(at)
				for reader.Reset(packet); reader.Next(); {
					readings = h.Hear(readings[:0], at, reader.Message())
					for _, r := range readings {
						about := practice.Topic{Kind: kindOf[r.Signal], Index: r.Index}
						last[about] = r.Value
						if want := tr.view.Number(about); about.Kind != practice.InputName && r.Value != want && !(math.Abs(r.Value-want) <= 0.0051) {
							t.Fatalf("at %v: %v %d is %v, want %v", at, r.Signal, r.Index+1, r.Value, want)
						}
						if about.Kind == practice.InputName && r.Text != in.Strip(about) {
							t.Errorf("input %d is called %q, want %q", r.Index+1, r.Text, in.Strip(about))
						}
					}
				}
			}
			for _, about := range append(in.Settings(), in.Meters()...) {
				if _, told := last[about]; !told {
					t.Errorf("nothing tells %+v", about)
				}
			}
			if c := h.Counts(); c.Unmapped > 0 {
				t.Errorf("%d messages were not understood, the last to %s", c.Unmapped, h.LastUnmapped())
			}
			most := 0.0
			for _, about := range in.Topics(practice.InputReduction) {
				most = max(most, last[about])
			}
			if most < 1 {
				t.Errorf("no input's compressor takes more than %.1f dB, and one is set to", most)
			}
		})
	}
}

// A hall's house has on its roster whoever sits on its stage, strip by strip.
func TestHousesAreTheirStages(t *testing.T) {
	for _, in := range practice.Halls() {
		t.Run(in.Name(), func(t *testing.T) {
			h := houseOf(t, in)
			if h.Name != in.Name() {
				t.Errorf("the house is called %q, want %q", h.Name, in.Name())
			}
			var names []string
			for _, i := range h.Roster.Inputs {
				names = append(names, i.Name)
			}
			names = slices.Concat(names, h.Roster.DCAs, h.Roster.Groups)
			var want []string
			for _, about := range in.Topics(practice.InputFader, practice.DCAFader, practice.GroupFader) {
				want = append(want, in.Strip(about))
			}
			if !slices.Equal(names, want) {
				t.Errorf("the roster is %q, want %q", names, want)
			}
		})
	}
}
