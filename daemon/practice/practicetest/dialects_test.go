package practicetest

import (
	"iter"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"pawl/daemon/practice"
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
31s  solo piano, fiddle
32s  assign click to main
33s  threshold band to -26 dBFS
33s  ratio band to 3:1
34s  unsolo piano
`

var kindOf = map[desk.Signal]practice.Kind{
	desk.InputName: practice.InputName, desk.InputFader: practice.InputFader, desk.InputMute: practice.InputMute, desk.InputLevel: practice.InputLevel,
	desk.DCAFader: practice.DCAFader, desk.DCAMute: practice.DCAMute, desk.GroupFader: practice.GroupFader, desk.GroupMute: practice.GroupMute,
	desk.GroupThreshold: practice.GroupThreshold, desk.GroupRatio: practice.GroupRatio, desk.GroupMakeUp: practice.GroupMakeUp,
	desk.GroupLevelIn: practice.GroupLevelIn, desk.GroupLevel: practice.GroupLevel, desk.GroupReduction: practice.GroupReduction,
	desk.InputSolo: practice.InputSolo, desk.InputMain: practice.InputMain,
	desk.InputCompThreshold: practice.InputThreshold, desk.InputCompRatio: practice.InputRatio, desk.InputCompMakeUp: practice.InputMakeUp, desk.InputReduction: practice.InputReduction,
	desk.MainFader: practice.MainFader, desk.MainMute: practice.MainMute, desk.MainLevel: practice.MainLevel,
}

func roster() *desk.Roster {
	r := &desk.Roster{}
	for _, t := range practice.Topics(practice.InputName) {
		r.Inputs = append(r.Inputs, desk.Input{Name: t.Strip()})
	}
	for _, t := range practice.Topics(practice.DCAFader) {
		r.DCAs = append(r.DCAs, t.Strip())
	}
	for _, t := range practice.Topics(practice.GroupFader) {
		r.Groups = append(r.Groups, t.Strip())
	}
	return r
}

// truth is a dialect that says nothing, at every tick, and keeps what it sees: a
// second playing of a script beside the one under test.
type truth struct {
	view practice.View
	at   time.Duration
	next func() (time.Duration, []byte, bool)
}

func newTruth(t *testing.T, s *practice.Script, how practice.Playing) *truth {
	tr := &truth{at: -1}
	var stop func()
	tr.next, stop = iter.Pull2(practice.Play(s, tr, how))
	t.Cleanup(stop)
	return tr
}

// until goes on to what the desk is at a moment.
func (tr *truth) until(at time.Duration) {
	for more := true; more && tr.at < at; {
		tr.at, _, more = tr.next()
	}
}

func (tr *truth) Tell(v practice.View, _ []practice.Topic, say func([]byte)) {
	tr.view = v
	say(nil)
}

func (*truth) Meters(practice.View, func([]byte)) {}

func (*truth) Hear(*wire.Message) practice.Request { return practice.Request{} }

// Every dialect is heard through its own map. Whatever comes out must be what
// the desk is at that very moment, and all of the desk must come out.
func TestDialectsTellTheSameDesk(t *testing.T) {
	script, err := practice.ParseScript("every-knob.txt", []byte(everyKnob))
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range Dialects() {
		t.Run(d.Name(), func(t *testing.T) {
			m, faults := oscmap.Load(d.Name()+".map.yaml", d.Map(), roster())
			for _, f := range faults {
				if !f.Advice || !strings.Contains(f.Text, "your word alone says") {
					t.Fatalf("the map has faults:\n%v", faults)
				}
			}
			if got := m.Link().Transport.String(); got != d.Transport() {
				t.Errorf("the map says %s, the desk speaks %s", got, d.Transport())
			}
			h := m.NewHearer()
			tr := newTruth(t, script, practice.Playing{Seed: 5})
			last := map[practice.Topic]float64{}
			var reader wire.Reader
			var readings []desk.Reading
			for at, packet := range practice.Play(script, d, practice.Playing{Seed: 5}) {
				tr.until(at)
				readings = readings[:0]
				for reader.Reset(packet); reader.Next(); {
					readings = h.Hear(readings, at, reader.Message())
				}
				if err := reader.Err(); err != nil {
					t.Fatalf("at %v: %v in %q", at, err, packet)
				}
				for _, r := range readings {
					compare(t, tr, r)
					last[practice.Topic{Kind: kindOf[r.Signal], Index: r.Index}] = r.Value
				}
			}
			everythingTold(t, d, tr, last)
			if c := h.Counts(); c.Unmapped > 0 {
				t.Errorf("%d messages were not understood, the last to %s", c.Unmapped, h.LastUnmapped())
			}
		})
	}
}

// compare holds one reading against the desk, to what the dialect rounds to.
func compare(t *testing.T, tr *truth, r desk.Reading) {
	t.Helper()
	about := practice.Topic{Kind: kindOf[r.Signal], Index: r.Index}
	if about.Kind == practice.InputName {
		if r.Text != about.Strip() {
			t.Errorf("at %v: input %d is called %q, want %q", r.At, r.Index+1, r.Text, about.Strip())
		}
		return
	}
	if want := tr.view.Number(about); r.Value != want && !(math.Abs(r.Value-want) <= 0.0051) {
		t.Errorf("at %v: %v %d is %v, want %v", r.At, r.Signal, r.Index+1, r.Value, want)
	}
}

// everythingTold asks that each topic was told, and each setting as it ended.
func everythingTold(t *testing.T, d Dialect, tr *truth, last map[practice.Topic]float64) {
	t.Helper()
	for _, about := range append(practice.Settings(), practice.Meters()...) {
		got, ok := last[about]
		switch {
		case !ok && about.Kind == practice.InputName && d.Name() == "spoken":
			// Whoever speaks of strips by their names has no need to tell the names.
		case !ok:
			t.Errorf("nothing tells %+v", about)
		case about.Kind != practice.InputName && slices.Contains(practice.Settings(), about):
			compare(t, tr, desk.Reading{Signal: signalOf(about.Kind), Index: about.Index, Value: got, At: time.Hour})
		}
	}
}

func signalOf(k practice.Kind) desk.Signal {
	for s, x := range kindOf {
		if x == k {
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
				if !reader.Next() || d.Hear(reader.Message()) == (practice.Request{}) {
					t.Errorf("%v is nothing to the desk", ask)
				}
			}
			for _, packet := range [][]byte{practice.Message("/in/1/throw", float32(1)), practice.Message("/tell/thread/1/set", 0), practice.Message("/nothing")} {
				reader.Reset(packet)
				if !reader.Next() || d.Hear(reader.Message()) != (practice.Request{}) {
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
	asked := map[practice.Topic]int{}
	for tick := range int64(10 * 60) {
		for _, about := range (polled{}).Rota(tick) {
			asked[about]++
		}
	}
	var reader wire.Reader
	for _, ask := range m.Asks() {
		reader.Reset(ask.Packet())
		reader.Next()
		about := polled{}.Hear(reader.Message()).Topic
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
