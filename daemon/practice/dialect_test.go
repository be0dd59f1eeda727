package practice

import (
	"math"
	"strings"
	"testing"
	"time"

	"pawl/oscmap"
	"pawl/oscmap/wire"
	"pawl/rules/desk"
)

// everyKnob touches every sort of strip in every way.
const everyKnob = `
length 40s
expect nothing
0s   fader harp to closed
0s   play cajon, upright bass, piano, accordion, lead voice, reader's mic
2s   raise piano 3 dB over 1.5s
5s   mute fiddle, harmony low
6s   dca band +3 dB over 2s
9s   mute dca brass
10s  group voices -2 dB over 1s
12s  mute group brass
13s  fader harp to -9 dB over 2s
16s  main -1.5 dB over 1s
18s  unmute fiddle
19s  fader accordion to closed over 2s
22s  mute main
24s  unmute main
25s  stage louder 8 dB over 2s
30s  unmute dca brass, group brass
`

var signalOf = map[desk.Signal]word{
	desk.InputName: inputName, desk.InputFader: inputFader, desk.InputMute: inputMute, desk.InputLevel: inputLevel,
	desk.DCAFader: dcaFader, desk.DCAMute: dcaMute, desk.GroupFader: groupFader, desk.GroupMute: groupMute,
	desk.GroupThreshold: groupThreshold, desk.GroupRatio: groupRatio, desk.GroupMakeUp: groupMakeUp,
	desk.GroupLevelIn: groupLevelIn, desk.GroupLevel: groupLevel, desk.GroupReduction: groupReduction,
	desk.MainFader: mainFader, desk.MainMute: mainMute, desk.MainLevel: mainLevel,
}

func roster() *desk.Roster {
	r := &desk.Roster{DCAs: dcaNames, Groups: groupNames}
	for _, s := range seats {
		r.Inputs = append(r.Inputs, desk.Input{Name: s.name})
	}
	return r
}

// Every dialect is heard through its own map. Whatever comes out must be what
// the desk is at that very moment, and all of the desk must come out.
func TestDialectsTellTheSameDesk(t *testing.T) {
	script, err := ParseScript("every-knob.txt", []byte(everyKnob))
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range Dialects() {
		t.Run(d.Name(), func(t *testing.T) {
			m, faults := oscmap.Load(d.Name()+".map.yaml", d.Map(), roster())
			if len(faults) > 0 {
				t.Fatalf("the map has faults:\n%v", faults)
			}
			if got := m.Link().Transport.String(); got != d.Transport() {
				t.Errorf("the map says %s, the desk speaks %s", got, d.Transport())
			}
			h := m.NewHearer()
			truth := newPerformance(script, 5, false)
			last := map[topic]float64{}
			var reader wire.Reader
			var readings []desk.Reading
			for at, packet := range Play(script, d, Playing{Seed: 5}) {
				for tickTime(truth.tick) <= at {
					truth.step()
				}
				readings = readings[:0]
				for reader.Reset(packet); reader.Next(); {
					readings = h.Hear(readings, at, reader.Message())
				}
				if err := reader.Err(); err != nil {
					t.Fatalf("at %v: %v in %q", at, err, packet)
				}
				for _, r := range readings {
					compare(t, truth, r)
					last[topic{signalOf[r.Signal], r.Index}] = r.Value
				}
			}
			everythingTold(t, d, truth, last)
			if c := h.Counts(); c.Unmapped > 0 {
				t.Errorf("%d messages were not understood, the last to %s", c.Unmapped, h.LastUnmapped())
			}
		})
	}
}

