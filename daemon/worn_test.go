package daemon

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
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
	"pawl/rules"
	"pawl/rules/desk"
)

// worn is a desk, or a network, that tells less well than another. Its words are the
// numbered dialect's. The zero value tells everything.
type worn struct {
	name string

	meters  int                                     // ticks between two tellings of the meters, 0 for the usual three
	skip    int                                     // one in so many of those is left out
	step    float64                                 // faders go by so many dB
	style   string                                  // of telling a moving fader, in a script's words
	peaks   bool                                    // meters show peaks and nothing else
	deaf    bool                                    // there are no meters
	whole   bool                                    // hands go by whole dB
	recited time.Duration                           // everything but meters is told again so often
	carry   func(*rand.Rand, []datagram) []datagram // what the network does

	how    map[string]tells  // by service, where it cannot be asGood
	always tells             // in place of asGood, if it is anything
	not    map[string]string // services that cannot be compared, with why
}

// datagram is a packet on its way.
type datagram struct {
	at   time.Duration
	data []byte
}

// asGood is how far what is said through one may differ: by a second and 0.3 dB, a tenth
// of it by rounding.
var asGood = tells{late: time.Second, figures: 0.2}

// Where what is heard does not tell more: by service.
var (
	// What a compressor takes in the median of twenty seconds passes its limit by a hundredth
	// of a dB, and so sooner or later.
	atTheLimit = tells{late: 1500 * time.Millisecond, figures: 0.2}

	// A voice that breathes, in the mean of the seven readings in which it was first heard; a
	// click, in that of five; a strummed chord, in that of three seconds of them.
	seldomHeard = map[string]tells{
		"beside-a-voice":       atTheLimit,
		"muted-reader":         {late: time.Second, figures: 0.4},
		"click-and-headphones": {late: time.Second, figures: 0.8},
		"stray-cue":            {late: time.Second, figures: 1.8},
		"second-over-first":    {late: time.Second, figures: 0.5},
	}
	// A main that swells about its limit by hundredths of a decibel is over it a swell later.
	otherwiseHeard = map[string]tells{"beside-a-voice": atTheLimit, "hot-from-stage": {late: 2600 * time.Millisecond, figures: 0.2}}
	allHeard       = map[string]tells{"beside-a-voice": atTheLimit, "stray-cue": {late: time.Second, figures: 0.4}}
	// The same by peaks that are held until they are seen: between two words, two strokes of a
	// mandolin and two of a click they stay.
	heldPeaks = map[string]tells{
		"muted-reader":         {late: time.Second, figures: 0.5},
		"click-and-headphones": {late: time.Second, figures: 1.2},
		"stray-cue":            {late: time.Second, figures: 0.9},
		"second-over-first":    {late: time.Second, figures: 0.6},
	}
	// Of a hand that is on its way for two seconds nothing is known before it has come to
	// rest; what is said then is of the mix of that moment.
	toldAtTheEnd = map[string]tells{
		"lead-behind":       {late: 2 * time.Second, figures: 0.3},
		"harmony-forward":   {late: time.Second, figures: 0.3},
		"second-over-first": {late: time.Second, figures: 0.4},
		"main-left-closed":  {late: 2100 * time.Millisecond, figures: 0.2},
		"hot-from-stage":    {late: 2100 * time.Millisecond, figures: 0.2},
		"stray-cue":         {late: time.Second, figures: 0.4},
		"words-covered":     {late: 2 * time.Second, figures: 0.3},
	}
	// A hand that ends unevenly is there for the last time half a step, and half of the way,
	// before it rests.
	coarse = map[string]tells{"click-and-headphones": {late: 1600 * time.Millisecond, figures: 0.2}}
	// What comes two seconds late is said two seconds late.
	heldUp = tells{late: 2200 * time.Millisecond, figures: 0.2}

	byPeaks = map[string]string{
		"hot-main":                "where the main's peaks are told its headroom is judged by them, and here they are its level",
		"hot-from-stage":          "where the main's peaks are told its headroom is judged by them, and not by its level",
		"squeezed-group-loud-end": "the headroom of an input likewise: its peaks are here 12 dB over what else stands in for them",
	}
	byWholes = map[string]string{"creep": "by a dB at a time, which is heard, it is a ratchet, as on any desk"}
	byHalves = map[string]string{
		"creep":                byWholes["creep"],
		"click-and-headphones": "a raise that ends a hair too far is there a step too far, and its way back a move, and a fact, of its own",
	}
	allOfIt = map[string]string{
		"creep":                byWholes["creep"],
		"click-and-headphones": byHalves["click-and-headphones"],
		"hot-from-stage":       byChance["hot-from-stage"],
	}
	unsoloed = map[string]string{"click-and-headphones": "a solo is over before its message, which was lost, is told again"}
	byChance = map[string]string{"hot-from-stage": "three DCAs and the main come to rest in one moment, and which is the last of them is chance"}
)

