package practicetest

import (
	"fmt"
	"math"
	"strings"
	"time"

	"pawl/daemon/practice"
	"pawl/oscmap/wire"
)

// spoken is a dialect made for people: strips by their names, and every value
// as a text, such as "-12.50 dB", "-∞", "ON".
type spoken struct{}

var spokenPaths = [...]string{
	practice.InputName:  "",
	practice.InputFader: "/player/%s/stands", practice.InputMute: "/player/%s/quiet", practice.InputLevel: "/player/%s/sounds",
	practice.DCAFader: "/leader/%s/stands", practice.DCAMute: "/leader/%s/quiet",
	practice.GroupFader: "/family/%s/stands", practice.GroupMute: "/family/%s/quiet",
	practice.GroupThreshold: "/family/%s/held/above", practice.GroupRatio: "/family/%s/held/by", practice.GroupMakeUp: "/family/%s/held/plus",
	practice.GroupLevelIn: "/family/%s/brings", practice.GroupLevel: "/family/%s/sounds", practice.GroupReduction: "/family/%s/held",
	practice.MainFader: "/everybody/stands", practice.MainMute: "/everybody/quiet", practice.MainLevel: "/everybody/sounds",
}

func (spoken) Name() string      { return "spoken" }
func (spoken) Map() []byte       { return mapNamed("spoken") }
func (spoken) Transport() string { return "udp" }

func (spoken) Tell(v practice.View, about []practice.Topic, say func([]byte)) {
	for _, t := range known(about, len(spokenPaths)) {
		if t.Kind == practice.InputName {
			continue // every address says it
		}
		path := spokenPaths[t.Kind]
		if strings.Contains(path, "%") {
			path = fmt.Sprintf(path, strings.ReplaceAll(v.Hall().Strip(t), " ", "-"))
		}
		say(practice.Message(path, spokenValue(v, t)))
	}
}

func spokenValue(v practice.View, t practice.Topic) string {
	switch t.Kind {
	case practice.InputMute, practice.DCAMute, practice.GroupMute, practice.MainMute:
		if v.Muted(t) {
			return "ON"
		}
		return "OFF"
	case practice.GroupRatio:
		return fmt.Sprintf("%.2f:1", v.Number(t))
	}
	if x := v.Number(t); !math.IsInf(x, 0) {
		return fmt.Sprintf("%.2f dB", x)
	}
	return "-∞"
}

func (d spoken) Meters(v practice.View, say func([]byte)) { d.Tell(v, v.Hall().Meters(), say) }

// Hear knows "/please" with "keep me told" and "tell me all".
func (spoken) Hear(m *wire.Message) practice.Request {
	if string(m.Address) != "/please" {
		return practice.Request{}
	}
	switch a, _ := m.Arg(0); string(a.Bytes) {
	case "keep me told":
		return practice.Request{Listen: 45 * time.Second}
	case "tell me all":
		return practice.Request{All: true}
	}
	return practice.Request{}
}
