package practice

import (
	"encoding/binary"
	"fmt"
	"math"
	"time"

	"pawl/oscmap/wire"
)

// packed is a thrifty dialect: everything of one moment in one bundle, every
// strip of the desk under one padded number, faders as the step they stand at,
// switches that say what sounds, and meters as hundredths of a dB in 16 bits.
type packed struct{}

// packedFirst is the number of each bank's first strip.
var packedFirst = [...]int{inputs: 1, dcas: 41, groups: 61, mains: 99}

var packedPaths = [...]string{
	inputName:  "/s%02d/tag",
	inputFader: "/s%02d/at", dcaFader: "/s%02d/at", groupFader: "/s%02d/at", mainFader: "/s%02d/at",
	inputMute: "/s%02d/live", dcaMute: "/s%02d/live", groupMute: "/s%02d/live", mainMute: "/s%02d/live",
	groupThreshold: "/s%02d/sq/t", groupRatio: "/s%02d/sq/r", groupMakeUp: "/s%02d/sq/m",
}

// Name is "packed".
func (packed) Name() string { return "packed" }

// Map is maps/packed.map.yaml.
func (packed) Map() []byte { return mapNamed("packed") }

// Transport is UDP.
func (packed) Transport() string { return "udp" }

func (packed) tell(v view, about []topic, say func([]byte)) {
	var all [][]byte
	for _, t := range about {
		path := fmt.Sprintf(packedPaths[t.word], packedFirst[bankOf[t.word]]+t.index)
		all = append(all, message(path, packedValue(v, t)))
	}
	if len(all) > 0 {
		say(bundle(all...))
	}
}

func packedValue(v view, t topic) any {
	switch t.word {
	case inputName:
		return seats[t.index].name
	case inputMute, dcaMute, groupMute, mainMute:
		return oneIf(!v.muted(t))
	case inputFader, dcaFader, groupFader, mainFader:
		return v.step(t)
	}
	return int(math.Round(v.number(t) * 100))
}

func (packed) meters(v view, say func([]byte)) {
	n := v.needles
	say(bundle(
		message("/pk/strips", hundredths(n.input)),
		message("/pk/before", hundredths(n.groupIn)),
		message("/pk/after", hundredths(n.group)),
		message("/pk/taken", hundredths(n.reduction)),
		message("/pk/end", hundredths([]level{n.main})),
	))
}

// hushed stands for nothing at all among the hundredths.
const hushed = -20000

// hundredths is a blob: how many as 16 bits, then each in hundredths of a dB,
// high byte first.
func hundredths[T ~float64](values []T) []byte {
	b := binary.BigEndian.AppendUint16(nil, uint16(len(values)))
	for _, v := range values {
		n := int16(hushed)
		if v > hushed/100 {
			n = int16(math.Round(float64(v) * 100))
		}
		b = binary.BigEndian.AppendUint16(b, uint16(n))
	}
	return b
}

// bundle is the bytes of a bundle that counts as of now.
func bundle(messages ...[]byte) []byte {
	b, err := wire.AppendBundle(nil, wire.Immediately, messages...)
	if err != nil {
		panic(fmt.Sprintf("practice desk: %v", err))
	}
	return b
}

// hear knows "/up", which keeps it talking for ten seconds, and "/up/all".
func (packed) hear(m *wire.Message) request {
	switch string(m.Address) {
	case "/up":
		return request{listen: 10 * time.Second}
	case "/up/all":
		return request{all: true}
	}
	return request{}
}
