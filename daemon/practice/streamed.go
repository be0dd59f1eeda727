package practice

import (
	"encoding/binary"
	"fmt"
	"math"
	"time"

	"pawl/oscmap/wire"
)

// streamed is a dialect over TCP with SLIP: faders as factors of amplitude, the
// switches of a bank as the bits of one number, meters as powers.
type streamed struct{}

var streamedPaths = [...]string{
	inputName: "/line/%d/text", inputFader: "/line/%d/factor",
	dcaFader: "/lead/%d/factor", groupFader: "/sum/%d/factor", mainFader: "/end/factor",
	inputMute: "/line/cuts", dcaMute: "/lead/cuts", groupMute: "/sum/cuts", mainMute: "/end/cuts",
	groupThreshold: "/sum/%d/hold/from", groupRatio: "/sum/%d/hold/slope", groupMakeUp: "/sum/%d/hold/plus",
}

// Name is "streamed".
func (streamed) Name() string { return "streamed" }

// Map is maps/streamed.map.yaml.
func (streamed) Map() []byte { return mapNamed("streamed") }

// Transport is TCP with SLIP.
func (streamed) Transport() string { return "tcp-slip" }

func (streamed) tell(v view, about []topic, say func([]byte)) {
	var cuts [words]bool // one message tells the whole bank
	for _, t := range about {
		path := streamedPaths[t.word]
		switch t.word {
		case inputMute, dcaMute, groupMute, mainMute:
			if !cuts[t.word] {
				cuts[t.word] = true
				say(message(path, mutedBits(v, t.word)))
			}
			continue
		}
		if bankOf[t.word] != mains {
			path = fmt.Sprintf(path, t.index+1)
		}
		switch t.word {
		case inputName:
			say(message(path, wire.Symbol(seats[t.index].name)))
		case inputFader, dcaFader, groupFader, mainFader:
			say(message(path, math.Pow(10, v.number(t)/20)))
		default:
			say(message(path, v.number(t)))
		}
	}
}

// mutedBits has a bit for each muted strip of a bank, the first the lowest.
func mutedBits(v view, w word) int {
	bits := 0
	for i := range strips[bankOf[w]] {
		if v.muted(topic{w, i}) {
			bits |= 1 << i
		}
	}
	return bits
}

func (streamed) meters(v view, say func([]byte)) {
	n := v.needles
	say(message("/line/power", powers(n.input)))
	say(message("/sum/power/raw", powers(n.groupIn)))
	say(message("/sum/power", powers(n.group)))
	say(message("/sum/hold", doubles(n.reduction)))
	say(message("/end/power", float32(n.main.power())))
}

// powers is a blob of linear powers as float32, high byte first.
func powers(levels []level) (b []byte) {
	for _, l := range levels {
		b = binary.BigEndian.AppendUint32(b, math.Float32bits(float32(l.power())))
	}
	return b
}

// doubles is a blob of float64, low byte first.
func doubles[T ~float64](values []T) (b []byte) {
	for _, v := range values {
		b = binary.LittleEndian.AppendUint64(b, math.Float64bits(float64(v)))
	}
	return b
}

// hear knows "/stay" and "/from/the/top".
func (streamed) hear(m *wire.Message) request {
	switch string(m.Address) {
	case "/stay":
		return request{listen: 30 * time.Second}
	case "/from/the/top":
		return request{all: true}
	}
	return request{}
}
