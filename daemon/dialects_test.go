package daemon

import (
	"math"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"pawl/daemon/house"
	"pawl/daemon/practice"
	"pawl/daemon/practice/practicetest"
	"pawl/oscmap"
	"pawl/oscmap/sheet"
	"pawl/oscmap/wire"
	"pawl/rules"
	"pawl/rules/desk"
	"pawl/rules/words"
)

// dialectHouse is Harbour Hall with its desk speaking another dialect.
func dialectHouse(t testing.TB, d practicetest.Dialect) *house.House {
	t.Helper()
	return mappedHouse(t, d.Name()+".map.yaml", d.Map())
}

// mappedHouse is Harbour Hall with another map. Its faults are the test's.
func mappedHouse(t testing.TB, file string, src []byte) *house.House {
	t.Helper()
	h := harbourHall(t)
	m, faults := oscmap.Load(file, src, &h.Roster, house.Needs()...)
	if faults = besidesWords(faults); len(faults) > 0 {
		t.Fatalf("the map has faults or advice:\n%v", faults)
	}
	h.Map = m
	return h
}

// besidesWords leaves out what is repeated of asks that rest on somebody's word, and
// that nobody is told of solos: of the dialects only the demo's tells of them.
func besidesWords(faults sheet.Faults) sheet.Faults {
	return slices.DeleteFunc(slices.Clone(faults), func(f sheet.Fault) bool {
		return f.Advice && (strings.HasPrefix(f.Text, "your word alone says") || strings.HasSuffix(f.Text, "no address carries input.solo"))
	})
}

// TestMapsOfDialects holds each dialect's map against the checker, without a fault
// or advice, alone and with the roster; and there is no map without a dialect.
func TestMapsOfDialects(t *testing.T) {
	known := map[string]bool{}
	for _, d := range practicetest.Dialects() {
		file := d.Name() + ".map.yaml"
		known[file] = true
		dialectHouse(t, d)
		if _, faults := oscmap.Load(file, d.Map(), nil, house.Needs()...); len(besidesWords(faults)) > 0 {
			t.Errorf("%s alone:\n%v", file, faults)
		}
	}
	files, err := filepath.Glob("../testdata/maps/*.map.yaml")
	if err != nil || len(files) == 0 {
		t.Fatal(err, files)
	}
	for _, file := range files {
		if !known[filepath.Base(file)] {
			t.Errorf("%s is the map of no dialect", file)
		}
	}
}

// told is what came of a service in one dialect.
type told struct {
	said     []*rules.Finding
	controls map[control]float64 // as they were last heard
	totals   []desk.DBFS         // one each pulse
}

// pulse is how often the totals of two dialects are compared.
const pulse = 500 * time.Millisecond

// control is one fader, switch or other setting.
type control struct {
	signal desk.Signal
	index  int
}

// tellIn plays a service in a dialect to an engine.
func tellIn(t *testing.T, script *practice.Script, d practicetest.Dialect) told {
	t.Helper()
	e := newEngine(dialectHouse(t, d))
	out := told{controls: map[control]float64{}}
	ear := e.hearer // of the engine, so that what is heard twice counts twice
	var reader wire.Reader
	var readings []desk.Reading
	for at, packet := range practice.Play(script, d, practice.Playing{}) {
		for when := time.Duration(len(out.totals)) * pulse; when < at; when += pulse {
			e.advance(when)
			out.totals = append(out.totals, e.judge.Picture().Total)
		}
		e.packet(at, packet)
		out.said = append(out.said, findings(e)...)
		for reader.Reset(packet); reader.Next(); {
			readings = ear.Hear(readings[:0], at, reader.Message())
			for _, r := range readings {
				if r.Signal.Control() && r.Signal.Quantity() != desk.Words {
					out.controls[control{r.Signal, r.Index}] = r.Value
				}
			}
		}
	}
	e.advance(script.Length)
	out.said = append(out.said, findings(e)...)
	c := ear.Counts()
	if len(e.malformed) > 0 || c.Unmapped > 0 || c.Clamped != [len(c.Clamped)]uint64{} || c.Refused != [len(c.Refused)]uint64{} {
		t.Errorf("%d messages not in the map (last %s), malformed %v, clamped %v, refused %v",
			c.Unmapped, ear.LastUnmapped(), e.malformed, c.Clamped, c.Refused)
	}
	return out
}

// tells is what a dialect can tell of when and how loud. The zero value is
// everything, at once.
type tells struct {
	late    time.Duration // a finding may come so much later or sooner, and the mix be so old
	early   time.Duration // or so much ahead of those who are told
	total   desk.DB       // so much may the total differ on the way
	figures float64       // and a figure, beyond a tenth of a dB
	sampled bool          // its meters are read so seldom that means over seconds differ
}

