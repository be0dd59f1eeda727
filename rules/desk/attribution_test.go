package desk

import (
	"encoding/json"
	"math"
	"os"
	"slices"
	"strconv"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// checkedSplit is one case of testdata/checks/attribution.json: the exact
// four-way Shapley split, computed independently in Python to six decimals.
type checkedSplit struct {
	Name          string
	Of            []int // the group of each input
	Before, After checkedMix
	TotalBefore   DBFS `json:"total_before"`
	TotalAfter    DBFS `json:"total_after"`
	Faders        DB
	Stage         DB
	Groups        DB
	Main          DB
}

// checkedMix holds pre-fader levels, input faders, and per group its reduction
// and fader.
type checkedMix struct {
	P, G, GR, GF []jsonDB
	Main         jsonDB
}

// jsonDB is a number, or "-inf" for closed.
type jsonDB float64

func (d *jsonDB) UnmarshalJSON(b []byte) error {
	if string(b) == `"-inf"` {
		*d = jsonDB(math.Inf(-1))
		return nil
	}
	return json.Unmarshal(b, (*float64)(d))
}

func TestSplitAgainstIndependentCalculation(t *testing.T) {
	file, err := os.ReadFile("../../testdata/checks/attribution.json")
	if err != nil {
		t.Fatal(err)
	}
	var checks struct{ Cases []checkedSplit }
	if err := json.Unmarshal(file, &checks); err != nil || len(checks.Cases) == 0 {
		t.Fatalf("%d cases: %v", len(checks.Cases), err)
	}
	for _, c := range checks.Cases {
		t.Run(c.Name, func(t *testing.T) {
			m := NewMix(c.roster(), DefaultMixLimits(), DefaultMoveLimits())
			before, after := c.Before.hear(m), c.After.hear(m)
			for _, b := range []*Balance{&before, &after} {
				for k := range b.buses.answers {
					b.buses.answers[k].curve = curve{} // the file's groups hold their reduction
				}
			}
			got := Attribute(&before, &after)
			for _, v := range []struct {
				of        string
				got, want float64
			}{
				{"total before", float64(before.Total()), float64(c.TotalBefore)},
				{"total after", float64(after.Total()), float64(c.TotalAfter)},
				{"faders", float64(got.Faders), float64(c.Faders)},
				{"stage", float64(got.Stage), float64(c.Stage)},
				{"groups", float64(got.Groups), float64(c.Groups)},
				{"main", float64(got.Main), float64(c.Main)},
				{"sum", float64(got.Total()), float64(c.TotalAfter - c.TotalBefore)},
			} {
				// The values have six decimals, and a difference of two of them is off by up to 1e-6.
				if math.Abs(v.got-v.want) > 1e-6+1e-9 {
					t.Errorf("%s = %.7f, want %.7f", v.of, v.got, v.want)
				}
			}
		})
	}
}

func (c checkedSplit) roster() Roster {
	r := Roster{Groups: make([]string, len(c.Before.GR))}
	for _, group := range c.Of {
		r.Inputs = append(r.Inputs, Input{Name: "x", Groups: []int{group}})
	}
	return r
}

// hear tells a mix of this one as a desk would, and gives how it then stands.
func (c checkedMix) hear(m *Mix) Balance {
	tell := func(s Signal, values ...jsonDB) {
		for i, v := range values {
			m.Hear(0, &Reading{Signal: s, Index: i, Value: float64(v)})
		}
	}
	tell(InputFader, c.G...)
	tell(InputLevel, c.P...)
	tell(GroupReduction, c.GR...)
	tell(GroupFader, c.GF...)
	tell(MainFader, c.Main)
	for range meterSlots {
		m.Fold()
	}
	var b Balance
	m.balance(&b, 10*time.Second)
	return b
}

// anyRoutes and anyBalance draw a desk and a state of it.
func anyRoutes(t *rapid.T) (routes []route, groups int) {
	groups = rapid.IntRange(0, 3).Draw(t, "groups")
	for range rapid.IntRange(1, 6).Draw(t, "inputs") {
		r := route{main: rapid.Bool().Draw(t, "main")}
		for k := range groups {
			if rapid.Bool().Draw(t, "member") {
				r.groups = r.groups.with(k)
			}
		}
		routes = append(routes, r)
	}
	return routes, groups
}

func anyRatio(t *rapid.T, label string) Ratio {
	if rapid.IntRange(0, 9).Draw(t, label+" closed") == 0 {
		return 0
	}
	return DB(rapid.Float64Range(-60, 12).Draw(t, label)).Ratio()
}

func anyBalance(t *rapid.T, routes []route, groups int) *Balance {
	b := &Balance{routes: routes, main: anyRatio(t, "main")}
	for range routes {
		b.stage = append(b.stage, Power(anyRatio(t, "stage")))
		b.gain = append(b.gain, anyRatio(t, "gain"))
	}
	for range groups {
		b.buses.makeUp = append(b.buses.makeUp, 1)
		b.buses.fader = append(b.buses.fader, anyRatio(t, "group"))
		b.buses.answers = append(b.buses.answers, anyAnswer(t))
	}
	b.fed, b.group = make([]Power, groups), make([]Ratio, groups)
	b.answer(b.stage, b.gain, &b.buses)
	return b
}

// anyAnswer is a compressor that holds its reduction, or one that answers.
func anyAnswer(t *rapid.T) answer {
	f := feed{learned: &learnedCurve{}}
	fed := DBFS(rapid.Float64Range(-50, -5).Draw(t, "fed"))
	f.add(fed.Power(), fed, DB(rapid.Float64Range(0, 12).Draw(t, "reduction")), &curve{})
	var c curve
	if rapid.Bool().Draw(t, "answers") {
		c = curve{known: true, static: true, settings: Curve{
			DBFS(rapid.Float64Range(-40, -10).Draw(t, "threshold")), rapid.Float64Range(1, 10).Draw(t, "ratio"), DB(rapid.Float64Range(0, 10).Draw(t, "knee")),
		}}
	}
	return f.answer(1, c)
}

// orders lists every order of the numbers below n.
func orders(n int) [][]int {
	if n == 0 {
		return [][]int{nil}
	}
	var out [][]int
	for _, o := range orders(n - 1) {
		for at := range n {
			out = append(out, slices.Insert(slices.Clone(o), at, n-1))
		}
	}
	return out
}

// splitByOrders is the definition of the Shapley value taken at its word: let the
// causes happen one after another, in each of the 24 orders, and average what
// each one added when its turn came. It shares no code with Attribute but the units.
func splitByOrders(routes []route, before, after *Balance) [4]float64 {
	total := func(b Balance) float64 {
		sum := 0.0
		for i, r := range routes {
			way := 0.0
			if r.main {
				way = 1
			}
			for k := range b.buses.fader {
				if r.groups.has(k) {
					fed := 0.0
					for j, other := range routes {
						if other.groups.has(k) {
							fed += float64(b.stage[j]) * float64(b.gain[j])
						}
					}
					way += float64(b.buses.fader[k] * b.buses.answers[k].to(Power(fed)))
				}
			}
			sum += float64(b.stage[i]) * float64(b.gain[i]) * way * float64(b.main)
		}
		return 10 * math.Log10(math.Max(sum, 1e-12))
	}
	var part [4]float64
	for _, order := range orders(4) {
		b := *before
		for _, cause := range order {
			was := total(b)
			switch cause {
			case 0:
				b.gain = after.gain
			case 1:
				b.stage = after.stage
			case 2:
				b.buses = after.buses
			case 3:
				b.main = after.main
			}
			part[cause] += (total(b) - was) / 24
		}
	}
	return part
}

func near(a, b DB) bool { return math.Abs(float64(a-b)) < 1e-9 }

func TestSplitProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		routes, groups := anyRoutes(t)
		before, after := anyBalance(t, routes, groups), anyBalance(t, routes, groups)
		got := Attribute(before, after)

		want := splitByOrders(routes, before, after)
		for i, part := range []DB{got.Faders, got.Stage, got.Groups, got.Main} {
			if !near(part, DB(want[i])) {
				t.Errorf("part %d = %v, want %v by taking all orders", i, float64(part), want[i])
			}
		}
		if change := DB(after.power().Level() - before.power().Level()); !near(got.Total(), change) {
			t.Errorf("parts add up to %v, want %v", float64(got.Total()), float64(change))
		}
		back := Attribute(after, before)
		if !near(back.Faders, -got.Faders) || !near(back.Stage, -got.Stage) || !near(back.Groups, -got.Groups) || !near(back.Main, -got.Main) {
			t.Errorf("the way back is %+v, want the opposite of %+v", back, got)
		}
	})
}

