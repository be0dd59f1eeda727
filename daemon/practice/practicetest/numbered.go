package practicetest

import (
	"time"

	"pawl/daemon/practice"
	"pawl/oscmap/wire"
)

// numbered is a dialect with few addresses: which strip is the first argument,
// counted from 0, and gains are decibels. Meters are one argument for each
// strip, reduction as a negative gain. A closed fader is -120.
type numbered struct{}

var numberedPaths = [...]string{
	practice.InputName: "/called", practice.InputFader: "/lift", practice.InputMute: "/hush",
	practice.DCAFader: "/crew/lift", practice.DCAMute: "/crew/hush",
	practice.GroupFader: "/pool/lift", practice.GroupMute: "/pool/hush",
	practice.GroupThreshold: "/pool/press/from", practice.GroupRatio: "/pool/press/by", practice.GroupMakeUp: "/pool/press/give",
	practice.MainFader: "/out/lift", practice.MainMute: "/out/hush",
}

func (numbered) Name() string      { return "numbered" }
func (numbered) Map() []byte       { return mapNamed("numbered") }
func (numbered) Transport() string { return "udp" }

func (numbered) Tell(v practice.View, about []practice.Topic, say func([]byte)) {
	for _, t := range known(about, len(numberedPaths)) {
		var which []any
		if t.Kind.Bank() != practice.Main {
			which = append(which, t.Index)
		}
		say(practice.Message(numberedPaths[t.Kind], append(which, numberedValue(v, t))...))
	}
}

func numberedValue(v practice.View, t practice.Topic) any {
	switch t.Kind {
	case practice.InputName:
		return v.Hall().Strip(t)
	case practice.InputMute, practice.DCAMute, practice.GroupMute, practice.MainMute:
		return v.Muted(t)
	}
	return float32(max(v.Number(t), -120))
}

func (numbered) Meters(v practice.View, say func([]byte)) {
	say(practice.Message("/glow", arguments(v.Row(practice.InputLevel), 1)...))
	say(practice.Message("/pool/glow/raw", arguments(v.Row(practice.GroupLevelIn), 1)...))
	say(practice.Message("/pool/glow", arguments(v.Row(practice.GroupLevel), 1)...))
	say(practice.Message("/pool/press", arguments(v.Row(practice.GroupReduction), -1)...))
	say(practice.Message("/out/glow", arguments(v.Row(practice.MainLevel), 1)...))
}

func arguments(values []float64, sign float64) []any {
	var args []any
	for _, v := range values {
		args = append(args, float32(sign*v))
	}
	return args
}

// Hear knows "/attend", with a word for what to, and "/recite".
func (numbered) Hear(m *wire.Message) practice.Request {
	switch string(m.Address) {
	case "/attend":
		if a, ok := m.Arg(0); ok && string(a.Bytes) == "all" {
			return practice.Request{Listen: 12 * time.Second}
		}
	case "/recite":
		return practice.Request{All: true}
	}
	return practice.Request{}
}
