package survey

import (
	"encoding/binary"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pawl/daemon/practice"
	"pawl/daemon/practice/practicetest"
	"pawl/oscmap"
	"pawl/rules/desk"
)

// packing is a way to put the meters of inputs and groups into one blob.
type packing struct {
	layout   oscmap.Layout
	per      float64 // steps in a dB, or if it is below 0 what stands for a factor of 1
	head     int     // bytes: two that stay, then four that count
	groups   bool    // before the inputs
	held     bool    // a reduction with each level
	together bool
	tail     int // numbers of no meaning behind them
}

func randomPacking(r *rand.Rand) packing {
	p := packing{head: []int{0, 2, 6}[r.IntN(3)], groups: r.IntN(2) == 0, together: r.IntN(2) == 0, tail: r.IntN(3)}
	p.layout = []oscmap.Layout{oscmap.Int8, oscmap.Int16BE, oscmap.Int16LE, oscmap.Uint16BE, oscmap.Uint16LE, oscmap.Int32LE, oscmap.Float32BE}[r.IntN(7)]
	switch {
	case p.layout == oscmap.Uint16BE || p.layout == oscmap.Uint16LE:
		p.per = -math.Ldexp(1, 15+r.IntN(2))
	case p.layout == oscmap.Int8 || p.layout.Float():
		p.per, p.held = 1, r.IntN(2) == 0
	default:
		p.per, p.held = []float64{10, 20, 100, 256}[r.IntN(4)], r.IntN(2) == 0
	}
	return p
}

// put appends one number.
func (p packing) put(b []byte, db float64) []byte {
	x := max(db, -120) * p.per
	if p.per < 0 {
		x = min(-p.per*math.Pow(10, db/20), math.MaxUint16)
	}
	switch n := int64(math.Round(x)); p.layout {
	case oscmap.Int8:
		return append(b, byte(int8(n)))
	case oscmap.Int16BE, oscmap.Uint16BE:
		return binary.BigEndian.AppendUint16(b, uint16(n))
	case oscmap.Int16LE, oscmap.Uint16LE:
		return binary.LittleEndian.AppendUint16(b, uint16(n))
	case oscmap.Int32LE:
		return binary.LittleEndian.AppendUint32(b, uint32(n))
	}
	return binary.BigEndian.AppendUint32(b, math.Float32bits(float32(x)))
}

// packed is a column of a blob: where the first strip's value is, in numbers, and the next one's.
type packed struct {
	of, is       string
	n            int
	kind         practice.Kind
	first, every int
}

// columns are how the blob is made up, and how many numbers there are in it.
func (p packing) columns() (all []packed, n int) {
	kinds := []packed{{"input", "level, tap: post-fader", 16, practice.InputLevel, 0, 0}, {"input", "reduction", 16, practice.InputReduction, 0, 0},
		{"group", "level", 4, practice.GroupLevel, 0, 0}, {"group", "reduction", 4, practice.GroupReduction, 0, 0}}
	if p.groups {
		kinds = append(kinds[2:], kinds[:2]...)
	}
	for i := 0; i < 4; i += 2 {
		for j, c := range kinds[i : i+2] {
			switch {
			case j == 1 && !p.held:
				continue
			case p.held && p.together:
				c.first, c.every = n+j, 2
			default:
				c.first, c.every = n+j*c.n, 1
			}
			all = append(all, c)
		}
		n += kinds[i].n * map[bool]int{false: 1, true: 2}[p.held]
	}
	return all, n
}

// truth is the entries of the blob.
func (p packing) truth() string {
	var b strings.Builder
	unit := fmt.Sprintf("unit: dB, scale: 1/%.0f", p.per)
	if p.per < 0 {
		unit = fmt.Sprintf("unit: amplitude, scale: 1/%.0f", -p.per)
	}
	all, _ := p.columns()
	for _, c := range all {
		size, floor, unit := p.layout.Size(), "", unit
		if p.per > 0 && strings.HasPrefix(c.is, "level") {
			unit = strings.Replace(unit, "dB", "dBFS", 1)
			floor = fmt.Sprintf(", minus-infinity: %q", fmt.Sprintf("<= %.0f", -120*p.per))
		}
		fmt.Fprintf(&b, "  - {hear: /pack, is: %s.%s, value: {blob: 0, of: %s, skip: %d, stride: %d, each: \"%s:1-%d\", %s%s}}\n",
			c.of, c.is, p.layout, p.head+c.first*size, c.every*size, c.of, c.n, unit, floor)
	}
	return b.String()
}