func TestWhatDidNotChangeHasNoPart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		routes, groups := anyRoutes(t)
		before, after := anyBalance(t, routes, groups), anyBalance(t, routes, groups)
		same := *after
		same.gain = before.gain
		if got := Attribute(before, &same); got.Faders != 0 {
			t.Errorf("faders = %v though none moved", float64(got.Faders))
		}
		same = *after
		same.stage = before.stage
		if got := Attribute(before, &same); got.Stage != 0 {
			t.Errorf("stage = %v though it did not change", float64(got.Stage))
		}
		same = *after
		same.buses, same.main = before.buses, before.main
		if got := Attribute(before, &same); got.Groups != 0 || got.Main != 0 {
			t.Errorf("groups %v, main %v though neither changed", float64(got.Groups), float64(got.Main))
		}
	})
}

// TestCausesAreTreatedAlike swaps what the faders did with what the stage did:
// their parts must change places.
func TestCausesAreTreatedAlike(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		routes, groups := anyRoutes(t)
		before, after := anyBalance(t, routes, groups), anyBalance(t, routes, groups)
		got := Attribute(before, after)
		swap := func(b *Balance) *Balance {
			s := *b
			s.stage, s.gain = nil, nil
			for i := range b.gain {
				s.stage, s.gain = append(s.stage, Power(b.gain[i])), append(s.gain, Ratio(b.stage[i]))
			}
			return &s
		}
		swapped := Attribute(swap(before), swap(after))
		if !near(swapped.Faders, got.Stage) || !near(swapped.Stage, got.Faders) {
			t.Errorf("swapped %+v, was %+v", swapped, got)
		}
	})
}

