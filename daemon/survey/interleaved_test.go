package survey

import (
	"fmt"
	"math/rand/v2"
	"regexp"
	"strconv"
	"testing"

	"pawl/daemon/practice/practicetest"
)

// bundle is a message with several meters of each input, and perhaps the main's.
type bundle struct {
	kinds    []adverseMeter // of each input
	together bool           // those of an input stand together
	behind   int            // of the main
	blob     bool
}

func (a *adversary) bundled() {
	var values []float32
	inputs := a.strips("input")
	if a.bundle.together {
		for _, strip := range inputs {
			for _, k := range a.bundle.kinds {
				values = append(values, a.value(k, strip))
			}
		}
	} else {
		for _, k := range a.bundle.kinds {
			for _, strip := range inputs {
				values = append(values, a.value(k, strip))
			}
		}
	}
	for i := range a.bundle.behind {
		values = append(values, a.value(adverseMeter{word: fmt.Sprint("behind", i), post: true, peak: i > 0, fall: 1e6, floor: -120}, "/all"))
	}
	if a.bundle.blob {
		var data []byte
		for _, v := range values {
			data = append(data, byteOrder(v)...)
		}
		a.say("/needles", data)
		return
	}
	var args []any
	for _, v := range values {
		args = append(args, v)
	}
	a.say("/needles", args...)
}

var bundled = regexp.MustCompile(`(?m)^  - hear: /needles\n    is: (\S+)\n(?:    tap: (\S+)\n)?    value: \{(?:args?|blob): (\d+)(?:, of: (\S+?))?(?:, skip: (\d+))?(?:, stride: (\d+))?(?:, each: input:1-(\d+)(?:, stride: (\d+))?)?,`)

// TestInterleavedMeters: several meters of each input in one message are told apart, and what
// is written without a # is what they are. That a meter after the fader is found where there
// is one and it falls fast is wanted too, or doubt would be a way out.
func TestInterleavedMeters(t *testing.T) {
	practicetest.SkipRaced(t)
	found, there := 0, 0
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 3))
		a := newAdversary(t, seed)
		a.kinds, a.linear, a.pauses = nil, false, false
		all := []adverseMeter{{of: "input", word: "b", fall: 60}, {of: "input", word: "p", peak: true, fall: 60}, {of: "input", word: "f", post: true, fall: 60}, {of: "input", word: "g", post: true, peak: true, fall: 60}}
		b := &bundle{together: r.IntN(2) == 0, behind: r.IntN(3), blob: r.IntN(2) == 0}
		post := false
		for _, i := range r.Perm(4)[:1+r.IntN(4)] {
			k := all[i]
			k.floor = -120
			b.kinds = append(b.kinds, k)
			post = post || k.post
		}
		if len(b.kinds) == 1 && b.behind == 0 {
			b.behind = 1
		}
		a.bundle = b
		draft := a.drafted()
		checked(t, draft)
		fell := false
		for _, e := range bundled.FindAllStringSubmatch(draft, -1) {
			number := func(i int) int { n, _ := strconv.Atoi(e[i]); return n }
			first, stride := number(3), max(number(8), 1)
			if b.blob {
				first, stride = number(5)/4, max(number(6)/4, 1)
			}
			inputs := a.inputs * len(b.kinds)
			if first >= inputs {
				if e[1] != "main.level" && e[1] != "main.peak" || number(7) != 0 {
					t.Errorf("seed %d: value %d is the main's, and is taken for %s\n%s", seed, first, e[1], draft)
				}
				continue
			}
			kind, right := 0, 1
			if b.together {
				kind, right = first, len(b.kinds)
			} else {
				kind = first / a.inputs
				if first%a.inputs != 0 {
					kind = len(b.kinds)
				}
			}
			if kind >= len(b.kinds) || stride != right || number(7) != a.inputs {
				t.Errorf("seed %d: %+v with %d inputs is taken apart as %q\n%s", seed, b, a.inputs, e[0], draft)
				continue
			}
			k := b.kinds[kind]
			if tap := map[bool]string{true: "post-fader", false: "pre-fader"}[k.post]; e[2] != tap || e[1] != "input.level" && e[1] != "input.peak" {
				t.Errorf("seed %d: %+v is taken for %s %s\n%s", seed, k, e[1], e[2], draft)
			}
			fell = fell || k.post
		}
		if post {
			there++
			if fell {
				found++
			}
		}
	}
	t.Logf("of %d messages with a meter after the fader %d are taken apart for certain", there, found)
	if found*2 < there {
		t.Errorf("of %d messages with a meter after the fader %d are taken apart for certain, want half at least", there, found)
	}
}
