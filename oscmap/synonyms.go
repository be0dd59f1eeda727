package oscmap

import (
	"strings"

	"pawl/rules/desk"
)

// otherWords are what people write for a strip or what it says when they have
// another desk, or no desk, in mind. A near spelling would often be another signal:
// input.on is nearest to input.solo.
var otherWords = map[string]string{
	"channel": "input", "ch": "input", "strip": "input", "chan": "input",
	"bus": "group", "subgroup": "group", "mix": "group", "vca": "dca", "master": "main", "lr": "main", "out": "main",
	"on": "mute", "off": "mute", "open": "mute", "cut": "mute", "enabled": "mute", "active": "mute", "muted": "mute",
	"volume": "fader", "vol": "fader", "position": "fader", "gain": "fader", "throw": "fader",
	"meter": "level", "vu": "level", "rms": "level", "label": "name", "title": "name", "pfl": "solo", "gr": "reduction",
	"attack": "comp-attack", "release": "comp-release", "hpf": "low-cut", "highpass": "low-cut", "lowcut": "low-cut",
	"trim": "source-gain", "preamp": "source-gain", "members": "dca",
}

// Meant is the signal that somebody who wrote another word for it probably meant,
// or "".
func (signalWord) Meant(written string) string {
	strip, what, ok := strings.Cut(strings.ToLower(written), ".")
	if !ok {
		return ""
	}
	if other, ok := otherWords[strip]; ok {
		strip = other
	}
	// A word that is right for one strip may be another's synonym: a group has an
	// attack, an input a comp-attack.
	for _, word := range []string{strip + "." + what, strip + "." + otherWords[what]} {
		if _, ok := desk.SignalNamed(word); ok {
			return word
		}
	}
	return ""
}
