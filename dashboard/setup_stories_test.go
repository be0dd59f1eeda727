package dashboard

import (
	"fmt"

	"pawl/rules/desk"
)

// A setupStory is one moment of an installation that the setup page must show well.
type setupStory struct {
	name  string
	setup Setup
	then  string // what to do in the browser before looking: "move", "several", "stop", "arriving", "focus"
}

func setupStories() []setupStory {
	return []setupStory{
		liveSetup(), {"setup-moved", liveSetup().setup, "move"}, {"setup-several", liveSetup().setup, "several"},
		{"setup-arriving", liveSetup().setup, "arriving"}, {"setup-focus", liveSetup().setup, "focus"},
		largeSetup(), nothingSetup(), notUnderstoodSetup(), quietSetup(), unheardSetup(), faultsSetup(), adviceSetup(), demoSetup(),
		{"setup-stopped", liveSetup().setup, "stop"}, longSetup(),
	}
}

// strip is one that was heard a moment ago.
func strip(number int, name, element string, fader desk.DB, level desk.DBFS) Strip {
	return Strip{Number: number, Name: name, Element: element, Fader: &fader, Level: &level, Age: 0.1}
}

func liveSetup() setupStory {
	s := Setup{
		T: 312, House: "Harbour Hall", Desk: "Harbour Hall practice desk", FaultsAge: "18:42:05",
		Link:     Link{Phase: "hearing", Age: 0.1, Desk: "10.0.0.20:10700", Says: quoted("heard 0.1 s ago"), Packets: 60210},
		Messages: 61044, Unmapped: 933,
		Inputs: []Strip{
			strip(1, "cajon", "rhythm", -6.5, -22.4), strip(2, "upright bass", "foundation", -4, -19.8),
			strip(3, "piano", "rhythm", -7, -24.1), strip(4, "accordion", "pad", -9.5, -27.3),
			strip(5, "fiddle", "fill", -8, -25.6), strip(6, "mandolin", "rhythm", -11, -29.2),
			strip(7, "harp", "fill", -12.5, -33), strip(8, "trumpet", "fill", -10, -18.7),
			strip(9, "horn", "fill", -10, desk.Silence), strip(10, "organ pad", "pad", desk.Off, -31.5),
			strip(11, "lead voice", "lead", -2, -17.2), strip(12, "harmony voice 1", "lead", -5.5, -23.9),
			strip(13, "harmony voice 2", "lead", -6, -26.4), strip(14, "choir pair", "pad", -8.5, -28.8),
			strip(15, "reader's mic", "", 0, -48.6), strip(16, "click", "", -3, -20),
		},
		DCAs: []Strip{
			strip(1, "band", "", 0, 0), strip(2, "brass", "", -3, 0), strip(3, "voices", "", 0, 0), strip(4, "speech", "", 0, 0),
		},
		Groups: []Strip{
			strip(1, "band", "", 0, -16.3), strip(2, "brass", "", -1, -21), strip(3, "voices", "", 0, -15.1), strip(4, "speech", "", 0, -47),
		},
		Main: strip(0, "", "", -5, -14.2),
		Arriving: []Arriving{
			{"/in/*/throw", "f", "1–16", "0 to 1", 812, 2.4, 0.6, "input.fader"},
			{"/in/*/quiet", "i", "1–16", "0 to 1", 21, 0, 44, "input.mute"},
			{"/in/*/who", "s", "1–16", "", 16, 0, 308, "input.name"},
			{"/needles/in", "b", "", "16 values, -61.0 to -14.2", 6210, 20, 0.1, "input.level"},
			{"/hand/*/throw", "f", "1–4", "0.675 to 0.75", 9, 0, 122, "dca.fader"},
			{"/in/*/lamp", "i", "/in/11/lamp", "0 to 7", 402, 1.3, 0.9, ""},
			{"/fold/*/throw", "f", "1–4", "0.7 to 0.75", 4, 0, 308, "group.fader"},
			{"/needles/fold", "b", "", "4 values, -52.4 to -13.9", 6210, 20, 0.1, "group.level"},
			{"/needles/squeeze", "b", "", "4 values, 0 to 5.5", 6210, 20, 0.1, "group.reduction"},
			{"/out/throw", "f", "", "0.667", 1, 0, 308, "main.fader"},
			{"/needles/out", "f", "", "-58.1 to -12.6", 6210, 20, 0.1, "main.level"},
			{"/page/number", "i", "", "1 to 4", 3, 0, 71, "scene.number"},
			{"/stage/lantern/*", "if", "/stage/lantern/2", "0 to 255", 519, 4, 0.2, ""},
			{"/still/here", "", "/still/here", "", 12, 0.1, 6.5, ""},
		},
	}
	s.Inputs[14].Muted = true
	for i := range s.DCAs {
		s.DCAs[i].Level = nil // a DCA carries no sound
	}
	return setupStory{"setup-live", s, ""}
}

