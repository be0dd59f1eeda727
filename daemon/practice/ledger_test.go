package practice

import (
	"errors"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
)

// steady is the main level with every player at the mean level of their seat,
// so that only what was done is in it and not how they happened to play.
func steady(p *performance, stage bool) float64 {
	n := newNeedles(p.script.hall)
	for i, s := range p.stage {
		n.input[i] = bleed
		if s.playing {
			n.input[i] = p.script.hall.seats[i].plays
			if stage {
				n.input[i] += level(s.lift.at(p.tick))
			}
		}
	}
	n.sum(p.board)
	return float64(n.main)
}

// rise plays a service and gives what the main has gained between two moments.
func rise(t *testing.T, name string, from, to time.Duration, stage bool) float64 {
	t.Helper()
	p := newPerformance(script(t, name), 0, false)
	var before float64
	for tickTime(p.tick) < to {
		if p.silentTick(); tickTime(p.tick) <= from {
			before = steady(p, stage)
		}
	}
	return steady(p, stage) - before
}

// script is a service of testdata, the yardsticks' among them, or the demo's.
func script(t testing.TB, name string) *Script {
	t.Helper()
	if s := HarbourHall(); s.Name == name {
		return s
	}
	var file string
	var src []byte
	err := fs.ErrNotExist
	for _, folder := range []string{"services", "yardstick", "yardstick2", "yardstick4"} {
		if errors.Is(err, fs.ErrNotExist) {
			file = filepath.Join("..", "..", "testdata", folder, name+".txt")
			src, err = os.ReadFile(file)
		}
	}
	if err != nil {
		t.Fatal(err)
	}
	s, err := ParseScript(file, src)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// scripts is every service: those of testdata and the demo's.
func scripts(t testing.TB) []*Script {
	t.Helper()
	files, err := filepath.Glob("../../testdata/services/*.txt")
	if err != nil || len(files) == 0 {
		t.Fatal(err, files)
	}
	all := []*Script{HarbourHall()}
	for _, file := range files {
		all = append(all, script(t, strings.TrimSuffix(filepath.Base(file), ".txt")))
	}
	return all
}

// The arithmetic behind the labels: what the desk really does in each service.
func TestWhatTheServicesDo(t *testing.T) {
	const at = time.Second
	for _, c := range []struct {
		what, service string
		from, to      time.Duration
		stage         bool
		least, most   float64
	}{
		{"the demo's ratchet is up more than 4 dB", "harbour-hall", 124 * at, 185 * at, false, 4.1, 5},
		{"its third raise makes a whisper's worth", "harbour-hall", 124 * at, 146 * at, false, 1.6, 2.5},
		{"its re-raise makes a nudge's worth", "harbour-hall", 124 * at, 158 * at, false, 2.8, 3.5},
		{"the way back leaves less than 1 dB", "harbour-hall", 124 * at, 205 * at, false, -0.5, 0.9},
		{"the band grows by itself", "harbour-hall", 225 * at, 275 * at, true, 3, 4},
		{"while the hand does nothing", "harbour-hall", 225 * at, 275 * at, false, 0, 0},
		{"and settles", "harbour-hall", 225 * at, 301 * at, true, 0, 0},
		{"ratchet", "ratchet", 39 * at, 100 * at, false, 4.1, 5},
		{"ratchet told at ends only", "ratchet-end-only", 39 * at, 100 * at, false, 4.1, 5},
		{"ratchet told with repeats", "ratchet-repeats", 39 * at, 100 * at, false, 4.1, 5},
		{"the ride is back", "lead-ride", 29 * at, 175 * at, false, 0, 0},
		{"the chorus is up", "chorus-lift", 39 * at, 50 * at, false, 1, 3},
		{"and down again", "chorus-lift", 39 * at, 75 * at, false, 0, 0},
		{"the stage is up", "band-louder", 29 * at, 75 * at, true, 3, 4},
		{"the scene is louder", "scene-change", 69 * at, 71 * at, false, 1.5, 4},
		{"the swap is even", "balanced-swap", 34 * at, 60 * at, false, -0.5, 0.5},
		{"half of the climb goes into the compressor", "squeezed-ratchet", 39 * at, 68 * at, false, 0.6, 1},
		{"and enough of it to the main", "squeezed-ratchet", 39 * at, 100 * at, false, 1.4, 1.9},
		{"the phrases come up", "phrases", 40100 * time.Millisecond, 92 * at, false, 2, 2.7},
		{"the DCA is held back", "band-by-its-dca", 39 * at, 100 * at, false, 0.7, 1.1},
		{"the voice hides the band", "beside-a-voice", 39 * at, 100 * at, false, 0.5, 0.9},
		{"the stage is held back", "stage-into-squeeze", 29 * at, 75 * at, true, 2.5, 4.5},
		{"while nobody touches the desk", "stage-into-squeeze", 29 * at, 169 * at, false, 0, 0},
		{"the band is pressed", "threshold-moved", 64 * at, 66 * at, false, -3, -1},
		{"and home", "balanced-swap", 34 * at, 149 * at, false, 0, 0},
	} {
		t.Run(c.what, func(t *testing.T) {
			got := rise(t, c.service, c.from, c.to, c.stage)
			if got = math.Round(got*1e6) / 1e6; got < c.least || got > c.most {
				t.Errorf("%s: %+.2f dB from %v to %v, want %v to %v", c.service, got, c.from, c.to, c.least, c.most)
			}
		})
	}
}

// worksHard are services in which a group's compressor works for a reason of their own: one that is to
// tempt by it, and those that push the main to its end or nearly.
var worksHard = []string{"brass-held", "hot-main", "loud-with-room"}

// Work that a group's compressor does would be another thing to say, except where the
// script sets one to do it, or that thing is what is to be said.
func TestGroupsAreNotSqueezedHard(t *testing.T) {
	for _, s := range scripts(t) {
		said := slices.ContainsFunc(s.Expect, func(e Expectation) bool { return e.Rule == "squeezed-group" })
		if said || slices.Contains(worksHard, s.Name) || slices.ContainsFunc(s.cues, func(c cue) bool { _, pressed := c.act.(*pressing); return pressed }) {
			continue
		}
		p := newPerformance(s, 1, false)
		for !p.over() {
			p.step()
			for g, r := range p.needles.reduction {
				if r > 3 {
					t.Fatalf("%s: at %v the %s group is reduced by %.1f dB, want at most 3", s.Name, tickTime(p.tick), groupNames[g], float64(r))
				}
			}
		}
	}
}