// What a compressor does in the median of twenty seconds may stand within a hundredth of
// a dB of a limit for a second: rounded meters pass it sooner or later, with the same
// figures. And what is judged by means over a second or three of sounds that breathe comes
// to its limit sooner or later, by so much, and with other figures, where half of the
// meters are not asked for. The ratchet is judged by means over ten.
const (
	squeezedLate = time.Second
	squeezedBy   = 0.1 // dB, beyond a tenth, where half are not asked for
	sampledLate  = 600 * time.Millisecond
	sampledBy    = 0.6 // dB, beyond a tenth
)

// tellings has what is not told at once. The polled desk is asked for each fader
// four times a second, so that the end of a move is known up to 250 ms late; and as
// the last tenth of a dB of a move is taken for rest, it may also seem to end that
// much sooner than to those who are told every step. Its meters are asked for ten
// times a second and not twenty, so that a phrase that ends between two of them
// moves a mean over three seconds by half a dB. What is judged a quarter of a second later is
// judged on a mean that has moved on by as much. The spoken desk rounds to
// hundredths of a dB, so that the last tenth of a move, which is taken for rest, may
// begin sooner where a slow move ends.
var tellings = map[string]tells{
	"spoken": {late: 400 * time.Millisecond},
	"polled": {late: 250 * time.Millisecond, total: 0.35, sampled: true},
}

// onlyHarbour are the services that the other dialects have no words for: of what is soloed, and of
// what feeds the main.
var onlyHarbour = []string{"cue-kept-out", "solo-raise", "solo-to-look", "stray-cue"}

// TestSixDialects plays every other service in every dialect. The mix is the same, and
// what is said of it is the same: the same rule, state, weight and inputs, and every
// number to a tenth of a dB.
func TestSixDialects(t *testing.T) {
	practicetest.SkipRaced(t)
	services := slices.DeleteFunc(practicetest.Services(), func(name string) bool { return slices.Contains(onlyHarbour, name) })
	for _, name := range services {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			script, err := practicetest.Service(name)
			if err != nil {
				t.Fatal(err)
			}
			dialects := practicetest.Dialects()
			want := tellIn(t, script, dialects[0])
			for _, d := range dialects[1:] {
				t.Run(d.Name(), func(t *testing.T) {
					got, how := tellIn(t, script, d), tellings[d.Name()]
					if how.late > 0 && name == "ratchet-end-only" {
						how.early = 2 * time.Second // the others are told of a move when it has ended
					}
					sameMix(t, got, want, how)
					sameFindings(t, got.said, want.said, how)
				})
			}
		})
	}
}

func sameMix(t *testing.T, got, want told, how tells) {
	t.Helper()
	if len(got.controls) != len(want.controls) {
		t.Errorf("%d controls heard, want %d", len(got.controls), len(want.controls))
	}
	for c, v := range want.controls {
		if g, ok := got.controls[c]; !ok || g != v && !(math.Abs(g-v) <= 0.0051) {
			t.Errorf("%v %d ended at %v, want %v", c.signal, c.index+1, g, v)
		}
	}
	if n := len(want.totals); len(got.totals) < n-1 {
		t.Errorf("the total %d times, want %d", len(got.totals), n)
	}
	for i, total := range got.totals[:min(len(got.totals), len(want.totals))] {
		// A dialect that is late tells what was, on the way to what is.
		lo, hi := want.totals[i], want.totals[i]
		for k := max(0, i-pulses(how.late)); k <= i+pulses(how.early) && k < len(want.totals); k++ {
			lo, hi = min(lo, want.totals[k]), max(hi, want.totals[k])
		}
		if slack := desk.DBFS(0.05 + how.total); !(total >= lo-slack && total <= hi+slack) {
			t.Errorf("at %v the total is %v, want %v to %v", time.Duration(i)*pulse, total, lo, hi)
			return
		}
	}
}

// pulses is how many pulses may lie in a time.
func pulses(d time.Duration) int { return int((d + pulse - 1) / pulse) }

func sameFindings(t *testing.T, got, want []*rules.Finding, how tells) {
	t.Helper()
	// A finding that has grown by just a dB since it was last said may be said again by
	// one dialect and not by the other: their parts differ by a tenth.
	if n := len(want); how.sampled && len(got) == n+1 && got[n].State == rules.Grew {
		got = got[:n]
	}
	if len(got) != len(want) {
		t.Errorf("%d findings, want %d", len(got), len(want))
		return
	}
	for i, w := range want {
		g := got[i]
		sameFinding(t, g, w, by(w.Rule, how))
		if t.Failed() {
			t.Errorf("got  %v %v %v %v: %s | %s\nwant %v %v %v %v: %s | %s", time.Duration(g.T), g.State, g.Weight, g.Inputs, what(g), try(g), time.Duration(w.T), w.State, w.Weight, w.Inputs, what(w), try(w))
			return
		}
	}
}