// wornDesks are the ways to be worn.
func wornDesks() []worn {
	chance := func(percent int, f func(p datagram) []datagram) func(*rand.Rand, []datagram) []datagram {
		return func(r *rand.Rand, in []datagram) (out []datagram) {
			for _, p := range in {
				if r.IntN(100) < percent {
					out = append(out, f(p)...)
				} else {
					out = append(out, p)
				}
			}
			return out
		}
	}
	return []worn{
		{name: "peak meters only", peaks: true, how: heldPeaks, not: byPeaks},
		{name: "5 meters a second", meters: 12, how: seldomHeard},
		{name: "50 meters a second", meters: 1, skip: 6, how: otherwiseHeard},
		{name: "faders in 0.5 dB", step: 0.5, not: byHalves},
		{name: "faders in 1 dB", step: 1, how: coarse, not: byWholes},
		{name: "repeated values", style: "repeats"},
		{name: "end values only", style: "end only", how: toldAtTheEnd},
		{name: "30 ms of jitter", not: byChance, carry: func(r *rand.Rand, in []datagram) []datagram {
			for i := range in {
				in[i].at += time.Duration(r.IntN(31)) * time.Millisecond
			}
			slices.SortStableFunc(in, func(a, b datagram) int { return int(a.at - b.at) })
			return in
		}},
		{name: "2 s held up", always: heldUp, carry: func(_ *rand.Rand, in []datagram) []datagram {
			for i := range in {
				in[i].at += 2 * time.Second
			}
			return in
		}},
		{name: "2 % lost", recited: 10 * time.Second, not: unsoloed, carry: chance(2, func(datagram) []datagram { return nil })},
		{name: "2 % doubled", carry: chance(2, func(p datagram) []datagram { return []datagram{p, p} })},
		{name: "pairs in the wrong order", carry: func(r *rand.Rand, in []datagram) []datagram {
			for i := 1; i < len(in); i++ {
				if r.IntN(50) == 0 {
					in[i-1].data, in[i].data = in[i].data, in[i-1].data
				}
			}
			return in
		}},
		{name: "all of it", meters: 6, step: 0.5, recited: 10 * time.Second, how: allHeard, not: allOfIt, carry: func(r *rand.Rand, in []datagram) []datagram {
			in = chance(2, func(datagram) []datagram { return nil })(r, in)
			in = chance(2, func(p datagram) []datagram { return []datagram{p, p} })(r, in)
			for i := range in {
				in[i].at += time.Duration(r.IntN(31)) * time.Millisecond
			}
			slices.SortStableFunc(in, func(a, b datagram) int { return int(a.at - b.at) })
			return in
		}},
	}
}

// wornServices are what they are held to: every service that expects something, two that
// nothing is to be said of, and two of the yardstick, with a click in the main, raises in
// solo, and a main at its end.
func wornServices() (names []string) {
	for _, name := range practicetest.Services() {
		s, err := practicetest.Service(name)
		if err == nil && len(s.Expect) > 0 && !s.Loops {
			names = append(names, name)
		}
	}
	return append(names, "lead-rests", "chorus-lift", "click-and-headphones", "hot-from-stage")
}