func largeSetup() setupStory {
	s := liveSetup().setup
	parts := s.Inputs
	s.Inputs = nil
	for i := range 64 {
		one := parts[i%len(parts)]
		one.Number = i + 1
		if i >= len(parts) {
			one.Name = fmt.Sprintf("%s, row %d", one.Name, i/len(parts)+1)
		}
		if i >= 56 {
			one = Strip{Number: i + 1}
		}
		s.Inputs = append(s.Inputs, one)
	}
	s.DCAs = nil
	for i := range 24 {
		s.DCAs = append(s.DCAs, strip(i+1, "", "", desk.DB(-i), 0))
		s.DCAs[i].Level = nil
	}
	return setupStory{"setup-64", s, ""}
}

// emptied is a Setup of which the files are known and the desk is not heard.
func emptied(s Setup) Setup {
	strips := func(from []Strip) (out []Strip) {
		for _, one := range from {
			out = append(out, Strip{Number: one.Number, Name: one.Name, Element: one.Element})
		}
		return out
	}
	s.Inputs, s.DCAs, s.Groups, s.Main = strips(s.Inputs), strips(s.DCAs), strips(s.Groups), Strip{}
	s.Arriving, s.Messages, s.Unmapped = nil, 0, 0
	return s
}

func nothingSetup() setupStory {
	s := emptied(liveSetup().setup)
	s.Link = Link{Phase: "waiting", Desk: "10.0.0.20:10700"}
	return setupStory{"setup-nothing", s, ""}
}

func notUnderstoodSetup() setupStory {
	s := emptied(liveSetup().setup)
	s.Link = Link{Phase: "not-understood", Desk: "10.0.0.20:10700", Packets: 18412, Age: 0.05, Example: "/berth/07/height"}
	s.Messages, s.Unmapped, s.Malformed = 18400, 18400, 12
	s.Arriving = []Arriving{
		{"/berth/*/height", "f", "/berth/07/height", "0 to 1", 840, 3.1, 0.2, ""},
		{"/berth/*/shut", "T", "/berth/12/shut", "", 22, 0, 31, ""},
		{"/glass", "b", "/glass", "33 values, 0 to 32767", 9201, 25, 0.05, ""},
	}
	return setupStory{"setup-not-understood", s, ""}
}

func quietSetup() setupStory {
	s := liveSetup().setup
	s.Link.Phase, s.Link.Age = "quiet", 27
	for i := range s.Inputs {
		s.Inputs[i].Age = 27
	}
	return setupStory{"setup-quiet", s, ""}
}

func unheardSetup() setupStory {
	s := liveSetup().setup
	s.Arriving = s.Arriving[:len(s.Arriving):len(s.Arriving)]
	for i := range 40 {
		s.Arriving = append(s.Arriving, Arriving{
			Shape:   fmt.Sprintf("/house/lighting/balcony/%c/fixture/*/dimmer/curve/segment/*/control-point/*/value", 'a'+rune(i%26)),
			Types:   "iiffffsTFb",
			Example: fmt.Sprintf("/house/lighting/balcony/%c/fixture/114/dimmer/curve/segment/27/control-point/3/value", 'a'+rune(i%26)),
			Range:   "-1234567.875 to 9876543.125", Count: 123456789, Rate: 118.4, Age: 0.1,
		})
	}
	s.More, s.Messages, s.Unmapped, s.Malformed = 212, 4185037, 4123993, 3
	return setupStory{"setup-unheard", s, "arriving"}
}

func faultsSetup() setupStory {
	s := liveSetup().setup
	s.Faults = []Fault{
		{"houses/harbour.yaml", 14, 12, "inputs[3].element", `unknown element "rythm"; want foundation, pad, rhythm, lead or fill`, `did you mean "rhythm"?`, false},
		{"houses/harbour.yaml", 31, 9, "limits.ratchet.limit", "3; want a number with its unit", "write 3 dB", false},
		{"maps/harbour.map.yaml", 22, 5, "signals[4].hear", "/in/{input:1-16}/throw is heard twice, here and on line 9", "keep the one whose taper is the desk's", false},
		{"maps/harbour.map.yaml", 0, 0, "", "no line hears group.reduction", "the squeeze is then measured from the levels before and after, and shown as an estimate", true},
	}
	return setupStory{"setup-faults", s, "faults"}
}

func adviceSetup() setupStory {
	s := faultsSetup().setup
	s.Faults = s.Faults[3:]
	return setupStory{"setup-advice", s, ""}
}

// demoSetup is of a house that came inside the program, with no file.
func demoSetup() setupStory {
	s := liveSetup().setup
	s.FaultsAge = ""
	return setupStory{"setup-demo", s, "faults"}
}

func longSetup() setupStory {
	s := faultsSetup().setup
	const name = "Upright piano on the far side of the gallery, left microphone"
	s.House, s.Desk = "Harbour Hall, the great room above the boat sheds, with both galleries open", name
	s.Inputs[2].Name, s.Inputs[3].Name, s.Groups[0].Name = name, "Unbrokenlongnameofaninputthatnobodycouldread", name
	s.Inputs[3].Element = "foundation"
	s.Faults[0].File = "a/very/long/way/down/to/the/folder/of/the/houses/of/the/harbour/harbour.yaml"
	s.Faults[0].Path = "inputs[3].sends[12].through[4].unbrokenpathofkeysthatgoesonandon.element"
	return setupStory{"setup-long", s, ""}
}
