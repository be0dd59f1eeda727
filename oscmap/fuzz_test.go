package oscmap

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pawl/oscmap/wire"
	"pawl/rules/desk"
)

// FuzzHear makes a map and packets from a seed and bytes: whatever the map and
// whatever the packet, nothing panics and every reading is one of its signal.
func FuzzHear(f *testing.F) {
	for seed := range uint64(32) {
		f.Add(seed, []byte("/in/1\x00\x00\x00,f\x00\x00\x3f\x00\x00\x00"))
	}
	f.Fuzz(func(t *testing.T, seed uint64, packet []byte) {
		g := generator{rand.New(rand.NewPCG(seed, 1))}
		src := g.writeMap()
		m, faults := Load("random.yaml", []byte(src), g.roster())
		if m == nil {
			if !faults.Wrong() {
				t.Fatalf("no map and no fault:\n%s", src)
			}
			return
		}
		h := m.NewHearer()
		var r wire.Reader
		for i := range 20 {
			data := packet
			if i > 0 {
				data = g.packet(m)
			}
			for r.Reset(data); r.Next(); {
				for _, reading := range h.Hear(nil, 0, r.Message()) {
					holds(t, m, reading, src)
				}
			}
		}
	})
}

func holds(t *testing.T, m *Map, r desk.Reading, src string) {
	t.Helper()
	if r.Signal.Quantity() != desk.Words && !r.Signal.Holds(r.Value) {
		t.Fatalf("%v is no value of %s\n%s", r.Value, r.Signal, src)
	}
	most := stripsHeard(m)
	for i, strip := range slotsOf(r.Signal) {
		if at := [2]int{r.Index, r.To}[i]; at < 0 || at >= most[strip] {
			t.Fatalf("%s %d of %d in %+v\n%s", strip, at, most[strip], r, src)
		}
	}
}

// stripsHeard is how many of each strip a map hears: the highest index, plus one.
func stripsHeard(m *Map) map[desk.Strip]int {
	n := map[desk.Strip]int{}
	for _, l := range m.lines {
		for _, t := range l.told {
			n[t.strip] = max(n[t.strip], t.span.first+t.span.n)
			if t.span.byName {
				n[t.strip] = max(n[t.strip], len(m.names.spelled[t.strip]))
			}
		}
	}
	return n
}

// TestRandomMaps is the fuzz test without a fuzzer, over maps enough to meet
// every form.
func TestRandomMaps(t *testing.T) {
	loaded, readings := 0, 0
	forms := map[string]bool{}
	for seed := range uint64(4000) {
		g := generator{rand.New(rand.NewPCG(seed, 2))}
		src := g.writeMap()
		m, _ := Load("random.yaml", []byte(src), g.roster())
		if m == nil {
			continue
		}
		loaded++
		h := m.NewHearer()
		var r wire.Reader
		for range 30 {
			for r.Reset(g.packet(m)); r.Next(); {
				for _, reading := range h.Hear(nil, 0, r.Message()) {
					readings++
					forms[fmt.Sprint(m.lines[0].source, reading.Signal.Quantity(), m.lines[0].choice != nil)] = true
					holds(t, m, reading, src)
				}
			}
		}
	}
	if loaded < 1000 || readings < 5000 || len(forms) < 15 {
		t.Errorf("%d maps, %d readings, %d forms: the generator has gone dull", loaded, readings, len(forms))
	}
}

// generator writes maps that are right more often than not, and packets that
// such maps hear.
type generator struct{ *rand.Rand }

func (g generator) pick(words ...string) string { return words[g.IntN(len(words))] }

func (g generator) roster() *desk.Roster {
	if g.IntN(3) > 0 {
		return nil
	}
	r := &desk.Roster{DCAs: []string{"band", "voices"}, Groups: []string{"low", "brass"}}
	for i := range 4 {
		r.Inputs = append(r.Inputs, desk.Input{Name: fmt.Sprint("in", i)})
	}
	return r
}

func (g generator) writeMap() string {
	var b strings.Builder
	b.WriteString("desk: random\n")
	if g.IntN(2) == 0 {
		fmt.Fprintf(&b, "strips: {input: %s, dca: %s, group: %s}\n", g.span(), g.span(), g.span())
	}
	b.WriteString("tapers:\n  t: [[0, -inf], [0.1, -inf], [0.25, -40], {at: 0.7, dB: -2, power: 3}, [1, 7]]\n  u: [[-5, -70], [700, 14]]\nsignals:\n")
	for range 1 + g.IntN(3) {
		g.writeLine(&b)
	}
	return b.String()
}

func (g generator) span() string {
	return g.pick("1-4", "0-3", "01-04", "A-D", "x,y,z,w", "3-4", "101-104=1", "2-3=3", "1", "1-4", "1-4")
}