// TestAnswersAgainstIndependentCalculation holds the split with groups that answer to
// testdata/checks/attribution_answering.json: computed in Python over all 24 orders from
// the static curve of Giannoulis, Massberg and Reiss (JAES 60(6), 2012, eq. 4). The desk
// tells its compressors' settings and what they do.
func TestAnswersAgainstIndependentCalculation(t *testing.T) {
	file, err := os.ReadFile("../../testdata/checks/attribution_answering.json")
	if err != nil {
		t.Fatal(err)
	}
	var checks struct{ Cases []answeringCase }
	if err := json.Unmarshal(file, &checks); err != nil || len(checks.Cases) == 0 {
		t.Fatalf("%d cases: %v", len(checks.Cases), err)
	}
	for _, c := range checks.Cases {
		t.Run(c.Name, func(t *testing.T) {
			r := Roster{Groups: make([]string, len(c.Before.Groups))}
			for _, group := range c.Of {
				in := Input{Name: "x", Main: group < 0}
				if group >= 0 {
					in.Groups = []int{group}
				}
				r.Inputs = append(r.Inputs, in)
			}
			m := NewMix(r, DefaultMixLimits(), DefaultMoveLimits())
			before, after := c.Before.hear(m, c.ReductionBefore), c.After.hear(m, c.ReductionAfter)
			got := Attribute(&before, &after)
			for _, v := range []struct {
				of        string
				got, want float64
			}{
				{"total before", float64(before.Total()), c.TotalBefore}, {"total after", float64(after.Total()), c.TotalAfter},
				{"faders", float64(got.Faders), c.Faders}, {"stage", float64(got.Stage), c.Stage},
				{"groups", float64(got.Groups), c.Groups}, {"main", float64(got.Main), c.Main},
			} {
				if math.Abs(v.got-v.want) > 1e-4 { // the file has six decimals, the beats are powers of them
					t.Errorf("%s = %.6f, want %.6f", v.of, v.got, v.want)
				}
			}
			for input, want := range c.Raised {
				i, _ := strconv.Atoi(input)
				if want.Clearer == nil {
					continue // there is nothing to stand out of
				}
				was := Balance{}
				was.CopyFrom(&after)
				was.TakeFaders(&before)
				who := Mover{StripInput, i}
				if clearer := float64(after.StandsOut(who) - was.StandsOut(who)); math.Abs(clearer-*want.Clearer) > 1e-4 {
					t.Errorf("input %d is %.6f clearer, want %.6f", i, clearer, *want.Clearer)
				}
			}
		})
	}
}

