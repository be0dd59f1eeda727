package practice

import (
	"time"

	"pawl/oscmap/wire"
)

// numbered is a dialect with few addresses: which strip is the first argument,
// counted from 0, and gains are decibels. Meters are one argument for each
// strip, reduction as a negative gain. A closed fader is -120.
type numbered struct{}

var numberedPaths = [...]string{
	inputName: "/called", inputFader: "/lift", inputMute: "/hush",
	dcaFader: "/crew/lift", dcaMute: "/crew/hush",
	groupFader: "/pool/lift", groupMute: "/pool/hush",
	groupThreshold: "/pool/press/from", groupRatio: "/pool/press/by", groupMakeUp: "/pool/press/give",
	mainFader: "/out/lift", mainMute: "/out/hush",
}

// Name is "numbered".
func (numbered) Name() string { return "numbered" }

// Map is maps/numbered.map.yaml.
func (numbered) Map() []byte { return mapNamed("numbered") }

// Transport is UDP.
func (numbered) Transport() string { return "udp" }

func (numbered) tell(v view, about []topic, say func([]byte)) {
	for _, t := range about {
		var which []any
		if bankOf[t.word] != mains {
			which = append(which, t.index)
		}
		say(message(numberedPaths[t.word], append(which, numberedValue(v, t))...))
	}
}

func numberedValue(v view, t topic) any {
	switch t.word {
	case inputName:
		return seats[t.index].name
	case inputMute, dcaMute, groupMute, mainMute:
		return v.muted(t)
	}
	return float32(max(v.number(t), -120))
}

func (numbered) meters(v view, say func([]byte)) {
	n := v.needles
	say(message("/glow", floats(n.input, 1)...))
	say(message("/pool/glow/raw", floats(n.groupIn, 1)...))
	say(message("/pool/glow", floats(n.group, 1)...))
	say(message("/pool/press", floats(n.reduction, -1)...))
	say(message("/out/glow", float32(n.main)))
}

func floats[T ~float64](values []T, sign float64) []any {
	var args []any
	for _, v := range values {
		args = append(args, float32(sign*float64(v)))
	}
	return args
}

// hear knows "/attend", with a word for what to, and "/recite".
func (numbered) hear(m *wire.Message) request {
	switch string(m.Address) {
	case "/attend":
		if a, ok := m.Arg(0); ok && string(a.Bytes) == "all" {
			return request{listen: 12 * time.Second}
		}
	case "/recite":
		return request{all: true}
	}
	return request{}
}
