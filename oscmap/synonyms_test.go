package oscmap

import "testing"

func TestMeant(t *testing.T) {
	for written, want := range map[string]string{
		"input.on": "input.mute", "channel.fader": "input.fader", "bus.volume": "group.fader", "master.meter": "main.level",
		"input.colour": "", "fader": "", "Ch.ON": "input.mute", "vca.label": "dca.name",
		"channel.hpf": "input.low-cut", "ch.attack": "input.comp-attack", "bus.attack": "group.attack",
	} {
		if got := signalWord(0).Meant(written); got != want {
			t.Errorf("%q was taken for %q, want %q", written, got, want)
		}
	}
	for other, ours := range otherWords {
		if _, again := otherWords[ours]; again {
			t.Errorf("%q stands for %q, which stands for another", other, ours)
		}
	}
}
