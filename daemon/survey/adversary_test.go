package survey

import (
	"fmt"
	"math"
	"math/rand/v2"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"pawl/daemon/practice/practicetest"
	"pawl/oscmap/wire"
)

// adversary is a made-up desk that is hard to draft: its meters fall slowly or hold, have
// floors far down, are taken at several places, and its groups are called as its DCAs are.
type adversary struct {
	*rand.Rand
	t       *testing.T
	s       *Survey
	at      time.Duration
	step    time.Duration
	inputs  int
	busses  int // DCAs, and groups
	kinds   []adverseMeter
	fader   map[string]float64 // dB, by the strip's path
	shut    map[string]bool
	sing    []float64 // of each input, dB
	falling map[string]*ballistic
	linear  bool // meters in factors of amplitude
	bundle  *bundle
	pauses  bool // input 1's player pauses just while the fader is closed
}

// adverseMeter is one kind of meter.
type adverseMeter struct {
	of    string // input, group or main
	word  string // in its address
	post  bool
	peak  bool
	fall  float64 // dB a second
	hold  time.Duration
	floor float64
	in    int // 0 one address each, 1 a row, 2 a blob
}

// ballistic is where a meter stands.
type ballistic struct {
	v     float64
	since time.Duration // when it last rose
}

func (b *ballistic) goes(to float64, at, step time.Duration, k adverseMeter) float64 {
	if to >= b.v {
		b.v, b.since = to, at
	} else if at-b.since >= k.hold {
		b.v = max(to, b.v-k.fall*step.Seconds())
	}
	b.v = max(b.v, k.floor)
	return b.v
}

func newAdversary(t *testing.T, seed uint64) *adversary {
	a := &adversary{Rand: rand.New(rand.NewPCG(seed, 7)), t: t, s: New(Options{}), inputs: 6 + int(seed%5), busses: 3,
		fader: map[string]float64{}, shut: map[string]bool{}, falling: map[string]*ballistic{}}
	a.step = []time.Duration{20, 50, 100, 200}[a.IntN(4)] * time.Millisecond
	a.linear = a.IntN(5) == 0
	a.pauses = a.IntN(4) == 0
	for i := range a.inputs {
		a.fader[fmt.Sprintf("/in/%d", i+1)] = -6
		a.sing = append(a.sing, -20)
	}
	for i := range a.busses { // as alike as can be
		a.fader[fmt.Sprintf("/bus/%d", i+1)], a.fader[fmt.Sprintf("/sub/%d", i+1)] = 0, 0
	}
	a.fader["/all"] = 0
	falls := []float64{4, 8, 12, 20, 60, 1e6}
	holds := []time.Duration{0, 0, 0, time.Second, 3 * time.Second}
	floors := []float64{-90, -100, -120, -140}
	for _, of := range []string{"input", "group", "main"} {
		for _, k := range a.Perm(4) {
			m := adverseMeter{of: of, post: k&1 > 0, peak: k&2 > 0, word: string(rune('a'+len(a.kinds))) + strings.Repeat(string(rune('a'+a.IntN(26))), 1+a.IntN(9)), fall: falls[a.IntN(len(falls))],
				hold: holds[a.IntN(len(holds))], floor: floors[a.IntN(len(floors))], in: a.IntN(3)}
			if of == "main" {
				m.post, m.in = true, 0
			}
			if a.IntN(2) == 0 || of == "main" && k == 3 {
				a.kinds = append(a.kinds, m)
			}
		}
	}
	return a
}

func (a *adversary) strips(of string) []string {
	switch of {
	case "main":
		return []string{"/all"}
	case "group":
		return []string{"/sub/1", "/sub/2", "/sub/3"}
	}
	var all []string
	for i := range a.inputs {
		all = append(all, fmt.Sprintf("/in/%d", i+1))
	}
	return all
}

// level is what is heard at a strip, before its fader.
func (a *adversary) level(strip string) float64 {
	var n int
	if k, _ := fmt.Sscanf(strip, "/in/%d", &n); k == 1 {
		return a.sing[n-1]
	}
	sum := 0.0 // a group has some of the inputs, the main all
	for i := range a.inputs {
		in := fmt.Sprintf("/in/%d", i+1)
		if strip == "/all" || strings.HasSuffix(strip, fmt.Sprint(i%a.busses+1)) {
			sum += math.Pow(10, (a.sing[i]+a.gain(in))/10)
		}
	}
	return 10 * math.Log10(sum)
}

func (a *adversary) gain(strip string) float64 {
	if a.shut[strip] {
		return math.Inf(-1)
	}
	return a.fader[strip]
}

// pass lets time go by, with everybody playing.
func (a *adversary) pass(d time.Duration) {
	for end := a.at + d; a.at < end; a.at += a.step {
		for i := range a.sing {
			a.sing[i] += (-20-float64(i)-a.sing[i])*0.05 + a.NormFloat64()*1.5*math.Sqrt(a.step.Seconds()*20)
		}
		hush := a.sing[0]
		if a.pauses && math.IsInf(a.fader["/in/1"], -1) {
			a.sing[0] = -95
		}
		for _, k := range a.kinds {
			a.meter(k)
		}
		if a.bundle != nil {
			a.bundled()
		}
		a.sing[0] = hush
	}
}

// value is what a meter of a strip shows now.
func (a *adversary) value(k adverseMeter, strip string) float32 {
	v := a.level(strip)
	if k.post {
		v += a.gain(strip)
	}
	if k.peak {
		v += 9 + a.Float64()*4
	}
	id := k.word + strip
	if a.falling[id] == nil {
		a.falling[id] = &ballistic{v: k.floor}
	}
	v = a.falling[id].goes(v, a.at, a.step, k)
	if a.linear {
		v = math.Pow(10, v/20)
	}
	return float32(v)
}