// unworn are the rules that none of them makes speak, with why.
var unworn = map[string]string{
	"squeezed-input": "the inputs of Harbour Hall have no compressors",
	"room-loud":      "no service has a meter of the room",
}

// TestWornDesks plays services through desks that tell less: the same is said within a
// second, and with the same figures to 0.3 dB. `go test -v` prints the table.
func TestWornDesks(t *testing.T) {
	practicetest.SkipRaced(t)
	desks, services := wornDesks(), wornServices()
	table := make([][]far, len(desks))
	for i := range table {
		table[i] = make([]far, len(services))
	}
	speak := make([][]*rules.Finding, len(services))
	t.Run("services", func(t *testing.T) {
		for s, name := range services {
			t.Run(name, func(t *testing.T) {
				t.Parallel()
				exact, whole := (&worn{}).judge(t, name), (&worn{whole: true}).judge(t, name)
				speak[s] = append([]*rules.Finding{}, exact...)
				for i, d := range desks {
					if d.not[name] != "" {
						continue
					}
					t.Run(d.name, func(t *testing.T) {
						want, got := exact, d.judge(t, name)
						if d.step > 0 { // no hand goes by half of what it has
							want = whole
						}
						table[i][s] = apart(got, want)
						how := asGood
						if d.always != (tells{}) {
							how = d.always
						}
						if other, is := d.how[name]; is {
							how = other
						}
						sameFindings(t, got, want, how)
					})
				}
			})
		}
	})
	for _, k := range rules.Kinds {
		if slices.ContainsFunc(speak, func(f []*rules.Finding) bool { return f == nil }) {
			break // only some of them were asked for
		}
		said := slices.ContainsFunc(slices.Concat(speak...), func(f *rules.Finding) bool { return f.Rule == k.Name })
		if said == (unworn[k.Name] != "") {
			t.Errorf("%s: said %v, and why not is %q", k.Name, said, unworn[k.Name])
		}
	}
	lines := []string{"| | later or sooner at worst | figures off at worst |", "|---|---|---|"}
	for i, d := range desks {
		late, figure := 0, 0
		for s := range services {
			if table[i][s].late > table[i][late].late {
				late = s
			}
			if table[i][s].figure > table[i][figure].figure {
				figure = s
			}
		}
		lines = append(lines, fmt.Sprintf("| %s | %.1f s, %s | %.2f dB, %s |", d.name,
			table[i][late].late.Seconds(), services[late], table[i][figure].figure, services[figure]))
	}
	t.Logf("%d services\n%s", len(services), strings.Join(lines, "\n"))
}

// far is how far what was said lies from what was to be said.
type far struct {
	late   time.Duration // or sooner
	figure float64       // dB
}

// apart is nothing if not as much was said.
func apart(got, want []*rules.Finding) (by far) {
	if len(got) != len(want) {
		return by
	}
	for i, w := range want {
		by.late = max(by.late, time.Duration(got[i].T-w.T).Abs())
		for _, f := range w.Figures {
			if g, ok := got[i].Figures.Of(f.Name); ok {
				by.figure = max(by.figure, math.Abs(g-f.Value))
			}
		}
	}
	return by
}

// judge plays a service through the desk, and is what was said of it.
func (w *worn) judge(t *testing.T, service string) (said []*rules.Finding) {
	t.Helper()
	h := wornHouse(t, w.mapFile())
	if w.peaks { // the desk's levels go as high as peaks do, and with a crest over them
		h.Limits.HotInput.Peak, h.Limits.HotMain.Peak = h.Limits.HotInput.Peak+wornCrest, 40
	}
	e := newEngine(h)
	for _, p := range w.play(t, service) {
		e.packet(p.at, p.data)
		said = append(said, findings(e)...)
	}
	e.advance(w.script(t, service).Length)
	said = append(said, findings(e)...)
	if c := e.hearer.Counts(); c.Unmapped > 0 || len(e.malformed) > 0 {
		t.Errorf("%d messages not in the map (last %s)", c.Unmapped, e.hearer.LastUnmapped())
	}
	return said
}

