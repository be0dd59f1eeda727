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
	"trim": "source-gain", "preamp": "source-gain", "members": "dca",
}

// Meant is the signal that somebody who wrote another word for it probably meant,
// or "".
func (signalWord) Meant(written string) string {
	strip, what, ok := strings.Cut(strings.ToLower(written), ".")
	if !ok {
		return ""
	}
	for _, part := range []*string{&strip, &what} {
		if other, ok := otherWords[*part]; ok {
			*part = other
		}
	}
	word := strip + "." + what
	if _, ok := desk.SignalNamed(word); !ok {
		return ""
	}
	return word
}
