package practicetest

import (
	"encoding/binary"
	"fmt"
	"math"
	"time"

	"pawl/daemon/practice"
	"pawl/oscmap/wire"
)

// packed is a thrifty dialect: everything of one moment in one bundle, every
// strip of the desk under one padded number, faders as the step they stand at,
// switches that say what sounds, and meters as hundredths of a dB in 16 bits.
type packed struct{}

// packedFirst is the number of each bank's first strip.
var packedFirst = [...]int{practice.Inputs: 1, practice.DCAs: 41, practice.Groups: 61, practice.Main: 99}

var packedPaths = [...]string{
	practice.InputName:  "/s%02d/tag",
	practice.InputFader: "/s%02d/at", practice.DCAFader: "/s%02d/at", practice.GroupFader: "/s%02d/at", practice.MainFader: "/s%02d/at",
	practice.InputMute: "/s%02d/live", practice.DCAMute: "/s%02d/live", practice.GroupMute: "/s%02d/live", practice.MainMute: "/s%02d/live",
	practice.GroupThreshold: "/s%02d/sq/t", practice.GroupRatio: "/s%02d/sq/r", practice.GroupMakeUp: "/s%02d/sq/m",
}

func (packed) Name() string      { return "packed" }
func (packed) Map() []byte       { return mapNamed("packed") }
func (packed) Transport() string { return "udp" }

func (packed) Tell(v practice.View, about []practice.Topic, say func([]byte)) {
	var all [][]byte
	for _, t := range known(about, len(packedPaths)) {
		path := fmt.Sprintf(packedPaths[t.Kind], packedFirst[t.Kind.Bank()]+t.Index)
		all = append(all, practice.Message(path, packedValue(v, t)))
	}
	if len(all) > 0 {
		say(bundle(all...))
	}
}

func packedValue(v practice.View, t practice.Topic) any {
	switch t.Kind {
	case practice.InputName:
		return v.Hall().Strip(t)
	case practice.InputMute, practice.DCAMute, practice.GroupMute, practice.MainMute:
		return 1 - int(v.Number(t))
	case practice.InputFader, practice.DCAFader, practice.GroupFader, practice.MainFader:
		return v.Step(t)
	}
	return int(math.Round(v.Number(t) * 100))
}

func (packed) Meters(v practice.View, say func([]byte)) {
	say(bundle(
		practice.Message("/pk/berths", hundredths(v.Row(practice.InputLevel))),
		practice.Message("/pk/before", hundredths(v.Row(practice.GroupLevelIn))),
		practice.Message("/pk/after", hundredths(v.Row(practice.GroupLevel))),
		practice.Message("/pk/taken", hundredths(v.Row(practice.GroupReduction))),
		practice.Message("/pk/end", hundredths(v.Row(practice.MainLevel))),
	))
}

// hushed stands for nothing at all among the hundredths.
const hushed = -20000

// hundredths is a blob: how many as 16 bits, then each in hundredths of a dB,
// high byte first.
func hundredths(values []float64) []byte {
	b := binary.BigEndian.AppendUint16(nil, uint16(len(values)))
	for _, v := range values {
		// Silence has no hundredths, and 16 bits end at -327.68 dB.
		n := int16(hushed)
		if v > hushed/100 {
			n = int16(math.Round(v * 100))
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

// Hear knows "/up", which keeps it talking for ten seconds, and "/up/all".
func (packed) Hear(m *wire.Message) practice.Request {
	switch string(m.Address) {
	case "/up":
		return practice.Request{Listen: 10 * time.Second}
	case "/up/all":
		return practice.Request{All: true}
	}
	return practice.Request{}
}