// wornHouse is Harbour Hall with a map that may well leave rules without a signal.
func wornHouse(t *testing.T, src []byte) *house.House {
	t.Helper()
	h := harbourHall(t)
	m, faults := oscmap.Load("worn.map.yaml", src, &h.Roster)
	if faults.Wrong() {
		t.Fatal(faults)
	}
	h.Map = m
	return h
}

func (w *worn) play(t *testing.T, service string) (out []datagram) {
	t.Helper()
	d := &wornDialect{worn: w, Dialect: practicetest.Dialects()[1], shown: map[practice.Topic]float64{}}
	for at, packet := range practice.Play(w.script(t, service), d, practice.Playing{MeterEvery: w.meters}) {
		out = append(out, datagram{at, packet})
	}
	if w.carry == nil {
		return out
	}
	// What a desk is asked for when it is first heard is asked for until it has come.
	first := slices.IndexFunc(out, func(p datagram) bool { return p.at > 0 })
	return append(out[:first:first], w.carry(rand.New(rand.NewPCG(1, 2)), out[first:])...)
}

// script is the service with the desk's way of telling a moving fader.
func (w *worn) script(t *testing.T, service string) *practice.Script {
	t.Helper()
	file := filepath.Join("../testdata/services", service+".txt")
	src, err := os.ReadFile(file)
	if err != nil {
		file = filepath.Join("../testdata/yardstick", service+".txt")
		src, err = os.ReadFile(file)
	}
	if err != nil {
		t.Fatal(err)
	}
	if w.whole || w.step > 0 {
		src = parts.ReplaceAllFunc(src, func(b []byte) []byte {
			db, _ := strconv.ParseFloat(strings.TrimSuffix(string(b), " dB"), 64)
			return fmt.Appendf(nil, "%.0f dB", math.Round(db))
		})
	}
	if w.style != "" {
		src = append([]byte("style "+w.style+"\n"), src...)
	}
	s, err := practice.ParseScript(file, src)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

var (
	meterLines = regexp.MustCompile(`(?m)^  - hear: /(pool/|out/)?(glow|glow/raw|press)\n(    .*\n)*`)
	parts      = regexp.MustCompile(`\d+\.\d+ dB`)
	levelLines = regexp.MustCompile(`(?m)^  - hear: /pool/glow(/raw)?\n(    .*\n)*`)
)

// alone is what the numbered dialect has no words for.
const alone = `
  - hear: /alone
    is: input.solo
    which: {input: 0-15, arg: 0}
    value: {arg: 1}
  - hear: /straight
    is: input.main
    which: {input: 0-15, arg: 0}
    value: {arg: 1}
`

// mapFile is the numbered dialect's, of what there is.
func (w *worn) mapFile() []byte {
	src := append(practicetest.Dialects()[1].Map(), alone...)
	switch {
	case w.deaf:
		src = meterLines.ReplaceAll(src, nil)
	case w.peaks:
		src = levelLines.ReplaceAll(src, nil)
		src = bytes.ReplaceAll(bytes.ReplaceAll(src, []byte("input.level"), []byte("input.peak")), []byte("main.level"), []byte("main.peak"))
	}
	return src
}

// wornDialect speaks for the desk.
type wornDialect struct {
	*worn
	practicetest.Dialect
	ticks, told int
	shown       map[practice.Topic]float64 // where faders were last told to stand
	held        [][]float64                // the last meters
}

func (d *wornDialect) Tell(v practice.View, about []practice.Topic, say func([]byte)) {
	if every := int(d.recited / (time.Second / 60)); every > 0 && d.ticks > 0 && d.ticks%every == 0 {
		about = slices.Concat(about, practice.Settings(), practice.Topics(practice.InputSolo, practice.InputMain))
	}
	d.ticks++
	for _, topic := range about {
		switch topic.Kind {
		case practice.InputSolo:
			say(practice.Message("/alone", topic.Index, int(v.Number(topic))))
		case practice.InputMain:
			say(practice.Message("/straight", topic.Index, int(v.Number(topic))))
		}
		if d.step == 0 || !slices.Contains(practice.Topics(practice.InputFader, practice.DCAFader, practice.GroupFader, practice.MainFader), topic) {
			d.Dialect.Tell(v, []practice.Topic{topic}, say)
			continue
		}
		d.tellFader(v, topic, say)
	}
}

// tellFader tells of a fader when it has gone a step.
func (d *wornDialect) tellFader(v practice.View, topic practice.Topic, say func([]byte)) {
	at := max(math.Round(v.Number(topic)/d.step)*d.step, -120)
	if was, told := d.shown[topic]; told && was == at && d.recited == 0 {
		return
	}
	d.shown[topic] = at
	switch topic.Kind {
	case practice.InputFader:
		say(practice.Message("/lift", topic.Index, float32(at)))
	case practice.DCAFader:
		say(practice.Message("/crew/lift", topic.Index, float32(at)))
	case practice.GroupFader:
		say(practice.Message("/pool/lift", topic.Index, float32(at)))
	case practice.MainFader:
		say(practice.Message("/out/lift", float32(at)))
	}
}

// wornCrest is how far peaks lie above levels, in dB.
const wornCrest = 12

func (d *wornDialect) Meters(v practice.View, say func([]byte)) {
	if d.told++; d.deaf || d.skip > 0 && d.told%d.skip == 0 {
		return
	}
	if !d.peaks {
		d.Dialect.Meters(v, say)
		return
	}
	// A peak is held until it has been seen.
	d.held = append(d.held, v.Row(practice.InputLevel))
	d.held = d.held[max(len(d.held)-3, 0):]
	var args []any
	for i := range d.held[0] {
		top := math.Inf(-1)
		for _, row := range d.held {
			top = max(top, row[i])
		}
		args = append(args, float32(top+wornCrest))
	}
	say(practice.Message("/glow", args...))
	args = nil
	for _, r := range v.Row(practice.GroupReduction) {
		args = append(args, float32(-r))
	}
	say(practice.Message("/pool/press", args...))
	say(practice.Message("/out/glow", float32(v.Number(practice.Topic{Kind: practice.MainLevel})+wornCrest)))
}

// TestDeskWithoutMeters: faders alone are judged by and it is said that they are; rules
// that need meters say nothing, and a check says which those are.
func TestDeskWithoutMeters(t *testing.T) {
	practicetest.SkipRaced(t)
	t.Parallel()
	w := &worn{deaf: true}
	file := w.mapFile()
	_, faults := oscmap.Load("worn.map.yaml", file, nil, house.Needs()...)
	silent := map[string]bool{}
	for _, k := range rules.Kinds {
		metered := func(s desk.Signal) bool { return s.Quantity() == desk.Level || s.Quantity() == desk.Reduction }
		if silent[k.Name] = slices.ContainsFunc(k.Needs, metered); silent[k.Name] && !k.Seldom && !strings.Contains(faults.Error(), k.Name) {
			t.Errorf("a check does not say that %s will be silent:\n%v", k.Name, faults)
		}
	}
	for _, service := range wornServices() {
		e := newEngine(wornHouse(t, file))
		for _, p := range w.play(t, service) {
			e.packet(p.at, p.data)
			for _, f := range findings(e) {
				if silent[f.Rule] {
					t.Errorf("%s: %s speaks without meters: %s", service, f.Rule, what(f))
				}
			}
		}
		if p := e.judge.Picture(); p.Basis != desk.OnFaders {
			t.Errorf("%s: the basis is %q", service, p.Basis)
		}
	}
}
