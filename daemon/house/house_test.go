package house

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pawl/rules"
	"pawl/rules/desk"
)

var update = flag.Bool("update", false, "rewrite the wanted part of golden files")

const smallMap = `desk: a small desk
link:
  desk-port: 10700
signals:
  - hear: /berth/{input:1-3}/level
    is: input.fader
    value: {arg: 0, unit: dB}
`

func TestHouse(t *testing.T) {
	h, faults := Files{"desk.map.yaml": smallMap, "house.yaml": `
house: A hall
desk: {address: 192.0.2.10, map: desk.map.yaml}
roster:
  inputs:
    1: {name: piano, element: rhythm, dcas: band}
    3: {name: lead, element: lead, voice: yes, groups: [voices, all]}
  dcas: {1: band}
  groups: {1: voices, 2: all}
limits:
  ratchet: {whisper: 2 dB, accepted: 5m}
`}.Load("hall/house.yaml")
	if h == nil {
		t.Fatal(faults)
	}
	if got, want := h.Desk, "192.0.2.10:10700"; got != want {
		t.Errorf("desk at %s, want the map's port: %s", got, want)
	}
	if got, want := h.Page, defaultPage; got != want {
		t.Errorf("page at %s, want %s", got, want)
	}
	if got := h.Roster.Inputs[1].Name; got != "input 2" {
		t.Errorf("the input nobody named is %q, want \"input 2\"", got)
	}
	if h.Roster.Inputs[2].Main || !h.Roster.Inputs[0].Main {
		t.Error("an input in a group feeds the main through it, one in none directly")
	}
	if got := h.Roster.Inputs[2].Groups; len(got) != 2 || got[0] != 0 || got[1] != 1 {
		t.Errorf("lead is in groups %v, want [0 1]", got)
	}
	want := rules.DefaultLimits().Ratchet
	want.Whisper, want.Accepted = 2, 5*want.Accepted/3
	if h.Limits.Ratchet != want {
		t.Errorf("ratchet limits %+v, want the defaults but for two: %+v", h.Limits.Ratchet, want)
	}
}

// TestAMapWithoutLevels: what it cannot tell is advice, and the house is good.
func TestAMapWithoutLevels(t *testing.T) {
	h, faults := Files{"desk.map.yaml": smallMap, "house.yaml": `
house: A hall
desk: {address: 192.0.2.10, map: desk.map.yaml}
roster: {inputs: {1: {name: piano}}}
`}.Load("hall/house.yaml")
	if h == nil {
		t.Fatal(faults)
	}
	for _, want := range []string{"the map hears no input's level, so every open input will count as equally loud", "rules will be silent: no address carries input.level: "} {
		if !strings.Contains(faults.Error(), want) {
			t.Errorf("got %v\nwant %s", faults, want)
		}
	}
}

// TestAStrayNumber: one far from the rest is remarked on in a sentence, at its place, and
// what lies before it is not listed.
func TestAStrayNumber(t *testing.T) {
	for _, c := range []struct{ inputs, upTo, want string }{
		{"{1: cajon, 2: fiddle, 99: harp}", "99", "house.yaml:4:33: advice: roster.inputs.99: inputs 3 to 98 have no line\n    if 99 is a slip, put it right"},
		{"{99: harp, 1: cajon, 2: fiddle}", "99", "house.yaml:4:12: advice: roster.inputs.99: inputs 3 to 98 have no line"},
		{"{1: cajon, 2: fiddle, 99: harp}", "2", "no address hears input 99 \"harp\"\n"},
		{"{1: cajon, 2: fiddle, 99: {}}", "2", "no address hears input 99 \"input 99\"\n"},
		{"{1: cajon, 20: {element: pad}, 21: harp}", "2", "no address hears input 20 \"input 20\", input 21 \"harp\"\n"},
		{"{1: cajon, 2: fiddle, 9: harp}", "9", ""},
	} {
		_, faults := Files{"desk.map.yaml": strings.Replace(smallMap, "1-3", "1-"+c.upTo, 1), "house.yaml": `house: A hall
desk: {address: 192.0.2.10, map: desk.map.yaml}
roster:
  inputs: ` + c.inputs + "\n"}.Load("house.yaml")
		if got := faults.Error(); !strings.Contains(got, c.want) || c.want == "" && strings.Contains(got, "have no line") {
			t.Errorf("%s, heard to %s: got\n%s\nwant %q", c.inputs, c.upTo, got, c.want)
		}
	}
}