func (g generator) writeLine(b *strings.Builder) {
	signals := desk.Signals()
	s := signals[g.IntN(len(signals))]
	address, which, each, bits, oneOf := "/"+g.pick("a", "b"), "", "", "", ""
	for _, strip := range slotsOf(s) {
		switch g.IntN(8) {
		case 0, 1:
			address += fmt.Sprintf("/{%s:%s}", strip, g.span())
		case 2:
			address += fmt.Sprintf("/{%s}", strip)
		case 3:
			address += fmt.Sprintf("/{%s-name}", strip)
		case 4:
			which += fmt.Sprintf("{%s: %s, arg: %d}, ", strip, g.pick(g.span(), "all", "by-name"), g.IntN(2))
		case 5:
			each += strip.String() + g.pick("", ":"+g.span()) + ", "
		case 6:
			bits = strip.String()
		case 7:
			oneOf = strip.String() + g.pick("", ":"+g.span())
		}
	}
	address += g.pick("", "/{any}", "/{value}", "/v", "/v")
	is := s.String()
	if oneOf != "" && s == desk.InputGroup && g.IntN(2) == 0 {
		is, oneOf = "[input.group, input.main]", oneOf+", main: [9, M]"
	}
	fmt.Fprintf(b, "  - hear: %s\n    is: %s\n", address, is)
	if which != "" {
		fmt.Fprintf(b, "    which: [%s]\n", strings.TrimSuffix(which, ", "))
	}
	if oneOf != "" && g.IntN(3) > 0 {
		oneOf += ", none: [-1, N]"
	}
	if value := g.value(s, each, bits, oneOf); value != "" {
		fmt.Fprintf(b, "    value: {%s}\n", value)
	}
}

func (g generator) value(s desk.Signal, each, bits, oneOf string) string {
	var parts []string
	add := func(format string, args ...any) { parts = append(parts, fmt.Sprintf(format, args...)) }
	switch {
	case each == "" && g.IntN(4) > 0:
		if g.IntN(3) == 0 {
			add("arg: %d", g.IntN(3))
		}
	case g.IntN(3) == 0:
		add("args: %d, stride: %d", g.IntN(3), 1+g.IntN(2))
	case s.Quantity() != desk.Words:
		add("blob: %d, of: %s, skip: %d, stride: %d", g.IntN(2), Layout(0).Words()[1+g.IntN(14)], g.IntN(9), 1+g.IntN(12))
		if g.IntN(3) == 0 {
			add("count: {at: %d, of: %s}", g.IntN(4), g.pick("int8", "int16-be", "float32-le", "float64-be"))
		}
	}
	if each != "" {
		add("each: [%s]", strings.TrimSuffix(each, ", "))
	}
	if bits != "" {
		add("bits: %s", bits)
	}
	if oneOf != "" {
		add("one-of: %s", oneOf)
		return strings.Join(parts, ", ")
	}
	switch s.Quantity() {
	case desk.Gain, desk.Level, desk.Reduction:
		if g.IntN(3) == 0 {
			add("taper: %s%s", g.pick("t", "u"), g.pick("", "", ", outside: clamp", ", outside: refuse"))
		} else {
			units := unitsOf(s)
			add("unit: %s", units[g.IntN(len(units))])
		}
		if g.IntN(3) == 0 {
			add("scale: %v, offset: %v", g.pick("-1", "1/7", "1e9", "1e-9"), g.pick("-72", "1e300", "0"))
		}
		if s.Quantity() != desk.Reduction && g.IntN(4) == 0 {
			add("minus-infinity: %s", g.pick("-120", `"<= -3"`, `"> 5"`))
		}
		if s.Quantity() == desk.Reduction && g.IntN(2) == 0 {
			add("sign: %s", g.pick("positive", "negative"))
		}
	case desk.Duration:
		add("unit: %s", g.pick("ms", "s"))
	case desk.Switch:
		if g.IntN(3) == 0 {
			add("invert: true")
		}
		if g.IntN(4) == 0 {
			add("bit: %d", g.IntN(64))
		}
	}
	return strings.Join(parts, ", ")
}

// packet is a message, more often than not to an address of the map.
func (g generator) packet(m *Map) []byte {
	address, args := g.message(m)
	packet, err := wire.AppendMessage(nil, address, args...)
	if err != nil {
		panic(err)
	}
	return packet
}

func (g generator) message(m *Map) (string, []any) {
	address := "/" + g.pick("a", "b", "*", "{a,b}")
	for range g.IntN(4) {
		address += "/" + g.pick("1", "2", "0", "03", "A", "x", "102", "in2", "brass", "v", "*", "?", "[1-3]", "7.5", "-oo")
	}
	if g.IntN(4) > 0 {
		var all []string
		m.lines[g.IntN(len(m.lines))].path.expand(func(steps []step, _ map[desk.Strip]int) { all = append(all, spelled(steps)) })
		address = all[g.IntN(len(all))]
		for _, open := range []string{"{any}", "{value}", "{input-name}", "{dca-name}", "{group-name}"} {
			address = strings.ReplaceAll(address, open, g.pick("7.5", "-oo", "in2", "brass", "voices", "on"))
		}
	}
	args := make([]any, g.IntN(6))
	for i := range args {
		args[i] = g.argument()
	}
	return address, args
}

func (g generator) argument() any {
	switch g.IntN(10) {
	case 0, 1:
		return g.number()
	case 2:
		return float32(g.number())
	case 3:
		return int32(g.IntN(6))
	case 4:
		return int64(g.Uint64())
	case 5:
		return g.IntN(2) == 0
	case 6:
		return nil
	case 7, 8:
		blob := make([]byte, g.IntN(80))
		for i := range blob {
			blob[i] = byte(g.Uint32() >> g.IntN(30))
		}
		return blob
	}
	return g.pick("-12.5 dB", "ON", "off", "-oo", "3:1", "0.02 s", "2", "A", "in2", "1e400", "99999999999999999999999999", "-", "", "\xff\xfe", ",5")
}

func (g generator) number() float64 {
	switch g.IntN(8) {
	case 0:
		return math.NaN()
	case 1:
		return math.Inf(1 - 2*g.IntN(2))
	case 2:
		return math.Float64frombits(g.Uint64())
	case 3:
		return 0
	case 4:
		return float64(g.IntN(5))
	}
	return g.NormFloat64() * 40
}
