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

// harbourPaths has one verb for the strip's number, except for the main.
var harbourPaths = [...]string{
	inputName:      "/in/%d/who",
	inputFader:     "/in/%d/throw",
	inputMute:      "/in/%d/quiet",
	dcaFader:       "/hand/%d/throw",
	dcaMute:        "/hand/%d/quiet",
	groupFader:     "/fold/%d/throw",
	groupMute:      "/fold/%d/quiet",
	groupThreshold: "/fold/%d/squeeze/from",
	groupRatio:     "/fold/%d/squeeze/by",
	groupMakeUp:    "/fold/%d/squeeze/lift",
	mainFader:      "/whole/throw",
	mainMute:       "/whole/quiet",
}

// Name is "harbour".
func (harbour) Name() string { return "harbour" }

// Map is harbour-hall.map.yaml.
func (harbour) Map() []byte { return MapFile() }

// Transport is UDP.
func (harbour) Transport() string { return "udp" }

func (harbour) tell(v view, about []topic, say func([]byte)) {
	for _, t := range about {
		path := harbourPaths[t.word]
		if bankOf[t.word] != mains {
			path = fmt.Sprintf(path, t.index+1)
		}
		switch t.word {
		case inputName:
			say(message(path, seats[t.index].name))
		case inputMute, dcaMute, groupMute, mainMute:
			say(message(path, oneIf(v.muted(t))))
		case inputFader, dcaFader, groupFader, mainFader:
			say(message(path, float32(float64(v.step(t))/steps)))
		default:
			say(message(path, float32(v.number(t))))
		}
	}
}

func (harbour) meters(v view, say func([]byte)) {
	say(message("/needles/in", row(v.needles.input)))
	say(message("/needles/fold/before", row(v.needles.groupIn)))
	say(message("/needles/fold", row(v.needles.group)))
	say(message("/needles/squeeze", row(v.needles.reduction)))
	say(message("/needles/whole", float32(v.needles.main)))
}

// hear knows "/listen seconds" and "/tell/all".
func (harbour) hear(m *wire.Message) request {
	switch string(m.Address) {
	case "/listen":
		if a, ok := m.Arg(0); ok && a.Tag == 'i' && a.Number > 0 {
			return request{listen: time.Duration(min(a.Number, 3600)) * time.Second}
		}
	case "/tell/all":
		return request{all: true}
	}
	return request{}
}

// row is a blob: each value as a float32, high byte first.
func row[T ~float64](values []T) []byte {
	var b []byte
	for _, v := range values {
		b = binary.BigEndian.AppendUint32(b, math.Float32bits(float32(v)))
	}
	return b
}

func oneIf(on bool) int {
	if on {
		return 1
	}
	return 0
}
