package practice

import (
	"fmt"
	"math"
	"strings"
	"time"

	"pawl/oscmap/wire"
)

// spoken is a dialect made for people: strips by their names, and every value
// as a text, such as "-12.50 dB", "-oo", "ON".
type spoken struct{}

var spokenPaths = [...]string{
	inputName:  "",
	inputFader: "/player/%s/stands", inputMute: "/player/%s/quiet", inputLevel: "/player/%s/sounds",
	dcaFader: "/leader/%s/stands", dcaMute: "/leader/%s/quiet",
	groupFader: "/family/%s/stands", groupMute: "/family/%s/quiet",
	groupThreshold: "/family/%s/held/above", groupRatio: "/family/%s/held/by", groupMakeUp: "/family/%s/held/plus",
	groupLevelIn: "/family/%s/brings", groupLevel: "/family/%s/sounds", groupReduction: "/family/%s/held",
	mainFader: "/everybody/stands", mainMute: "/everybody/quiet", mainLevel: "/everybody/sounds",
}

// Name is "spoken".
func (spoken) Name() string { return "spoken" }

// Map is maps/spoken.map.yaml.
func (spoken) Map() []byte { return mapNamed("spoken") }

// Transport is UDP.
func (spoken) Transport() string { return "udp" }

func (spoken) tell(v view, about []topic, say func([]byte)) {
	for _, t := range about {
		if t.word == inputName {
			continue // every address says it
		}
		path := spokenPaths[t.word]
		if strings.Contains(path, "%") {
			path = fmt.Sprintf(path, strings.ReplaceAll(topicName(t), " ", "-"))
		}
		say(message(path, spokenValue(v, t)))
	}
}

// topicName is the name of the strip a topic is about.
func topicName(t topic) string {
	switch bankOf[t.word] {
	case inputs:
		return seats[t.index].name
	case dcas:
		return dcaNames[t.index]
	}
	return groupNames[t.index]
}

func spokenValue(v view, t topic) string {
	switch t.word {
	case inputMute, dcaMute, groupMute, mainMute:
		if v.muted(t) {
			return "ON"
		}
		return "OFF"
	case groupRatio:
		return fmt.Sprintf("%.2f:1", v.number(t))
	}
	if x := v.number(t); !math.IsInf(x, 0) {
		return fmt.Sprintf("%.2f dB", x)
	}
	return "-oo"
}

func (d spoken) meters(v view, say func([]byte)) { d.tell(v, meters(), say) }

// hear knows "/please" with "keep me told" and "tell me all".
func (spoken) hear(m *wire.Message) request {
	if string(m.Address) != "/please" {
		return request{}
	}
	switch a, _ := m.Arg(0); string(a.Bytes) {
	case "keep me told":
		return request{listen: 45 * time.Second}
	case "tell me all":
		return request{all: true}
	}
	return request{}
}