type answeringCase struct {
	Name            string
	Of              []int
	Before, After   answeringMix
	ReductionBefore []float64 `json:"reduction_before"`
	ReductionAfter  []float64 `json:"reduction_after"`
	TotalBefore     float64   `json:"total_before"`
	TotalAfter      float64   `json:"total_after"`
	Faders          float64
	Stage           float64
	Groups          float64
	Main            float64
	Raised          map[string]struct{ Clearer *float64 }
}

type answeringMix struct {
	P, G   []float64
	Groups []struct{ Threshold, Ratio, Knee, MakeUp, Fader float64 }
	Main   float64
}

func (c answeringMix) hear(m *Mix, reduction []float64) Balance {
	for i := range c.P {
		m.hear(Reading{Signal: InputLevel, Index: i, Value: c.P[i]})
		m.hear(Reading{Signal: InputFader, Index: i, Value: c.G[i]})
	}
	for k, g := range c.Groups {
		for s, v := range map[Signal]float64{GroupThreshold: g.Threshold, GroupRatio: g.Ratio, GroupKnee: g.Knee, GroupMakeUp: g.MakeUp,
			GroupFader: g.Fader, GroupReduction: reduction[k]} {
			m.hear(Reading{Signal: s, Index: k, Value: v})
		}
	}
	m.hear(Reading{Signal: MainFader, Value: c.Main})
	stand(m)
	var b Balance
	m.balance(&b, 10*time.Second)
	return b
}

// TestWhereInputsGoIsTheHands: to assign an input is to let it in. The parts add up to the
// change while the mark is still of the old ways, whatever becomes of the routes later.
func TestWhereInputsGoIsTheHands(t *testing.T) {
	m := mixOf(band(2, []string{"band"}, []string{"band"}), set(InputFader, 0, 0), set(InputFader, 1, 0), set(InputLevel, 0, -20), set(InputLevel, 1, -20),
		set(DCAFader, 0, -6), set(GroupFader, 0, -3))
	m.Fold()
	member := func(signal Signal, on float64) Reading { return Reading{Signal: signal, Index: 1, Value: on} }
	for _, c := range []struct {
		name string
		news Reading
	}{
		{"out of the main", member(InputMain, 0)},
		{"into a group", member(InputGroup, 1)},
		{"into a DCA", member(InputDCA, 1)},
		{"out of the group", member(InputGroup, 0)},
		{"back to the main", member(InputMain, 1)},
		{"out of the DCA", member(InputDCA, 0)},
	} {
		var before, after Balance
		m.balance(&before, LongestBeats)
		was := before.Total()
		m.hear(c.news)
		m.balance(&after, LongestBeats)
		got := Attribute(&before, &after)
		rise := after.Total().Above(was)
		if rise == 0 && c.name != "out of the DCA" || before.Total() != was || (got.Faders-rise).Abs() > 1e-9 || (got.Total()-rise).Abs() > 1e-9 {
			t.Errorf("%s: %+.3f dB louder, the hand's %+.3f of %+.3f; the mark went from %v to %v", c.name, rise, got.Faders, got.Total(), was, before.Total())
		}
	}
}
