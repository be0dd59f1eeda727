package practice

import (
	"math"
	"testing"

	"gopkg.in/yaml.v3"
)

func TestThrow(t *testing.T) {
	for _, c := range []struct {
		name string
		step int
		want float64
	}{
		{"bottom", 0, math.Inf(-1)},
		{"first step", 1, -80 + 44*(1.0/4000-0.0002)/0.2998},
		{"a mark", 1200, -36},
		{"halfway", 2000, -20},
		{"nearly unity", 3199, -12.0 / 800},
		{"unity", 3200, 0},
		{"above unity", 3600, 3},
		{"top", 4000, 6},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := float64(stepGain(c.step)); got != c.want && !(math.Abs(got-c.want) < 1e-9) {
				t.Errorf("step %d is %v dB, want %v", c.step, got, c.want)
			}
		})
	}
}

func TestThrowThereAndBack(t *testing.T) {
	for n := 0; n <= steps; n++ {
		if got := nearestStep(travelTo(stepGain(n))); got != n {
			t.Errorf("step %d is %v dB, which is step %d", n, stepGain(n), got)
		}
		if n > 0 && !(stepGain(n) > stepGain(n-1)) {
			t.Errorf("step %d is not above the one below it", n)
		}
	}
}

// The map file is written by hand; its taper must be the one the desk uses.
func TestMapHasTheThrow(t *testing.T) {
	var file struct{ Tapers struct{ Throw [][2]any } }
	if err := yaml.Unmarshal(MapFile(), &file); err != nil {
		t.Fatal(err)
	}
	if len(file.Tapers.Throw) != len(throw) {
		t.Fatalf("%d points in the map, want %d", len(file.Tapers.Throw), len(throw))
	}
	for i, p := range file.Tapers.Throw {
		if number(p[0]) != throw[i].travel || number(p[1]) != float64(throw[i].mark) {
			t.Errorf("point %d is %v, want %v", i, p, throw[i])
		}
	}
}

func number(v any) float64 {
	switch v := v.(type) {
	case int:
		return float64(v)
	case float64:
		return v
	}
	if v == "-inf" {
		return math.Inf(-1)
	}
	return math.NaN()
}
