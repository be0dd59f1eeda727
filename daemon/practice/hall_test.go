package practice

import (
	"math"
	"strings"
	"testing"
	"time"
)

func TestHallsOfThreeSizes(t *testing.T) {
	for i, want := range []int{16, 8, 64} {
		if h := Halls()[i]; h.Strips(Inputs) != want {
			t.Errorf("%s has %d inputs, want %d", h.Name(), h.Strips(Inputs), want)
		}
	}
}

// Each input can be told from every other, and from a group, by the words of a script.
func TestHallsNamesAreTheirOwn(t *testing.T) {
	for _, h := range Halls() {
		for bank := range Main {
			for i := range h.Strips(bank) {
				k := knob{bank, i}
				if got, err := newPhrase(h, h.named(k)).knob(); err != nil || got != k {
					t.Errorf("%s: %q is %+v (%v), want %+v", h.name, h.named(k), got, err, k)
				}
				if p := newPhrase(h, h.named(k)+" to -20 dBFS"); bank == Inputs && h.squeezed {
					if got, err := p.compressor(""); err != nil || got != k {
						t.Errorf("%s: the compressor of %q is that of %+v (%v)", h.name, h.named(k), got, err)
					}
				}
			}
		}
	}
}

func TestHallFaults(t *testing.T) {
	for _, c := range []struct{ name, lines, want string }{
		{"no such hall", "hall Salt Store", `s.txt:3: no hall "Salt Store"; want one of Harbour Hall, Ferry Room, Long Barn`},
		{"no such hall, and somebody plays there", "hall Salt Store\n0s play piano", `s.txt:3: no hall "Salt Store"`},
		{"no name", "hall", `no hall ""`},
		{"too late", "0s play piano\nhall Ferry Room", "s.txt:4: the hall stands above all that happens in it"},
		{"somebody from elsewhere", "hall Ferry Room\n0s play trumpet", `nothing here is called "trumpet"`},
		{"no groups", "hall Ferry Room\n0s group band -2 dB", `no group called "band`},
		{"no compressors on inputs", "0s threshold piano to -20 dBFS", `no group called "piano`},
		{"a DCA has none", "hall Ferry Room\n0s ratio dca singers to 3:1", "dca singers has no compressor"},
		{"the main has none", "hall Long Barn\n0s ratio main to 3:1", "main has no compressor"},
		{"too much make-up", "hall Ferry Room\n0s makeup piano to 30 dB", "a make-up of 30 dB is not on this desk"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := ParseScript("s.txt", []byte("length 20s\nexpect nothing\n"+c.lines))
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v, want %q in it", err, c.want)
			}
		})
	}
}

// What an input's compressor takes is missing from its meter and from the main, and
// what it adds is there.
func TestInputsAreSqueezed(t *testing.T) {
	at := func(lines string) *performance {
		s, err := ParseScript("s.txt", []byte("hall Ferry Room\nlength 20s\nexpect nothing\n0s play piano\n"+lines))
		if err != nil {
			t.Fatal(err)
		}
		p := newPerformance(s, 1, false)
		for tickTime(p.tick) <= 10*time.Second {
			p.step()
		}
		return p
	}
	const piano = 2
	idle, firm := at("").needles, at("1s threshold piano to -40 dBFS\n1s ratio piano to 4:1\n2s makeup piano to 2 dB").needles
	over := float64(idle.ahead[piano] + 40)
	if idle.taken[piano] != 0 || math.Abs(float64(firm.taken[piano])-0.75*over) > 1e-9 || over < 10 {
		t.Errorf("takes %.2f dB and then %.2f dB, want 0 and %.2f", float64(idle.taken[piano]), float64(firm.taken[piano]), 0.75*over)
	}
	want := 0.75*over - 2
	if got := float64(idle.ahead[piano] - firm.ahead[piano]); math.Abs(got-want) > 1e-9 {
		t.Errorf("the meter falls by %.2f dB, want %.2f", got, want)
	}
	// The rest of the main is what the open microphones hear of the room.
	if got := float64(idle.main - firm.main); math.Abs(got-want) > 0.3 {
		t.Errorf("the main falls by %.2f dB, want about %.2f", got, want)
	}
}