// by is how a rule may differ. One that waits for a meter to pass a limit, and not for a
// hand, waits in each dialect by meters that are rounded and sent in another way.
func by(rule string, how tells) tells {
	switch {
	case strings.HasPrefix(rule, "squeezed-"):
		how.late = max(how.late, squeezedLate)
		if how.sampled {
			how.figures = squeezedBy
		}
	case how.sampled && rule != "ratchet":
		how.late, how.figures = max(how.late, sampledLate), sampledBy
	}
	return how
}

func sameFinding(t *testing.T, g, w *rules.Finding, how tells) {
	t.Helper()
	type same struct {
		number        int
		rule          string
		state         rules.State
		weight        rules.Weight
		shown         bool
		inputs, facts int
	}
	of := func(f *rules.Finding) same {
		return same{f.Number, f.Rule, f.State, f.Weight, f.Shown, len(f.Inputs), len(f.Facts)}
	}
	if of(g) != of(w) {
		t.Errorf("got %+v, want %+v", of(g), of(w))
		return
	}
	for k := range w.Inputs {
		if g.Inputs[k] != w.Inputs[k] {
			t.Errorf("input %d is %s, want %s", k, g.Inputs[k], w.Inputs[k])
		}
	}
	if d := time.Duration(g.T - w.T).Abs(); d > how.late {
		t.Errorf("said at %v, want %v", time.Duration(g.T), time.Duration(w.T))
	}
	for _, want := range w.Figures {
		got, ok := g.Figures.Of(want.Name)
		if off := got - want.Value; !ok || !(math.Abs(off) <= 0.1+how.figures) {
			t.Errorf("the %s differs by %v", want.Name, off)
		}
	}
	if how.figures == 0 && (!sameWords(what(g), what(w), how.early) || !sameWords(try(g), try(w), how.early)) {
		t.Error("other words")
	}
	got, want := english.Finding(g).Words.Facts, english.Finding(w).Words.Facts
	for k := range want {
		at, wantAt := time.Duration(g.Facts[k].T), time.Duration(w.Facts[k].T)
		if how.figures == 0 && !sameWords(got[k], want[k], how.early) || (at-wantAt).Abs() > how.late {
			t.Errorf("fact at %v %q, want at %v %q", at, got[k], wantAt, want[k])
		}
	}
}

// english says what a test compares or prints.
var english = words.Own().For("en")

func what(f *rules.Finding) string { return strings.Join(english.Finding(f).Words.What, " ") }

func try(f *rules.Finding) string {
	w := english.Finding(f).Words
	return strings.TrimSpace(w.Try + " " + w.Then)
}

// findings is every finding that an engine has said since it was last asked.
func findings(e *engine) (out []*rules.Finding) {
	for _, entry := range e.judge.Take(nil) {
		if f, ok := entry.(*rules.Finding); ok {
			out = append(out, f)
		}
	}
	return out
}

var numbers = regexp.MustCompile(`[-−+]?\d+(\.\d+)?`)

// trifle is a cause of a change so small that another's tenth of a dB less would be left
// out of the text.
var trifle = regexp.MustCompile(`(?i)(, )?(from the (faders|stage|groups|main) [+−]0\.1 dB|[+−]0\.1 dB (into the group )?by the (faders|players?))`)

// sameWords reports whether two texts differ in their numbers only, and in those
// by one in the last place at most; whole seconds by as much more as one may be early.
func sameWords(a, b string, early time.Duration) bool {
	a, b = trifle.ReplaceAllString(a, ""), trifle.ReplaceAllString(b, "")
	if numbers.ReplaceAllString(a, "#") != numbers.ReplaceAllString(b, "#") {
		return false
	}
	in := numbers.FindAllString(b, -1)
	for i, s := range numbers.FindAllString(a, -1) {
		x, _ := strconv.ParseFloat(strings.ReplaceAll(s, "−", "-"), 64)
		y, _ := strconv.ParseFloat(strings.ReplaceAll(in[i], "−", "-"), 64)
		last := 0.1
		if !strings.Contains(in[i], ".") {
			last = 1 + early.Seconds()
		}
		if math.Abs(x-y) > last+1e-9 {
			return false
		}
	}
	return true
}
