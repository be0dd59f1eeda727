package store

import (
	"math"
	"path/filepath"
	"reflect"
	"slices"
	"testing"
	"time"

	"pawl/daemon/house"
	"pawl/daemon/practice"
	"pawl/daemon/practice/practicetest"
	"pawl/oscmap/wire"
	"pawl/rules"
	"pawl/rules/desk"
)

// said is a service as it was live.
type said struct {
	run     Run
	entries []rules.Entry
	levels  []rules.Levels
}

// evening is when the services of these tests begin.
var evening = time.Date(2026, 3, 1, 18, 30, 0, 0, time.UTC)

func practiceHouse(t testing.TB) *house.House {
	t.Helper()
	const file = "harbour-hall.house.yaml"
	h, faults := house.Files{file: string(practice.House()), "harbour-hall.map.yaml": string(practice.MapFile())}.Load(file)
	if h == nil {
		t.Fatal(faults)
	}
	return h
}

// practised judges a service of the practice desk.
func practised(t testing.TB, name string) said {
	t.Helper()
	h := practiceHouse(t)
	script, err := practicetest.Service(name)
	if err != nil {
		t.Fatal(err)
	}
	hearer := h.Map.NewHearer()
	j := rules.NewJudge(h.Roster, h.Limits, rules.Options{Stale: h.Map.Link().StaleAfter, Order: h.Order, Levels: true})
	var reader wire.Reader
	var readings []desk.Reading
	for at, packet := range practice.Play(script, practicetest.Dialects()[0], practice.Playing{}) {
		j.Alive(at)
		for reader.Reset(packet); reader.Next(); {
			readings = hearer.Hear(readings[:0], at, reader.Message())
			for _, r := range readings {
				j.Hear(r)
			}
		}
	}
	j.Advance(script.Length)
	s := said{run: testRun(evening), entries: j.Take(nil), levels: j.TakeLevels(nil)}
	s.run.Strips = Strips{Inputs: h.Roster.Inputs, Groups: h.Roster.Groups}
	return s
}

func testRun(zero time.Time) Run {
	return Run{Zero: zero, House: "Harbour Hall", HousePrint: "h1", MapPrint: "m1", Pawl: "1.2.3"}
}

// recorded writes a service into a new record, as a service begun by hand so that all of
// it is one.
func recorded(t testing.TB, s said) (*Store, string) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "record.pawl")
	r := NewRecorder(path, Options{Bytes: 1 << 30})
	r.Begin(s.run)
	r.BeginService(0)
	r.Put(s.entries, s.levels)
	if err := r.Close(); err != nil {
		t.Fatal(err)
	}
	return opened(t, path), path
}

func opened(t testing.TB, path string) *Store {
	t.Helper()
	s, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

func services(t testing.TB, s *Store) []Service {
	t.Helper()
	all, err := s.Services()
	if err != nil {
		t.Fatal(err)
	}
	return all
}

func read(t testing.TB, s *Store, service int64) []Stretch {
	t.Helper()
	all, err := s.Read(service)
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// asKept brings live values to the resolution of the record: times to a millisecond,
// numbers to a thousandth, infinities to the one that JSON's null is read as, and empty
// lists to none. Whatever else differs from what is read back is a fault.
func asKept(v any) any {
	out := reflect.New(reflect.TypeOf(v)).Elem()
	round(reflect.ValueOf(v), out)
	return out.Interface()
}

func round(from, to reflect.Value) {
	if _, ok := from.Interface().(time.Time); ok {
		to.Set(from)
		return
	}
	switch from.Kind() {
	case reflect.Pointer, reflect.Interface:
		if from.IsNil() {
			return
		}
		inner := reflect.New(from.Elem().Type()).Elem()
		round(from.Elem(), inner)
		if from.Kind() == reflect.Pointer {
			to.Set(inner.Addr())
		} else {
			to.Set(inner)
		}
	case reflect.Struct:
		for i := range from.NumField() {
			round(from.Field(i), to.Field(i))
		}
	case reflect.Slice:
		for i := range from.Len() {
			one := reflect.New(from.Type().Elem()).Elem()
			round(from.Index(i), one)
			to.Set(reflect.Append(to, one))
		}
	case reflect.Map:
		if from.Len() > 0 {
			to.Set(reflect.MakeMap(from.Type()))
		}
		for _, k := range from.MapKeys() {
			one := reflect.New(from.Type().Elem()).Elem()
			round(from.MapIndex(k), one)
			to.SetMapIndex(k, one)
		}
	case reflect.Float64:
		v := from.Float()
		if math.IsNaN(v) {
			v = math.Inf(-1)
		}
		to.SetFloat(math.Round(v*1000)/1000 + 0)
	default:
		to.Set(from)
		if m, ok := from.Interface().(rules.Moment); ok {
			to.Set(reflect.ValueOf(rules.Moment(time.Duration(m).Round(time.Millisecond))))
		}
	}
}

// same wants entries read back to be the live ones.
func same(t testing.TB, got, live []rules.Entry) {
	t.Helper()
	if len(got) != len(live) {
		t.Fatalf("%d entries read back of %d", len(got), len(live))
	}
	for i := range live {
		// Read again through the same eyes: empty lists are none in both.
		if want, have := asKept(live[i]), asKept(got[i]); !reflect.DeepEqual(want, have) {
			t.Fatalf("entry %d read back:\n%+v\nlive:\n%+v", i, have, want)
		}
	}
}

// sameLevels wants levels read back to be the live ones to half a LevelStep.
func sameLevels(t testing.TB, got, live []rules.Levels) {
	t.Helper()
	live = slices.DeleteFunc(slices.Clone(live), func(l rules.Levels) bool { return !l.Heard })
	if len(got) != len(live) {
		t.Fatalf("%d seconds of levels read back of %d", len(got), len(live))
	}
	for i := range live {
		if !likeLevels(got[i], live[i]) {
			t.Fatalf("levels read back:\n%+v\nlive:\n%+v", got[i], live[i])
		}
	}
}

func likeLevels(got, live rules.Levels) bool {
	return alike(reflect.ValueOf(got), reflect.ValueOf(live))
}

func alike(a, b reflect.Value) bool {
	switch a.Kind() {
	case reflect.Struct:
		for i := range a.NumField() {
			if !alike(a.Field(i), b.Field(i)) {
				return false
			}
		}
		return true
	case reflect.Slice:
		if a.Len() != b.Len() {
			return false
		}
		for i := range a.Len() {
			if !alike(a.Index(i), b.Index(i)) {
				return false
			}
		}
		return true
	case reflect.Float64:
		x, y := a.Float(), b.Float()
		if math.IsNaN(y) || math.IsInf(y, -1) {
			return math.IsInf(x, -1)
		}
		return math.Abs(x-max(-327.67, min(y, 327.67))) <= float64(LevelStep)/2+1e-9
	}
	return a.Interface() == b.Interface()
}

// ticking is a time of day that goes on from a moment: one that stood still would be a clock
// that is put back, on a machine so busy that a test takes a second.
func ticking(from time.Time) func() time.Time {
	began := time.Now()
	return func() time.Time { return from.Add(time.Since(began)) }
}