func (a *adversary) meter(k adverseMeter) {
	strips := a.strips(k.of)
	var values []any
	var blob []byte
	for _, strip := range strips {
		v := a.value(k, strip)
		values = append(values, v)
		blob = append(blob, byteOrder(v)...)
	}
	switch k.in {
	case 1:
		if len(values) >= 3 {
			a.say("/"+k.word, values...)
			return
		}
	case 2:
		a.say("/"+k.word, blob)
		return
	}
	for i, strip := range strips {
		a.say(strip+"/"+k.word, values[i])
	}
}

func byteOrder(v float32) []byte {
	b := math.Float32bits(v)
	return []byte{byte(b >> 24), byte(b >> 16), byte(b >> 8), byte(b)}
}

func (a *adversary) say(address string, args ...any) {
	packet, err := wire.AppendMessage(nil, address, args...)
	if err != nil {
		a.t.Fatal(err)
	}
	a.s.Hear(a.at, packet)
}

// move puts a fader somewhere, or a mute.
func (a *adversary) move(move string) {
	words := strings.Fields(move)
	if len(words) < 3 && len(words) != 2 {
		return
	}
	path := map[string]string{"cajon": "/in/1", "main": "/all", "group rhythm": "/sub/1", "dca low end": "/bus/1"}
	for who, strip := range path {
		switch {
		case strings.HasPrefix(move, "mute "+who), strings.HasPrefix(move, "unmute "+who):
			a.shut[strip] = words[0] == "mute"
			a.say(strip+"/quiet", map[bool]int{true: 1}[a.shut[strip]])
		case strings.HasPrefix(move, "fader "+who+" to "), strings.HasPrefix(move, who+" to "):
			_, to, _ := strings.Cut(move, " to ")
			db := math.Inf(-1)
			if !strings.HasPrefix(to, "closed") {
				fmt.Sscanf(to, "%g dB", &db)
			}
			a.fader[strip] = db
			a.say(strip+"/throw", float32(max(db, -144)))
		}
	}
}

// drafted goes through the questions and drafts.
func (a *adversary) drafted() string {
	strips := append(a.strips("input"), "/all")
	for i := range a.busses {
		strips = append(strips, fmt.Sprintf("/bus/%d", i+1), fmt.Sprintf("/sub/%d", i+1))
	}
	for _, strip := range strips {
		a.say(strip+"/throw", float32(a.fader[strip]))
		a.say(strip+"/quiet", 0)
		if strip != "/all" {
			a.say(strip+"/called", fmt.Sprintf("%s number %c", strings.Split(strip, "/")[1], 'a'+a.IntN(20)))
		}
	}
	a.pass(20 * time.Second)
	g := a.s.Guide()
	for _, l := range hand(printed) {
		a.pass(500 * time.Millisecond)
		a.move(l.move)
		a.pass(time.Duration(3000+a.IntN(3000)) * time.Millisecond)
		a.s.Elapse(a.at)
		g.Answer(l.typed)
	}
	if q := g.Question(); q != "" {
		a.t.Errorf("it still asks %q", q)
	}
	return a.s.Draft(g, DraftOptions{})
}

var draftEntry = regexp.MustCompile(`(?m)^  - hear: (\S+)\n    is: (\S+)\n(?:    (?:which|when).*\n)?(?:    tap: (\S+)\n)?`)

// TestNoFalseLine drafts desks that mislead: no line that is not a comment says what is not
// so. How many meters it tells for certain stands beside, so that doubt is no way out.
func TestNoFalseLine(t *testing.T) {
	practicetest.SkipRaced(t)
	var told, there int
	for seed := range uint64(120) {
		a := newAdversary(t, seed)
		draft := a.drafted()
		checked(t, draft)
		there += len(a.kinds)
		for _, e := range draftEntry.FindAllStringSubmatch(draft, -1) {
			hear, is, tap := e[1], e[2], e[3]
			strip, what, _ := strings.Cut(is, ".")
			i := slices.IndexFunc(a.kinds, func(k adverseMeter) bool { return strings.HasSuffix(hear, "/"+k.word) })
			if i < 0 {
				want := map[string]string{"input": "/in/", "dca": "/bus/", "group": "/sub/", "main": "/all/"}[strip]
				end := map[string]string{"fader": "/throw", "mute": "/quiet", "name": "/called"}[what]
				if !strings.HasPrefix(hear, want) || end == "" || !strings.HasSuffix(hear, end) {
					t.Errorf("seed %d: %s is no %s\n%s", seed, hear, is, draft)
				}
				continue
			}
			k := a.kinds[i]
			told++
			right := k.of == strip
			switch is {
			case "input.level", "input.peak":
				right = right && tap == map[bool]string{true: "post-fader", false: "pre-fader"}[k.post]
			case "group.level", "main.level":
				right = right && k.post
			case "group.level-in":
				right = right && !k.post
			default:
				right = false
			}
			// Where both are there, what is called the level is not the peaks.
			both := slices.ContainsFunc(a.kinds, func(o adverseMeter) bool { return o.of == k.of && o.post == k.post && o.peak != k.peak })
			if !right || both && k.peak == !strings.HasSuffix(is, "peak") {
				t.Errorf("seed %d, every %v: %+v is taken for %s %s\n%s", seed, a.step, k, is, tap, draft)
			}
		}
	}
	t.Logf("%d of %d meters told for certain", told, there)
	if told*4 < there {
		t.Errorf("%d of %d meters are told for certain, want a quarter of them at least", told, there)
	}
}