// TestOrder: the parts of a running order, with who plays what in them.
func TestOrder(t *testing.T) {
	h, faults := Files{"desk.map.yaml": smallMap, "house.yaml": `
house: A hall
desk: {address: 192.0.2.10, map: desk.map.yaml}
roster:
  inputs: {1: piano, 2: {name: fiddle, element: fill}}
order:
  - {name: " opening song ", kind: music, scene: 0, primary: piano}
  - {name: reel, kind: music, plays: {fiddle: lead, piano: none}}
  - {name: 3rd, kind: quiet}
`}.Load("house.yaml")
	if h == nil {
		t.Fatal(faults)
	}
	o := h.Order
	if len(o) != 3 || o[0].Name != "opening song" || o[1].Kind != desk.Music || o[2].Kind != desk.Quiet {
		t.Fatalf("%+v", o)
	}
	if o[0].Scene == nil || *o[0].Scene != 0 || o[0].Primary == nil || *o[0].Primary != 0 || o[1].Scene != nil || o[1].Primary != nil {
		t.Errorf("%+v", o)
	}
	if e := o[1].Elements; len(e) != 2 || e[1] != desk.Lead || e[0] != desk.NoElement {
		t.Errorf("in the reel they play %v", e)
	}
	if !strings.Contains(faults.Error(), "no part will begin by its scene") {
		t.Errorf("%v, want it said that the map hears no scenes", faults)
	}
}

// TestHouseFaults holds every sentence about a wrong house file to the letter.
func TestHouseFaults(t *testing.T) {
	paths, err := filepath.Glob("../../testdata/houses/*.house.yaml")
	if err != nil || len(paths) == 0 {
		t.Fatalf("no faulty houses: %v", err)
	}
	for _, path := range paths {
		t.Run(filepath.Base(path), func(t *testing.T) {
			h, faults := Load(path)
			if h != nil {
				t.Fatal("loaded, want faults")
			}
			got := faults.Error() + "\n"
			wantFile := strings.TrimSuffix(path, ".yaml") + ".want"
			if *update {
				if err := os.WriteFile(wantFile, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(wantFile)
			if err != nil {
				t.Fatal(err)
			}
			if got != string(want) {
				t.Errorf("got\n%s\nwant\n%s", got, want)
			}
		})
	}
}

// TestPortIsInOneOfTheFiles: a port that neither file has is a fault of the file, and not of
// the socket later.
func TestPortIsInOneOfTheFiles(t *testing.T) {
	const m = "desk: x\nsignals: [{hear: \"/in/{input:1-1}\", is: input.fader, value: {arg: 0, unit: dB}}]\n"
	house := func(address string) string {
		return "house: Hall\ndesk: {address: \"" + address + "\", map: m.yaml}\nroster: {inputs: {1: {name: a}}}\n"
	}
	h, faults := Files{"h.yaml": house("192.0.2.10"), "m.yaml": m}.Load("h.yaml")
	if h != nil || !strings.Contains(faults.Error(), "h.yaml:2:17: desk.address: no port: neither this address nor the map says where the desk listens") {
		t.Errorf("%v, %v", h, faults)
	}
	for _, files := range []Files{{"h.yaml": house("192.0.2.10:10700"), "m.yaml": m}, {"h.yaml": house("192.0.2.10"), "m.yaml": m + "link: {desk-port: 10700}\n"}} {
		if h, faults := files.Load("h.yaml"); h == nil || h.Desk != "192.0.2.10:10700" {
			t.Errorf("%v", faults)
		}
	}
}
