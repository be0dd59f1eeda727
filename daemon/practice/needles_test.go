package practice

import (
	"math"
	"math/rand/v2"
	"testing"
)

// The meters are worked out again here from the plan's words alone, in
// amplitudes instead of powers, over boards set at random.
func TestSums(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 200 {
		b, n := randomBoard(r), newNeedles(harbourHall)
		for i := range n.input {
			n.input[i] = level(-70 + 60*r.Float64())
		}
		n.sum(b)

		var squares [4]float64
		var total float64
		for i, s := range seats {
			amplitude := math.Pow(10, float64(n.input[i])/20) * factor(b[Inputs][i])
			if s.dca != none {
				amplitude *= factor(b[DCAs][s.dca])
			}
			if s.group != none {
				squares[s.group] += amplitude * amplitude
			}
			if s.main {
				total += amplitude * amplitude
			}
		}
		for g := range squares {
			in := 10 * math.Log10(squares[g])
			same(t, "group in-level", float64(n.groupIn[g]), in)
			out := math.Sqrt(squares[g]) * math.Pow(10, float64(squeezes[g].makeUp-n.reduction[g])/20) * factor(b[Groups][g])
			same(t, "group level", float64(n.group[g]), 20*math.Log10(out))
			total += out * out
		}
		same(t, "main", float64(n.main), 20*math.Log10(math.Sqrt(total)*factor(b[Main][0])))
	}
}

func randomBoard(r *rand.Rand) *board {
	b := newBoard(harbourHall)
	for _, strips := range b {
		for i := range strips {
			strips[i].step = max(0, r.IntN(steps+100)-100)
			strips[i].muted = r.IntN(8) == 0
		}
	}
	return b
}

func factor(s strip) float64 {
	if s.muted || s.step == 0 {
		return 0
	}
	return math.Pow(10, float64(stepGain(s.step))/20)
}

func same(t *testing.T, what string, got, want float64) {
	t.Helper()
	if got != want && !(math.Abs(got-want) < 1e-9) {
		t.Errorf("%s is %v, want %v", what, got, want)
	}
}

// Two equal sources are 3.01 dB above one, by hand.
func TestTwoEqualSources(t *testing.T) {
	if got := float64((level(-20).power() + level(-20).power()).level()); math.Abs(got+16.9897) > 1e-4 {
		t.Errorf("twice -20 dBFS is %v, want -16.9897", got)
	}
}
