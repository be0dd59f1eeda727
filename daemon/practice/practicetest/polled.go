package practicetest

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"pawl/daemon/practice"
	"pawl/oscmap/wire"
)

// polled is the dialect of a desk that says nothing by itself: it answers one
// value to each question, which is the address without an argument. Numbers are
// in 256ths of a dB, switches are words.
type polled struct{}

var polledPaths = [...]string{
	practice.InputName: "/tell/thread/%d/name", practice.InputFader: "/tell/thread/%d/set", practice.InputMute: "/tell/thread/%d/gate", practice.InputLevel: "/tell/thread/%d/now",
	practice.DCAFader: "/tell/ride/%d/set", practice.DCAMute: "/tell/ride/%d/gate",
	practice.GroupFader: "/tell/bundle/%d/set", practice.GroupMute: "/tell/bundle/%d/gate",
	practice.GroupThreshold: "/tell/bundle/%d/catch", practice.GroupRatio: "/tell/bundle/%d/catch/ratio", practice.GroupMakeUp: "/tell/bundle/%d/catch/back",
	practice.GroupLevelIn: "/tell/bundle/%d/first", practice.GroupLevel: "/tell/bundle/%d/now", practice.GroupReduction: "/tell/bundle/%d/caught",
	practice.MainFader: "/tell/last/set", practice.MainMute: "/tell/last/gate", practice.MainLevel: "/tell/last/now",
}

func (polled) Name() string      { return "polled" }
func (polled) Map() []byte       { return mapNamed("polled") }
func (polled) Transport() string { return "udp" }

func (polled) Tell(v practice.View, about []practice.Topic, say func([]byte)) {
	for _, t := range known(about, len(polledPaths)) {
		path := polledPaths[t.Kind]
		if t.Kind.Bank() != practice.Main {
			path = fmt.Sprintf(path, t.Index+1)
		}
		say(practice.Message(path, polledValue(v, t)))
	}
}

func polledValue(v practice.View, t practice.Topic) any {
	switch t.Kind {
	case practice.InputName:
		return v.Hall().Strip(t)
	case practice.InputMute, practice.DCAMute, practice.GroupMute, practice.MainMute:
		if v.Muted(t) {
			return "shut"
		}
		return "open"
	case practice.GroupRatio:
		return float32(v.Number(t))
	}
	if x := v.Number(t); !math.IsInf(x, 0) {
		return int(math.Round(x * 256))
	}
	return shut
}

// shut is how this desk writes a closed fader and silence: far below all else it says.
const shut = -80000

// Meters says nothing: nobody asked.
func (polled) Meters(practice.View, func([]byte)) {}

// polledRounds are the asks of polled.map.yaml by their periods in ticks.
var polledRounds = []struct {
	every int64
	about []practice.Topic
}{
	{15, practice.Topics(practice.InputFader, practice.DCAFader, practice.GroupFader, practice.MainFader)},
	{30, practice.Topics(practice.InputMute, practice.DCAMute, practice.GroupMute, practice.MainMute)},
	{6, practice.Meters()},
	{600, practice.Topics(practice.InputName, practice.GroupThreshold, practice.GroupRatio, practice.GroupMakeUp)},
}

// Rota is what the asks of polled.map.yaml ask for at a tick: everything at
// first, and then each value in its turn, those of one period spread over it.
func (polled) Rota(tick int64) (told []practice.Topic) {
	if tick == 0 {
		return append(practice.Settings(), practice.Meters()...)
	}
	// Spread, as the link spreads its asks: all at one tick would make a desk that is
	// told of once in a quarter of a second.
	for _, r := range polledRounds {
		for n, t := range r.about {
			if tick%r.every == int64(n)*r.every/int64(len(r.about)) {
				told = append(told, t)
			}
		}
	}
	return told
}

// Hear takes a message without arguments as a question for one value.
func (polled) Hear(m *wire.Message) practice.Request {
	address := string(m.Address)
	if len(m.Tags) > 0 || m.Untagged && len(m.Data) > 0 {
		return practice.Request{}
	}
	for k, path := range polledPaths {
		before, after, counted := strings.Cut(path, "%d")
		if !counted && address == path {
			return practice.Request{One: true, Topic: practice.Topic{Kind: practice.Kind(k)}}
		}
		middle, ok := strings.CutPrefix(address, before)
		if !ok || !counted {
			continue
		}
		if middle, ok = strings.CutSuffix(middle, after); !ok {
			continue
		}
		if n, err := strconv.Atoi(middle); err == nil && n >= 1 && n <= practice.Kind(k).Bank().Strips() {
			return practice.Request{One: true, Topic: practice.Topic{Kind: practice.Kind(k), Index: n - 1}}
		}
	}
	return practice.Request{}
}
