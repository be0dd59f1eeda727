package practicetest

import (
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"pawl/daemon/practice"
)

func TestServices(t *testing.T) {
	want := []string{"balanced-swap", "band-by-its-dca", "band-louder", "beside-a-voice", "brass-held", "bring-ins",
		"choir-answers", "chorus-lift", "close-mics", "creep", "crowded", "crowded-and-rests", "cue-kept-out",
		"desk-away", "fill-for-a-line", "fill-in-gaps", "fill-over-lead", "harbour-hall", "harmony-forward",
		"harmony-under", "hot-main", "last-line", "lead-behind", "lead-less", "lead-rests", "lead-ride",
		"lift-and-trims", "loud-end-and-silence", "loud-with-room", "main-down", "main-fade", "main-left-closed",
		"main-touched", "muted-reader", "open-mics", "open-mics-in-use", "phrases", "prayer-over-piano", "ratchet",
		"ratchet-end-only", "ratchet-repeats", "reader-in-time", "reboot", "scene-change", "second-alone",
		"second-beside-first", "second-over-first", "small-band", "small-raises", "solo-raise", "solo-to-look",
		"song-and-speech", "speech-little-open", "speech-remark", "squeezed-group", "squeezed-group-loud-end",
		"squeezed-ratchet", "stage-into-squeeze", "stray-cue", "threshold-moved", "voices-left-muted",
		"word-into-a-muted-mic", "words-covered", "words-over-vamp"}
	if got := Services(); !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	for _, name := range Services() {
		t.Run(name, func(t *testing.T) {
			s, err := Service(name)
			if err != nil {
				t.Fatal(err)
			}
			longest := 4 * time.Minute
			if name == "creep" || name == "lift-and-trims" {
				longest = 12 * time.Minute // nothing creeps in four
			}
			if name != "harbour-hall" && (s.Length < 2*time.Minute || s.Length > longest) {
				t.Errorf("lasts %v, want 2m0s to %v", s.Length, longest)
			}
			for _, e := range s.Expect {
				if e.By <= e.After || e.By > s.Length {
					t.Errorf("expects %+v, which no service of %v can meet", e, s.Length)
				}
			}
		})
	}
	if !practice.HarbourHall().Loops {
		t.Error("the demo's service does not say that it loops")
	}
}

func TestNoSuchService(t *testing.T) {
	if _, err := Service("encore"); err == nil || !strings.Contains(err.Error(), "harbour-hall") {
		t.Errorf("got %v, want an error that names those there are", err)
	}
}

// The three ratchets differ in how they are told and in nothing else.
func TestRatchetsAreOneService(t *testing.T) {
	body := func(name string) string {
		src, err := os.ReadFile(testdata("services", name+".txt"))
		if err != nil {
			t.Fatal(err)
		}
		var lines []string
		for _, l := range strings.Split(string(src), "\n") {
			if l != "" && l[0] != '#' && !strings.HasPrefix(l, "style") {
				lines = append(lines, l)
			}
		}
		return strings.Join(lines, "\n")
	}
	for _, name := range []string{"ratchet-end-only", "ratchet-repeats"} {
		if got, want := body(name), body("ratchet"); got != want {
			t.Errorf("%s is not ratchet:\n%s", name, got)
		}
	}
}