// blob is what is sent.
func (p packing) blob(v practice.View, beat uint32) []byte {
	all, n := p.columns()
	numbers := make([]float64, n)
	for _, c := range all {
		for i := range c.n {
			x := v.Number(practice.Topic{Kind: c.kind, Index: i})
			if c.kind == practice.InputLevel {
				x += v.Number(practice.Topic{Kind: practice.InputFader, Index: i})
				if v.Muted(practice.Topic{Kind: practice.InputMute, Index: i}) {
					x = math.Inf(-1)
				}
			}
			numbers[c.first+i*c.every] = x
		}
	}
	b := append([]byte{}, []byte{7, 9}[:min(p.head, 2)]...)
	if p.head > 2 {
		b = binary.BigEndian.AppendUint32(b, beat)
	}
	for _, x := range numbers {
		b = p.put(b, x)
	}
	for i := range p.tail {
		b = p.put(b, -40+float64((int(beat)*7+i)%5))
	}
	return b
}

// dialect is a desk that is plain but for its blob of meters.
func (p packing) dialect(name string) furtherDialect {
	beat := uint32(0)
	paths := map[practice.Kind]string{practice.InputFader: "/in/%d/rise", practice.InputMute: "/in/%d/shut", practice.GroupFader: "/fold/%d/rise",
		practice.GroupMute: "/fold/%d/shut", practice.MainFader: "/all/rise", practice.MainMute: "/all/shut"}
	return furtherDialect{name: name,
		tell: func(v practice.View, t practice.Topic, say func(string, ...any)) {
			path, ok := paths[t.Kind]
			if strings.Contains(path, "%") {
				path = fmt.Sprintf(path, t.Index+1)
			}
			switch {
			case !ok:
			case strings.HasSuffix(path, "shut"):
				say(path, v.Muted(t))
			default:
				say(path, float32(max(v.Number(t), -120)))
			}
		},
		meters: func(v practice.View, say func(string, ...any)) {
			beat++
			say("/pack", p.blob(v, beat))
			switch level := v.Number(practice.Topic{Kind: practice.MainLevel}); {
			case p.per < 0:
				say("/all/needle", float32(math.Pow(10, level/20)))
			default:
				say("/all/needle", int32(math.Round(max(level, -120)*p.per)))
			}
		},
		truth: "signals:\n" + p.truth() + `  - {hear: "/in/{input:1-16}/rise", is: input.fader, value: {unit: dB, minus-infinity: -120}}
  - {hear: "/in/{input}/shut", is: input.mute}
  - {hear: "/fold/{group:1-4}/rise", is: group.fader, value: {unit: dB, minus-infinity: -120}}
  - {hear: "/fold/{group}/shut", is: group.mute}
  - {hear: /all/rise, is: main.fader, value: {unit: dB, minus-infinity: -120}}
  - {hear: /all/shut, is: main.mute}
  - {hear: /all/needle, is: main.level, value: {` + map[bool]string{true: "unit: amplitude", false: fmt.Sprintf("unit: dBFS, scale: 1/%.0f, minus-infinity: %q", max(p.per, 1), fmt.Sprintf("<= %.0f", -120*p.per))}[p.per < 0] + "}}\n",
	}
}

// TestMakeups: blobs with the meters of inputs and of groups, in numbers of any size, are taken
// apart, and what is written without a # is right. That the levels are found in half of them
// at least is wanted too, or doubt would be a way out.
func TestMakeups(t *testing.T) {
	practicetest.SkipRaced(t)
	found := make(chan int, 100)
	t.Run("each", func(t *testing.T) {
		for seed := range uint64(24) {
			p := randomPacking(rand.New(rand.NewPCG(seed, 11)))
			t.Run(fmt.Sprint(seed), func(t *testing.T) {
				t.Parallel()
				d := p.dialect(fmt.Sprint("packing ", seed))
				s, g, _, _ := through(t, d, false)
				draft := s.Draft(g, DraftOptions{Desk: d.name})
				want, got := load(t, d.Map()), loadPart(t, draft)
				_, _, wrong := compareWithin(t, d, want, got, g, 0.5)
				if len(wrong) > 0 {
					t.Errorf("%+v: %s\n%s", p, strings.Join(wrong, "\n"), draft)
				}
				n := 0
				for _, level := range []desk.Signal{desk.InputLevel, desk.GroupLevel} {
					if got.HearsSignal(level) {
						n++
					}
				}
				t.Logf("%+v: %d", p, n)
				found <- n
			})
		}
	})
	close(found)
	all := 0
	for n := range found {
		all += n
	}
	t.Logf("%d levels of 48 told for certain", all)
	if all < 24 {
		t.Errorf("%d levels of 48 are told for certain, want half of them at least", all)
	}
}
