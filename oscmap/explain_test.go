package oscmap

import (
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"
)

const explained = `
desk: d
tapers: {rise: [[0, -inf], [0.4, -30], [0.77, 0], [1, 8]]}
strips: {input: 1-3, dca: 1-4}
signals:
  - {hear: /berth, is: input.fader, which: {input: 1-3, arg: 0}, when: {arg: 1, is: rise}, value: {arg: 2, taper: rise}}
  - {hear: /berth, is: input.mute, which: {input: 1-3, arg: 0}, when: {arg: 1, is: rise}, value: {arg: 4}}
  - {hear: /row, is: input.name, value: {args: 1, each: input}}
  - {hear: /tide, is: input.reduction, value: {blob: 1, of: int16-be, skip: 8, stride: 4, each: input, unit: centi-dB}}
  - {hear: /tide, is: input.level, value: {blob: 1, of: int16-be, skip: 6, stride: 4, each: input, unit: centi-dB}}
  - {hear: /counted, is: group.level, value: {blob: 0, of: int8, each: "group:1-4", unit: dBFS, count: {arg: 1}}}
  - {hear: "/page/{value}", is: scene.number}
  - {hear: /tick, is: desk.alive}
  - {hear: "/hand/{dca}", is: input.dca, value: {bits: input}}
`

func TestExplain(t *testing.T) {
	e := mustLoad(t, explained).NewExplainer()
	for _, tt := range []struct {
		said    string
		signals string
		values  []string // signal strip = value
		unheard []int
		left    int // bytes, of all blobs
		refused int
	}{
		{said: `/berth i:2 s:"rise" f:0.77 f:3 T`, signals: "[input.fader input.mute]", values: []string{"input.fader 2 = 0", "input.mute 2 = 1"}, unheard: []int{3}},
		{said: `/berth i:2 s:"rise" f:0.77`, signals: "[input.fader input.mute]", values: []string{"input.fader 2 = 0"}},
		{said: `/berth i:2 s:"rise" f:3`, signals: "[input.fader input.mute]", refused: 1},
		{said: `/berth i:2 s:"rise" f:1.01`, signals: "[input.fader input.mute]", values: []string{"input.fader 2 = 8"}},
		{said: `/berth i:2 s:"hue" f:0.77`, signals: "[]", unheard: []int{2}},
		{said: `/berth i:9 s:"rise" f:0.77`, signals: "[]", unheard: []int{2}},
		{said: `/row s:"all" s:"harp" s:"horn" s:"choir" s:"more"`, signals: "[input.name]",
			values: []string{`input.name 1 = "harp"`, `input.name 2 = "horn"`, `input.name 3 = "choir"`}, unheard: []int{0, 4}},
		{said: `/row s:"all" s:"harp" i:7`, signals: "[input.name]", values: []string{`input.name 1 = "harp"`}, refused: 1, unheard: []int{0}},
		{said: "/tide i:0 b:int16-be:0,0,0,-100,-10,-200,-20,-300,-30", signals: "[input.reduction input.level]", unheard: []int{0},
			values: []string{"input.reduction 1 = 0.1", "input.reduction 2 = 0.2", "input.reduction 3 = 0.3",
				"input.level 1 = -1", "input.level 2 = -2", "input.level 3 = -3"}},
		{said: "/tide T b:int16-be:0,0,0,-100,-10,-200,-20,-300,-30,-400,-40", signals: "[input.reduction input.level]", unheard: []int{0}, left: 4,
			values: []string{"input.reduction 1 = 0.1", "input.reduction 2 = 0.2", "input.reduction 3 = 0.3",
				"input.level 1 = -1", "input.level 2 = -2", "input.level 3 = -3"}},
		{said: "/tide T b:int16-be:0,0,0,-100", signals: "[input.reduction input.level]", unheard: []int{0}, refused: 2},
		{said: "/counted b:int8:-1,-2,0,0,0 i:2", signals: "[group.level]", values: []string{"group.level 1 = -1", "group.level 2 = -2"}},
		{said: "/counted b:int8:-1,-2 i:7", signals: "[group.level]", refused: 1},
		{said: "/page/12 i:3", signals: "[scene.number]", values: []string{"scene.number = 12"}, unheard: []int{0}},
		{said: "/tick", signals: "[desk.alive]", values: []string{"desk.alive = 1"}},
		{said: "/hand/2 i:5", signals: "[input.dca]",
			values: []string{"input.dca 1 to 2 = 1", "input.dca 2 to 2 = 0", "input.dca 3 to 2 = 1"}},
		{said: "/elsewhere f:1", signals: "[]", unheard: []int{0}},
	} {
		t.Run(tt.said, func(t *testing.T) {
			got := e.Explain(said(t, tt.said))
			var values []string
			for _, v := range got.Values {
				values = append(values, inWords(v))
			}
			left, refused := 0, 0
			for _, a := range got.Args {
				left, refused = left+a.Left, refused+a.Refused
			}
			if fmt.Sprint(got.Signals) != tt.signals || !slices.Equal(values, tt.values) {
				t.Errorf("got  %v %q\nwant %s %q", got.Signals, values, tt.signals, tt.values)
			}
			if !slices.Equal(unheard(got), tt.unheard) || left != tt.left || refused != tt.refused {
				t.Errorf("unheard %v, %d bytes left, %d refused; want %+v", unheard(got), left, refused, tt)
			}
		})
	}
}

// unheard lists the arguments that no line looks at, counted from 0.
func unheard(e *Explanation) (args []int) {
	for i, a := range e.Args {
		if !a.Heard {
			args = append(args, i)
		}
	}
	return args
}

// TestUnheardChangesNothing holds the explanation to its word, over random maps and
// messages: an argument that is said to be unheard may be anything, and the
// readings are those of a Hearer.
func TestUnheardChangesNothing(t *testing.T) {
	changed := 0
	for seed := range uint64(3000) {
		g := generator{rand.New(rand.NewPCG(seed, 3))}
		src := g.writeMap()
		m, _ := Load("random.yaml", []byte(src), g.roster())
		if m == nil {
			continue
		}
		e, h := m.NewExplainer(), m.NewHearer()
		for range 20 {
			address, args := g.message(m)
			got := e.Explain(message(t, address, args...))
			want := h.Hear(nil, 0, message(t, address, args...))
			if len(got.Values) != len(want) {
				t.Fatalf("explained %d values of %d\n%s", len(got.Values), len(want), src)
			}
			for i, v := range got.Values {
				if v != want[i] || !slices.Contains(got.Signals, v.Signal) {
					t.Fatalf("%s %v: got %+v of %+v, want %+v\n%s", address, args, v, got, want[i], src)
				}
			}
			for _, i := range unheard(got) {
				args[i] = g.argument()
				changed++
			}
			if again := h.Hear(nil, 0, message(t, address, args...)); !reflect.DeepEqual(again, want) {
				t.Fatalf("%s %v: got %v, want %v though only what is unheard was changed\n%s", address, args, again, want, src)
			}
		}
	}
	if changed < 5000 {
		t.Errorf("only %d arguments were changed", changed)
	}
}

func TestExplainingDoesNotAllocate(t *testing.T) {
	e := mustLoad(t, explained).NewExplainer()
	msg := said(t, "/tide T b:int16-be:0,0,0,-100,-10,-200,-20,-300,-30")
	if n := testing.AllocsPerRun(100, func() { e.Explain(msg) }); n != 0 {
		t.Errorf("got %v allocations, want 0", n)
	}
}
