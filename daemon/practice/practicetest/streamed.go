package practicetest

import (
	"encoding/binary"
	"fmt"
	"math"
	"time"

	"pawl/daemon/practice"
	"pawl/oscmap/wire"
)

// streamed is a dialect over TCP with SLIP: faders as factors of amplitude, the
// switches of a bank as the bits of one number, meters as powers.
type streamed struct{}

var streamedPaths = [...]string{
	practice.InputName: "/thread/%d/text", practice.InputFader: "/thread/%d/factor",
	practice.DCAFader: "/lead/%d/factor", practice.GroupFader: "/sum/%d/factor", practice.MainFader: "/end/factor",
	practice.InputMute: "/thread/cuts", practice.DCAMute: "/lead/cuts", practice.GroupMute: "/sum/cuts", practice.MainMute: "/end/cuts",
	practice.GroupThreshold: "/sum/%d/hold/from", practice.GroupRatio: "/sum/%d/hold/slope", practice.GroupMakeUp: "/sum/%d/hold/plus",
}

func (streamed) Name() string      { return "streamed" }
func (streamed) Map() []byte       { return mapNamed("streamed") }
func (streamed) Transport() string { return "tcp-slip" }

func (streamed) Tell(v practice.View, about []practice.Topic, say func([]byte)) {
	var cuts [len(streamedPaths)]bool // one message tells the whole bank
	for _, t := range known(about, len(streamedPaths)) {
		path := streamedPaths[t.Kind]
		switch t.Kind {
		case practice.InputMute, practice.DCAMute, practice.GroupMute, practice.MainMute:
			if !cuts[t.Kind] {
				cuts[t.Kind] = true
				say(practice.Message(path, mutedBits(v, t.Kind)))
			}
			continue
		}
		if t.Kind.Bank() != practice.Main {
			path = fmt.Sprintf(path, t.Index+1)
		}
		switch t.Kind {
		case practice.InputName:
			say(practice.Message(path, wire.Symbol(v.Hall().Strip(t))))
		case practice.InputFader, practice.DCAFader, practice.GroupFader, practice.MainFader:
			say(practice.Message(path, math.Pow(10, v.Number(t)/20)))
		default:
			say(practice.Message(path, v.Number(t)))
		}
	}
}

// mutedBits has a bit for each muted strip of a bank, the first the lowest.
func mutedBits(v practice.View, k practice.Kind) int {
	bits := 0
	for i := range v.Hall().Strips(k.Bank()) {
		if v.Muted(practice.Topic{Kind: k, Index: i}) {
			bits |= 1 << i
		}
	}
	return bits
}

func (streamed) Meters(v practice.View, say func([]byte)) {
	say(practice.Message("/thread/power", powers(v.Row(practice.InputLevel))))
	say(practice.Message("/sum/power/raw", powers(v.Row(practice.GroupLevelIn))))
	say(practice.Message("/sum/power", powers(v.Row(practice.GroupLevel))))
	say(practice.Message("/sum/hold", doubles(v.Row(practice.GroupReduction))))
	say(practice.Message("/end/power", power(v.Row(practice.MainLevel)[0])))
}

// powers is a blob of linear powers as float32, high byte first.
func powers(levels []float64) (b []byte) {
	for _, l := range levels {
		b = binary.BigEndian.AppendUint32(b, math.Float32bits(power(l)))
	}
	return b
}

// power is a level as a factor of power, so that silence is 0.
func power(dBFS float64) float32 { return float32(math.Pow(10, dBFS/10)) }

// doubles is a blob of float64, low byte first.
func doubles(values []float64) (b []byte) {
	for _, v := range values {
		b = binary.LittleEndian.AppendUint64(b, math.Float64bits(v))
	}
	return b
}

// Hear knows "/stay" and "/from/the/top".
func (streamed) Hear(m *wire.Message) practice.Request {
	switch string(m.Address) {
	case "/stay":
		return practice.Request{Listen: 30 * time.Second}
	case "/from/the/top":
		return practice.Request{All: true}
	}
	return practice.Request{}
}