// compare holds one reading against the desk, to what the dialect rounds to.
func compare(t *testing.T, p *performance, r desk.Reading) {
	t.Helper()
	about := topic{signalOf[r.Signal], r.Index}
	v := view{p.board, p.needles}
	want := v.number(about)
	switch about.word {
	case inputName:
		if r.Text != seats[r.Index].name {
			t.Errorf("at %v: input %d is called %q, want %q", r.At, r.Index+1, r.Text, seats[r.Index].name)
		}
		return
	case inputMute, dcaMute, groupMute, mainMute:
		want = float64(oneIf(v.muted(about)))
	}
	if r.Value != want && !(math.Abs(r.Value-want) <= 0.0051) {
		t.Errorf("at %v: %v %d is %v, want %v", r.At, r.Signal, r.Index+1, r.Value, want)
	}
}

// everythingTold asks that each topic was told, and each setting as it ended.
func everythingTold(t *testing.T, d Dialect, p *performance, last map[topic]float64) {
	t.Helper()
	for _, about := range append(settings(), meters()...) {
		got, ok := last[about]
		if !ok {
			// Whoever speaks of strips by their names has no need to tell the names.
			if about.word != inputName || d.Name() != "spoken" {
				t.Errorf("nothing tells %+v", about)
			}
			continue
		}
		if about.word < firstMeter && about.word != inputName {
			compare(t, p, desk.Reading{Signal: reverse(about.word), Index: about.index, Value: got, At: time.Hour})
		}
	}
}

func reverse(w word) desk.Signal {
	for s, x := range signalOf {
		if x == w {
			return s
		}
	}
	return desk.NoSignal
}

func TestDialectNamed(t *testing.T) {
	for _, d := range Dialects() {
		if got, err := DialectNamed(d.Name()); err != nil || got != d {
			t.Errorf("%s: got %v, %v", d.Name(), got, err)
		}
	}
	if _, err := DialectNamed("whistled"); err == nil || !strings.Contains(err.Error(), "harbour, numbered") {
		t.Errorf("got %v, want an error that names those there are", err)
	}
}

// Every ask that a dialect's map may send is understood by its desk, and is
// the only thing that the desk acts on.
func TestDesksUnderstandTheirAsks(t *testing.T) {
	for _, d := range Dialects() {
		t.Run(d.Name(), func(t *testing.T) {
			m, faults := oscmap.Load(d.Name()+".map.yaml", d.Map(), roster())
			if faults.Wrong() {
				t.Fatal(faults)
			}
			var reader wire.Reader
			for _, ask := range m.Asks() {
				reader.Reset(ask.Packet())
				if !reader.Next() || d.hear(reader.Message()) == (request{}) {
					t.Errorf("%v is nothing to the desk", ask)
				}
			}
			for _, packet := range [][]byte{message("/in/1/throw", float32(1)), message("/tell/line/1/set", 0), message("/nothing")} {
				reader.Reset(packet)
				if !reader.Next() || d.hear(reader.Message()) != (request{}) {
					t.Errorf("%q is something to the desk", packet)
				}
			}
		})
	}
}

// The rota stands in for somebody who keeps to the map's asks: over ten seconds
// it asks for each value as often as they do.
func TestRotaKeepsToTheMap(t *testing.T) {
	m, faults := oscmap.Load("polled.map.yaml", polled{}.Map(), roster())
	if faults.Wrong() {
		t.Fatal(faults)
	}
	asked := map[topic]int{}
	for tick := range int64(10 * ticksPerSecond) {
		for _, about := range (polled{}).rota(tick) {
			asked[about]++
		}
	}
	var reader wire.Reader
	for _, ask := range m.Asks() {
		reader.Reset(ask.Packet())
		reader.Next()
		about := polled{}.hear(reader.Message()).topic
		// Once more at the beginning, unless its turn comes first.
		if got, want := asked[about], int(10*time.Second/ask.Every); got != want && got != want+1 {
			t.Errorf("%v is asked %d times in ten seconds, want %d and one at the beginning", ask, got, want)
		}
		delete(asked, about)
	}
	for about := range asked {
		t.Errorf("the rota asks for %+v, the map does not", about)
	}
}
