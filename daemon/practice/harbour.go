package practice

import (
	"encoding/binary"
	"fmt"
	"math"
	"time"

	"pawl/oscmap/wire"
)

// harbour is the demo desk's dialect: indices in the path from 1, faders as
// travel, meters as blobs of big-endian floats and no more. It tells
// those who have asked to listen, for as long as they asked.
type harbour struct{}

// Harbour is the dialect of harbour-hall.map.yaml, which the demo's desk speaks. It is
// the one that every hall's desk speaks.
func Harbour() Dialect { return harbour{} }

// harbourPaths has one verb for the strip's number, except for the main.
var harbourPaths = [...]string{
	InputName:      "/in/%d/who",
	InputFader:     "/in/%d/throw",
	InputMute:      "/in/%d/quiet",
	DCAFader:       "/hand/%d/throw",
	DCAMute:        "/hand/%d/quiet",
	GroupFader:     "/fold/%d/throw",
	GroupMute:      "/fold/%d/quiet",
	GroupThreshold: "/fold/%d/squeeze/from",
	GroupRatio:     "/fold/%d/squeeze/by",
	GroupMakeUp:    "/fold/%d/squeeze/lift",
	MainFader:      "/whole/throw",
	MainMute:       "/whole/quiet",
	InputSolo:      "/in/%d/alone",
	InputMain:      "/in/%d/straight",
	InputThreshold: "/in/%d/squeeze/from",
	InputRatio:     "/in/%d/squeeze/by",
	InputMakeUp:    "/in/%d/squeeze/lift",
}

func (harbour) Tell(v View, about []Topic, say func([]byte)) {
	for _, t := range about {
		path := harbourPaths[t.Kind]
		if t.Kind.Bank() != Main {
			path = fmt.Sprintf(path, t.Index+1)
		}
		switch t.Kind {
		case InputName:
			say(Message(path, v.Hall().Strip(t)))
		case InputMute, DCAMute, GroupMute, MainMute, InputSolo, InputMain:
			say(Message(path, int(v.Number(t))))
		case InputFader, DCAFader, GroupFader, MainFader:
			say(Message(path, float32(float64(v.Step(t))/steps)))
		default:
			say(Message(path, float32(v.Number(t))))
		}
	}
}

func (harbour) Meters(v View, say func([]byte)) {
	say(Message("/needles/in", floats(v.Row(InputLevel))))
	if v.Hall().squeezed {
		say(Message("/needles/in/squeeze", floats(v.Row(InputReduction))))
	}
	if v.Hall().Strips(Groups) > 0 {
		say(Message("/needles/fold/before", floats(v.Row(GroupLevelIn))))
		say(Message("/needles/fold", floats(v.Row(GroupLevel))))
		say(Message("/needles/squeeze", floats(v.Row(GroupReduction))))
	}
	say(Message("/needles/whole", float32(v.Number(Topic{Kind: MainLevel}))))
}

// Hear knows "/listen seconds" and "/tell/all".
func (harbour) Hear(m *wire.Message) Request {
	switch string(m.Address) {
	case "/listen":
		if a, ok := m.Arg(0); ok && a.Tag == 'i' && a.Number > 0 {
			return Request{Listen: time.Duration(min(a.Number, 3600)) * time.Second}
		}
	case "/tell/all":
		return Request{All: true}
	}
	return Request{}
}

// floats is a blob: each value as a float32, high byte first.
func floats(values []float64) []byte {
	var b []byte
	for _, v := range values {
		b = binary.BigEndian.AppendUint32(b, math.Float32bits(float32(v)))
	}
	return b
}
