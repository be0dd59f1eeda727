package survey

import (
	"fmt"
	"strings"
	"testing"

	"pawl/oscmap"
)

// TestMembership looks at what is guessed of numbers beside the inputs' faders.
func TestMembership(t *testing.T) {
	var all []said
	for n := 1; n <= 4; n++ {
		in := fmt.Sprintf("/in/%d/", n)
		all = append(all, said{in + "up", []any{float32(-n)}}, said{in + "hands", []any{n % 3 * 2}}, said{in + "colour", []any{n * 9}},
			said{in + "solo", []any{n % 2}}, said{in + "to/1", []any{n%2 == 0}}, said{in + "to/2", []any{true}})
	}
	for n := 1; n <= 3; n++ {
		all = append(all, said{fmt.Sprintf("/hand/%d/up", n), []any{float32(-n)}})
	}
	for n := 1; n <= 2; n++ {
		all = append(all, said{fmt.Sprintf("/fold/%d/up", n), []any{float32(-n)}})
	}
	s := surveyOf(t, all...)
	d := newDrafter(s, nil)
	for _, src := range s.order {
		for strip, address := range map[strip]string{inputStrip: "/in/1/up", dcaStrip: "/hand/1/up", groupStrip: "/fold/1/up"} {
			if src.address == address {
				p, _ := locate(d.shapes, src.slots[0])
				p.count(never)
				d.known[strip] = family{ok: true, place: p}
			}
		}
	}
	var b strings.Builder
	d.rest(&b)
	got := b.String()
	for _, want := range []string{
		"# - hear: /in/{input:1-4}/hands\n  #   is: input.dca\n  #   value: {arg: 0, bits: dca:1-3}\n",
		"# - hear: /in/{input:1-4}/to/{group:1-2}\n  #   is: input.group\n  #   value: {arg: 0}\n",
	} {
		if !strings.Contains(got, want) {
			t.Errorf("got\n%s\nwant in it\n%s", got, want)
		}
	}
	if n := strings.Count(got, "is: "); n != 2 {
		t.Errorf("%d guesses, want 2\n%s", n, got)
	}
}

func TestUnits(t *testing.T) {
	int16, float := form{layout: oscmap.Int16BE, n: 1}, form{layout: oscmap.Float32LE, n: 1}
	of := func(f form, t tally) meter {
		t.numbers = 100
		return meter{form: f, place: place{column: column{tally: t}}}
	}
	for _, c := range []struct {
		name   string
		m      meter
		d      drafter
		want   string
		unsure bool
	}{
		{"decibels", of(float, tally{lo: -60, hi: -3}), drafter{}, "dB", false},
		{"whole decibels", of(int16, tally{whole: true, lo: -60, hi: -3}), drafter{}, "dB", false},
		{"whole numbers like the faders'", of(int16, tally{whole: true, lo: -9000, hi: -300}), drafter{scale: scale{per: 256}}, "dB/256", false},
		{"whole numbers of no known sort", of(int16, tally{whole: true, lo: -9000, hi: -300}), drafter{scale: scale{per: 1}}, "centi-dB", true},
		{"learnt from the main", of(int16, tally{whole: true, lo: -9000, hi: -300}),
			drafter{scale: scale{per: 256}, units: map[string]string{"int16-be": "centi-dB"}}, "centi-dB", false},
		{"factors like the main's", of(float, tally{lo: 0.001, hi: 0.5}), drafter{linear: "amplitude"}, "amplitude", false},
		{"factors of no known sort", of(float, tally{lo: 0.001, hi: 0.5}), drafter{}, "power", true},
		{"small reduction", of(float, tally{lo: 0, hi: 3, zeros: 50}), drafter{}, "dB", false},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got, why, ok := c.d.unitOf(&c.m); got != c.want || ok == c.unsure || why == "" {
				t.Errorf("got %s, %v (%s); want %s, %v", got, ok, why, c.want, !c.unsure)
			}
		})
	}
}

// TestMainsFall sees what the numbers of a meter mean from how far they fall with
// the main's fader.
func TestMainsFall(t *testing.T) {
	for _, c := range []struct {
		name        string
		at0, atMark float64
		mark        float64
		m           tally
		want        string
	}{
		{"centi-dB", -1800, -2850, -10, tally{whole: true, lo: -9000}, "centi-dB"},
		{"256ths", -4608, -7000, -10, tally{whole: true, lo: -9000}, "dB/256"},
		{"tenths", -180, -285, -10, tally{whole: true, lo: -900}, "tenths"},
		{"power", 0.02, 0.0018, -10, tally{hi: 1}, "power"},
		{"amplitude", 0.2, 0.07, -10, tally{hi: 1}, "amplitude"},
		{"amplitude, to another mark", 0.2, 0.02, -20, tally{hi: 1}, "amplitude"},
		{"a mark too near to tell", 0.2, 0.15, -2, tally{hi: 1}, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := surveyOf(t, said{"/end", []any{1}})
			main := s.order[0].slots[0]
			m := meter{place: place{column: column{tally: c.m}}}
			m.place.shape, m.place.slots, m.place.index = s.shapes()[0], []*slot{main}, -1
			moves := []step{
				{question: question{mainStrip, zero, false, 0}, seen: map[*slot]still{main: {course: course{n: 1, mean: c.at0}}}},
				{question: question{mainStrip, mark, false, 0}, db: c.mark, seen: map[*slot]still{main: {course: course{n: 1, mean: c.atMark}}}},
			}
			d := &drafter{units: map[string]string{}, learntBy: map[string]string{}}
			d.learnUnit(&m, control{slot: main, moves: moves}, mainStrip, &place{index: -1})
			if got := d.units["i"]; got != c.want {
				t.Errorf("got %q, want %q", got, c.want)
			}
		})
	}
}

// The main's value behind those of the strips, in the blob that holds them, has its unit from
// how far it fell itself, and not from the first value there.
func TestUnitOfTheMainBehind(t *testing.T) {
	s := surveyOf(t, said{"/all", []any{1}})
	t0 := s.order[0].slots[0]
	m := meter{place: place{column: column{tally: tally{whole: true, lo: -9000}}}, form: form{layout: oscmap.Int16LE, n: 3}, first: 2, stride: 1, of: mainStrip}
	m.shape, m.slots, m.index = s.shapes()[0], []*slot{t0}, -1
	at := func(main float64) map[*slot]still {
		others := course{n: 1, mean: -2500} // which stand where they stood
		return map[*slot]still{t0: {window: &window{as: map[form][]course{m.form: {others, others, {n: 1, mean: main}}}}}}
	}
	d := &drafter{units: map[string]string{}, learntBy: map[string]string{}}
	d.learnUnit(&m, control{slot: t0, moves: []step{
		{question: question{mainStrip, zero, false, 0}, seen: at(-1800)}, {question: question{mainStrip, mark, false, 0}, db: -10, seen: at(-2800)},
	}}, mainStrip, &place{index: -1})
	if got := d.units[m.sort()]; got != "centi-dB" {
		t.Errorf("got %q, want centi-dB", got)
	}
}
