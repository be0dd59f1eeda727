package survey

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pawl/oscmap"
	"pawl/oscmap/wire"
)

var off = math.Inf(-1)

// TestPublishedTapers fits tapers whose values were published or follow from a
// stated law: see the source column of testdata/checks/taper_generic.csv. The law
// that is found must be of the taper's own family.
func TestPublishedTapers(t *testing.T) {
	f, err := os.Open("../../testdata/checks/taper_generic.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	tapers := map[string][]point{}
	for _, row := range rows[1:] {
		travel, err1 := strconv.ParseFloat(row[1], 64)
		db, err2 := strconv.ParseFloat(row[2], 64)
		if err1 != nil || err2 != nil {
			t.Fatal(row)
		}
		if travel > 0 {
			tapers[row[0]] = append(tapers[row[0]], point{travel, db})
		}
	}
	for name, want := range map[string]string{
		"log -80..+20 dB linear in travel": "10.00 dB to each tenth of its travel",
		"square law x^2":                   "the power 2.00 of its travel",
		"fourth power x^4":                 "the power 4.00 of its travel",
	} {
		t.Run(name, func(t *testing.T) {
			sc, ok := fit(tapers[name], 0)
			if !ok || !strings.Contains(inEnglish(sc.said...), want) {
				t.Fatalf("got %q, want %q", inEnglish(sc.said...), want)
			}
			holds(t, sc, tapers[name], 0.01)
		})
	}
}

// holds loads a map with the scale and hears every mark by it.
func holds(t *testing.T, sc scale, marks []point, within float64) {
	t.Helper()
	text := "desk: x\nsignals: [{hear: /x, is: main.fader, value: {arg: 0, " + sc.keys + "}}]\n"
	text += sc.tapers()
	m, faults := oscmap.Load("x.yaml", []byte(text), nil)
	if m == nil {
		t.Fatalf("%v\n%s", faults, text)
	}
	h := m.NewHearer()
	for _, p := range marks {
		packet, err := wire.AppendMessage(nil, "/x", float32(p.x))
		if err != nil {
			t.Fatal(err)
		}
		var r wire.Reader
		r.Reset(packet)
		r.Next()
		got := h.Hear(nil, 0, r.Message())
		if len(got) != 1 || !(math.Abs(got[0].Value-p.db) <= within || got[0].Value == p.db) {
			t.Errorf("%v is heard as %v, want %v dB; the map is\n%s", p.x, got, p.db, text)
		}
	}
}

func TestFit(t *testing.T) {
	// law makes marks of a law, at the dB given.
	law := func(x func(db float64) float64, marks ...float64) (all []point) {
		for _, db := range marks {
			all = append(all, point{x(db), db})
		}
		return all
	}
	amplitude := func(db float64) float64 { return math.Pow(10, db/20) }
	for _, c := range []struct {
		name     string
		marks    []point
		bottomAt float64
		value    string
		taper    string
		said     string
	}{
		{"decibels", law(func(db float64) float64 { return db + 0.1 }, 10, 0, -10, -30), -120, "unit: dB, minus-infinity: -120", "", "dB as they are"},
		{"decibels that end in minus infinity", law(func(db float64) float64 { return db }, 10, 0, -10), off, "unit: dB", "", "dB as they are"},
		{"hundredths", law(func(db float64) float64 { return db * 100 }, 10, 0, -10, -30), -9000, "unit: centi-dB, minus-infinity: -9000", "", "hundredths"},
		{"256ths", law(func(db float64) float64 { return db * 256 }, 10, 0, -10), math.MinInt32, "unit: dB/256, minus-infinity: -2147483648", "", "256ths"},
		{"tenths", law(func(db float64) float64 { return db * 10 }, 10, 0, -10), -144, "unit: dB, scale: 0.1", "", "tenths"},
		{"amplitude", law(amplitude, 10, 0, -10, -30), 0, "unit: amplitude", "", "factors of amplitude"},
		{"power", law(func(db float64) float64 { return math.Pow(10, db/10) }, 10, 0, -10, -30), 0, "unit: power", "", "factors of power"},
		{"a power of the travel", law(func(db float64) float64 { return 1000 * math.Pow(10, (db-10)/60) }, 10, 0, -10, -30), 0,
			"taper: travel", "[[0, -inf], {at: 1000, dB: 10.000, power: 3.0000}]", "power 3.00"},
		{"no law", []point{{0.25, -40}, {0.5, -15}, {0.75, 0}, {1, 10}}, 0,
			"taper: travel", "[[0, -inf], [0.25, -40], [0.28125, -36.16], [0.3125, -32.54], [0.34375, -29.14], [0.375, -25.94], [0.40625, -22.93], " +
				"[0.4375, -20.12], [0.46875, -17.48], [0.5, -15], [0.53125, -12.68], [0.5625, -10.51], [0.59375, -8.47], [0.625, -6.56], " +
				"[0.65625, -4.77], [0.6875, -3.09], [0.75, 0], [0.8125, 2.77], [0.875, 5.31], [1, 10]]", "no simple law"},
		{"straight lines with bends", []point{{0.2, -40}, {0.3, -30}, {0.4, -20}, {0.5, -15}, {0.6, -10}, {0.7, -5}, {0.8, 0}, {1, 10}}, 0,
			"taper: travel", "[[0, -inf], [0.2, -40], [0.3, -30], [0.4, -20], [0.5, -15], [0.6, -10], [0.7, -5], [0.8, 0], [1, 10]]", "straight lines from mark to mark"},
		{"a top where nothing is printed", []point{{0.25, -40}, {0.5, -15}, {0.75, 0}, {1, math.NaN()}}, 0,
			"taper: travel", "[[0, -inf], [0.25, -40], [0.5, -15], [0.75, 0], [1, 15]]", "no simple law"},
		{"two marks are too few for a law", law(amplitude, 0, -10), 0,
			"taper: travel", "[[0, -inf], [0.316228, -10], [1, 0]]", "no simple law"},
	} {
		t.Run(c.name, func(t *testing.T) {
			sc, ok := fit(c.marks, c.bottomAt)
			if !ok || sc.keys != c.value || sc.taper != c.taper || !strings.Contains(inEnglish(sc.said...), c.said) {
				t.Fatalf("got %q %q, %q; want %q %q, %q", sc.keys, sc.taper, inEnglish(sc.said...), c.value, c.taper, c.said)
			}
			holds(t, sc, slices.DeleteFunc(c.marks, func(p point) bool { return p.db != p.db }), good)
			if c.bottomAt > off {
				holds(t, sc, []point{{c.bottomAt, sc.db(c.bottomAt)}}, 0.01)
			}
		})
	}
}

func TestFitRefuses(t *testing.T) {
	for _, c := range []struct {
		name  string
		marks []point
	}{
		{"nothing", nil},
		{"one mark", []point{{0.5, 0}}},
		{"numbers that fall as the fader rises", []point{{0, 10}, {0.5, 0}, {1, -20}}},
		{"two marks at one place", []point{{0.5, 0}, {0.5, -10}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			if sc, ok := fit(c.marks, 0); ok {
				t.Errorf("got %v, want none", fmt.Sprint(sc.keys, sc.taper))
			}
		})
	}
}

func TestSilence(t *testing.T) {
	faders := drafter{scale: scale{off: -80000}}
	for _, c := range []struct {
		name string
		m    tally
		form form
		d    drafter
		want float64
	}{
		{"the least of 32 bits", tally{whole: true, off: 1, lo: -9000}, form{}, drafter{}, math.MinInt32},
		{"the least of 16 bits in a blob", tally{whole: true, off: 1}, form{layout: oscmap.Int16LE, n: 1}, drafter{}, math.MinInt16},
		{"the faders' own number", tally{whole: true, lo: -80000}, form{}, faders, -80000},
		{"a meter that was never silent", tally{whole: true, lo: -9000}, form{}, faders, 0},
		{"a fader that has no such number", tally{whole: true, lo: -9000}, form{}, drafter{}, 0},
		{"floats can say it themselves", tally{off: 1, lo: -80000}, form{}, faders, 0},
		{"and so can texts", tally{whole: true, tags: "s", off: 1, lo: -80000}, form{}, faders, 0},
	} {
		m := meter{place: place{column: column{tally: c.m}}, form: c.form}
		if got := c.d.silence(&m); got != c.want {
			t.Errorf("%s: got %v, want %v", c.name, got, c.want)
		}
	}
}

// TestPartsOfADecibel: any whole number of steps may be a dB, where they count both ways from 0 dB
// and the bottom has a number of its own.
func TestPartsOfADecibel(t *testing.T) {
	var marks []point
	for _, db := range []float64{-30, -10, -5, 0, 3, 6} {
		marks = append(marks, point{32 * db, db})
	}
	sc, ok := fit(marks, -32768)
	if want := "unit: dB, scale: 1/32, minus-infinity: -32768"; !ok || sc.keys != want {
		t.Errorf("got %q, want %q", sc.keys, want)
	}
	if got := sc.db(-36 * 32); abs(got+36) > 0.001 {
		t.Errorf("between the lowest mark and the bottom: got %v, want -36", got)
	}
}
